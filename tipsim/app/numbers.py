"""The numbers beside the stage: both needles, the published value, and where it comes from."""

from __future__ import annotations

from typing import Any

from tipsim.app.words import character_word, comparison_sentences, micro, side_sentences
from tipsim.motion.markers import AGAINST
from tipsim.setup.catalogue import catalogue
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import STATUSES, Sourced, number, numbers
from tipsim.solve import Result

Row = dict[str, Any]


def readout(a: Result, b: Result) -> dict[str, Any]:
    """Give everything that the panel of numbers shows.

    Returns
    -------
    dict
        ``words`` (side, title, lines), ``sections`` (title and rows). A row has ``id``, ``label``,
        ``a``, ``b``, ``why`` and perhaps ``check`` (text, verdict, status).
    """
    return {
        "words": [
            {"side": "a", "title": _title(a), "lines": side_sentences(a)},
            {"side": "b", "title": _title(b), "lines": side_sentences(b)},
            {"side": "", "title": "Compared", "lines": comparison_sentences(a, b)},
        ],
        "sections": [
            {"title": "At the end", "rows": _end(a, b)},
            {"title": "Along the shaft", "rows": _shaft(a, b)},
            {"title": "At the hub", "rows": _hub(a, b)},
        ],
    }


def _title(r: Result) -> str:
    return f"{r.scenario.needle.title}, {r.scenario.drive.kind}"


def _row(id: str, label: str, a: str, b: str, why: str, check: Row | None = None) -> Row:
    return {"id": id, "label": label, "a": a, "b": b, "why": why, "check": check}


def _end(a: Result, b: Result) -> list[Row]:
    ma, mb = a.motion, b.motion
    return [
        _row(
            "end",
            "Stroke, µm peak to peak",
            micro(ma.end_stroke),
            micro(mb.end_stroke),
            "Travel of the mouth's centre, solved by the shaft model. Hub motion at 100 % was set "
            "once per drive so that one needle does its published stroke (fitted: straight, axial, "
            "90 µm; single-bend 20°, torsional, 130 µm). Every other stroke is predicted.",
            _end_check(a, b),
        ),
        _row("ratio", *_end_ratio(a, b)),
        _row(
            "speed",
            "Speed, m/s, peak",
            f"{ma.end_speed:.1f}",
            f"{mb.end_speed:.1f}",
            "π × frequency × stroke (peak to peak).",
            _speed_check(a, b),
        ),
        _row(
            "edge",
            "Mouth's edge, µm peak to peak",
            micro(ma.edge_stroke),
            micro(mb.edge_stroke),
            "Largest travel on the rim of the mouth: the centre's motion plus what the end's "
            "rotation adds at the outer radius and bevel.",
        ),
    ]


def _shaft(a: Result, b: Result) -> list[Row]:
    ca, cb = a.motion.character, b.motion.character
    return [
        _row(
            "shaft",
            "Sideways, largest, µm peak to peak",
            micro(ca.shaft_stroke),
            micro(cb.shaft_stroke),
            "Largest sideways stroke between the hub's taper and the first bend.",
        ),
        _row(
            "rms",
            "Sideways, µm rms",
            f"{ca.shaft_rms * 1e6:.1f}",
            f"{cb.shaft_rms * 1e6:.1f}",
            "Root mean square over that stretch and over time.",
        ),
        _row("fifth", *_fifth(a, b)),
        _row("against", *_opposite(a, b)),
        _row(
            "still",
            "Stands still, mm from end",
            _places(a),
            _places(b),
            "Nodes: places where the sideways stroke is lowest and below a tenth of the largest.",
        ),
        _row(
            "character",
            "Character",
            character_word(a.motion),
            character_word(b.motion),
            "Pendular: more than half of the sideways kinetic energy (metal and water) lies "
            "between hub and first bend. Whip-like: more than half lies beyond the first bend. "
            "The definition is ours.",
        ),
        _row(
            "share",
            "Energy in shaft / end",
            _share(a),
            _share(b),
            "Share of the sideways kinetic energy before and beyond the first bend.",
        ),
        _row(
            "turning",
            "Surface by turning, µm",
            micro(_turning(a)),
            micro(_turning(b)),
            "Largest peak-to-peak travel of the shaft's surface by turning alone, behind the "
            "first bend. It is alike in both shapes.",
        ),
    ]


def _hub(a: Result, b: Result) -> list[Row]:
    ma, mb = a.motion, b.motion
    return [
        _row(
            "torque",
            "Torque, N mm amplitude",
            f"{ma.hub_torque * 1e3:.1f}",
            f"{mb.hub_torque * 1e3:.1f}",
            "Half of the swing of the torque that turns the hub.",
        ),
        _row(
            "force",
            "Force, N amplitude",
            f"{ma.hub_force:.1f}",
            f"{mb.hub_force:.1f}",
            "Half of the swing of the force that pushes the hub along its axis.",
        ),
        _row(
            "power",
            "Power in, W while on",
            f"{ma.power:.2f}",
            f"{mb.power:.2f}",
            "Mean power over a cycle that the hub puts in; it equals what films and losses take "
            f"up. It rests on the assumed loss factor ({number('motion.loss_factor').text}), so "
            "read it as an order of magnitude.",
        ),
        _row(
            "mean",
            "Power in, W on average",
            f"{ma.mean_power:.2f}",
            f"{mb.mean_power:.2f}",
            "The same over pulses and rests; build-up and dying down of the vibration left out.",
        ),
    ]


def beyond_belief(a: Result, b: Result) -> list[str]:
    """Say where the end would move faster than any needle in use.

    >>> from tipsim import Scenario, solve
    >>> from tipsim.setup.link import from_query
    >>> near = solve(from_query("needle=single-bend&drive=torsional&drive.frequency_khz=36"))
    >>> beyond_belief(near, solve(Scenario.preset("straight, axial")))[0][:38]
    "A's end would move at 66 m/s, faster t"
    """
    ceiling = number("published.top_speed").si
    return [
        f"{key}'s end would move at {r.motion.end_speed:.0f} m/s, faster than any needle in use "
        f"({ceiling:g} m/s): it sits near a resonance, where the model is not to be believed."
        for key, r in (("A", a), ("B", b))
        if r.motion.end_speed > ceiling
    ]


def _places(r: Result) -> str:
    return ", ".join(f"{n * 1e3:.1f}" for n in r.motion.still_points) or "–"


def _share(r: Result) -> str:
    c = r.motion.character
    if c.pendular_share is None or c.whip_share is None:
        return "–"
    return f"{c.pendular_share:.0%} / {c.whip_share:.0%}"


def _turning(r: Result) -> float:
    return r.motion.character.shaft_turning


def published_setting(scenario: Scenario, shape: str) -> bool:
    """Tell whether a bench is set as the published torsional strokes were: 32 kHz, 100 %, free.

    >>> published_setting(Scenario.preset("single-bend, torsional"), "single-bend")
    True
    >>> published_setting(Scenario.preset("single-bend, axial"), "single-bend")
    False
    """
    drive = scenario.drive
    return (
        scenario.needle.shape == shape
        and drive.kind == "torsional"
        and abs(drive.frequency - 32e3) < 1.0
        and drive.power == 1.0
        and scenario.lens is None
        and scenario.support is None
    )


def _pair(a: Result, b: Result) -> tuple[Result, Result] | None:
    """Give (single-bend, counter-bent) when the benches hold that pair as published."""
    for one, two in ((a, b), (b, a)):
        if published_setting(one.scenario, "single-bend") and published_setting(
            two.scenario, "counter-bent"
        ):
            return one, two
    return None


_OTHER = "Published for a single-bend and a counter-bent needle at 32 kHz torsional, 100 %, free."


def _check(n: Sourced, value: float | None, text: str) -> Row:
    """Lay a computed value beside a published one."""
    if value is None:
        return {"text": f"{text} {_OTHER}", "verdict": "other setting", "status": n.status}
    inside = n.low <= value <= n.high
    return {"text": text, "verdict": "inside" if inside else "outside", "status": n.status}


def _end_check(a: Result, b: Result) -> Row:
    pair = _pair(a, b)
    n = number("published.counter_bent_end_stroke")
    text = f"Published: counter-bent {n.value:g} µm, single-bend 130 µm (fitted)."
    if pair is None:
        return _check(n, None, text)
    near = abs(pair[1].motion.end_stroke * 1e6 / n.value - 1)
    within = {"text": f"{text} Off by {near:.1%}. {_chosen(pair)}", "status": n.status}
    # ± 30 %: peak or peak to peak was not stated, nor geometry and drive.
    return {**within, "verdict": "inside" if near <= 0.3 else "outside"}


def _chosen(pair: tuple[Result, Result]) -> str:
    """Say whether a fit was sought: the default pair's geometry was chosen on these ratios."""
    ids = {r.scenario.needle.id for r in pair}
    if ids == {catalogue().main["single-bend"], catalogue().main["counter-bent"]}:
        return "Fitted: this pair was chosen on it."
    return "Predicted: this pair was not chosen on it."


def _end_ratio(a: Result, b: Result) -> tuple[str, str, str, str, Row]:
    pair = _pair(a, b)
    n = number("published.end_ratio")
    why = f"{n.source} Range held to: {n.low:g} to {n.high:g}."
    text = f"Published {n.value:g} (range held to {n.low:g} to {n.high:g})."
    ma, mb = a.motion.end_stroke, b.motion.end_stroke
    if pair is None:
        ratio = f"{mb / ma:.2f}" if ma > 0 else "–"
        return "Ratio, B over A", "", ratio, why, _check(n, None, text)
    value = pair[1].motion.end_stroke / pair[0].motion.end_stroke
    label = "Ratio, counter-bent over single-bend"
    return label, "", f"{value:.2f}", why, _check(n, value, f"{text} {_chosen(pair)}")


def _speed_check(a: Result, b: Result) -> Row:
    n = number("published.top_speed")
    fastest = max(a.motion.end_speed, b.motion.end_speed)
    return {
        "text": f"Ceiling quoted for any needle: {n.value:g} m/s.",
        "verdict": "inside" if fastest <= n.value else "outside",
        "status": n.status,
    }


def _fifth(a: Result, b: Result) -> tuple[str, str, str, str, Row]:
    n = number("practice.fifth_marker_ratio")
    text = f"About {n.value:g} ({n.low:g} to {n.high:g}) at 4 mm."
    ka = next((k for k in a.motion.markers if abs(k.distance - 4e-3) < 1e-9), None)
    kb = next((k for k in b.motion.markers if abs(k.distance - 4e-3) < 1e-9), None)
    label = "4 mm from the end, µm"
    if ka is None or kb is None:
        return label, "–", "–", n.source, _check(n, None, text)
    pair = _pair(a, b)
    value = None
    if pair is not None:
        one, two = (ka, kb) if pair[0] is a else (kb, ka)
        value = one.stroke / two.stroke if two.stroke > 0 else None
        text = f"Ratio {value:.2f}; {text[0].lower()}{text[1:]}" if value else text
        text = f"{text} {_chosen(pair)}"
    return label, micro(ka.stroke), micro(kb.stroke), n.source, _check(n, value, text)


def _opposite(a: Result, b: Result) -> tuple[str, str, str, str, Row]:
    n = number("practice.opposite_markers")
    against = [
        [i for i, k in enumerate(r.motion.markers, 1) if k.direction == AGAINST] for r in (a, b)
    ]
    shown = [", ".join(map(str, each)) or "none" for each in against]
    text = "Expected: markers 3, 4 and 5 move against 1 and 2, in both shapes."
    value = None
    pair = _pair(a, b)
    if pair is not None and all(len(r.motion.markers) == 5 for r in (a, b)):
        value = n.value if against[0] == against[1] == [3, 4, 5] else n.high + 1
        text = f"{text} {_chosen(pair)}"
    return "Markers against the end", shown[0], shown[1], n.source, _check(n, value, text)


def sources(a: Scenario, b: Scenario) -> list[dict[str, str]]:
    """Give every number behind the picture: what, value, status, source.

    Returns
    -------
    list of dict
        ``what``, ``value``, ``status``, ``source``; the parts of A and B first.
    """
    out = []
    for key, s in (("A", a), ("B", b)):
        parts = [(s.needle.title, s.needle.id), (f"{s.drive.kind} drive", s.drive.kind)]
        if s.sleeve is not None:
            parts.append((s.sleeve.title, s.sleeve.id))
        for title, id in parts:
            for o in catalogue().origins.get(id, ()):
                names = ", ".join(f.replace("_", " ") for f in o.fields)
                out.append(
                    {
                        "what": f"{key}: {title}: {names}",
                        "value": o.span,
                        "status": o.status,
                        "source": o.source,
                    }
                )
    for n in numbers().values():
        out.append({"what": n.label, "value": n.text, "status": n.status, "source": n.source})
    return out


def status_words() -> dict[str, str]:
    """Give what each status means."""
    return dict(STATUSES)
