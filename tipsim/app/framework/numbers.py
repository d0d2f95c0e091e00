"""The numbers beside the stage: both needles, the published value, and where it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from tipsim.app.framework.belief import KEYS, outside, shown
from tipsim.app.framework.words import comparison_sentences, motion_words
from tipsim.citation import number_rows, part_rows
from tipsim.motion.markers import AGAINST, Marker
from tipsim.quantities import figures, quantity
from tipsim.setup.catalogue import catalogue
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import STATUSES, Sourced, number
from tipsim.solve import Result

Row = dict[str, Any]
MOTION = (
    *("titanium.", "motion.", "drive.", "hub.", "limits.", "sleeve.", "fluid.density"),
    *("lens.", "support."),
)
"""What the ids of the numbers behind every motion begin with."""


def readout(a: Result, b: Result, *more: Result) -> dict[str, Any]:
    """Return everything that the panel of numbers shows.

    Returns
    -------
    dict
        ``words`` (side, title, lines), ``sections`` (title and rows). A row has ``id``, ``label``,
        ``a``, ``b``, ``why`` and perhaps ``check`` (text, verdict, status) and ``more`` (texts of
        further needles, whose sides ``more`` names).
    """
    checks = {"motion.end_stroke": _end_check(a, b), "motion.end_speed": _speed_check(a, b)}
    sections: dict[str, tuple[str | Row, ...]] = {
        "At the tip": (
            "motion.end_stroke", _end_ratio(a, b), "motion.end_speed", "motion.edge_stroke",
        ),
        "Along the shaft": (
            "motion.shaft_stroke", "motion.shaft_rms", _fifth(a, b, *more), _opposite(a, b, *more),
            "motion.still_points", "motion.character", "motion.pendular_share", "motion.turning",
            "motion.sleeve_coupling",
        ),
        "At the hub": (
            "motion.hub_torque", "motion.hub_force", "motion.hub_side_force", "motion.hub_moment",
            "motion.hub_shift", "motion.hub_tilt", "motion.power", "motion.mean_power",
        ),
        "Bubbles": (
            "cavitation.film", "cavitation.film_place", "cavitation.shaft", "cavitation.tip",
            "cavitation.threshold", "cavitation.film_onset", "cavitation.tip_onset",
        ),
        "Limits of the model": ("limits.speed", "limits.power", "limits.swing"),
    }  # fmt: skip
    return {
        "words": [
            {"side": "a", "title": _title(a), "lines": motion_words(a)},
            {"side": "b", "title": _title(b), "lines": motion_words(b)},
            *(
                {"side": side, "title": _title(r), "lines": motion_words(r)}
                for side, r in zip(KEYS[2:].lower(), more, strict=False)
            ),
            {
                "side": "",
                "title": "A and B compared" if more else "Compared",
                "lines": comparison_sentences(a, b),
            },
        ],
        "more": list(KEYS[2:].lower()[: len(more)]),
        "sections": [
            {"title": title, "rows": rows(each, a, b, checks, more)}
            for title, each in sections.items()
        ],
    }


def rows(
    each: Iterable[str | Row],
    a: Result,
    b: Result,
    checks: Mapping[str, Row] | None = None,
    more: Sequence[Result] = (),
) -> list[Row]:
    """Return the rows of a table: of outputs by name, and rows that are ready."""
    return [
        quantity_row(one, a, b, (checks or {}).get(one)) | _further(one, more)
        if isinstance(one, str)
        else {"more": [""] * len(more)} | one
        for one in each
    ]


def _further(name: str, more: Sequence[Result]) -> Row:
    q = quantity(name)
    return {"more": [shown(r, name, q.number(q.get(r))) for r in more]}


def quantity_row(name: str, a: Result, b: Result, check: Row | None = None) -> Row:
    """Return the row of an output, from its declaration.

    >>> from tipsim import Scenario, solve
    >>> both = (solve(Scenario.preset(f"{s}-bend, torsional")) for s in ("single", "single"))
    >>> quantity_row("motion.end_stroke", *both)["label"]
    'Stroke, µm peak to peak'
    """
    q = quantity(name)
    values = [shown(r, name, q.number(q.get(r))) for r in (a, b)]
    return _row(name.replace(".", "-"), q.short_heading, values[0], values[1], q.meaning, check)


def _title(r: Result) -> str:
    return f"{r.scenario.needle.title}, {r.scenario.drive.title}"


def _row(id: str, label: str, a: str, b: str, why: str, check: Row | None = None) -> Row:
    return {"id": id, "label": label, "a": a, "b": b, "why": why, "check": check}


def published_setting(scenario: Scenario, shape: str) -> bool:
    """Return whether a scenario is set as the published one: 32 kHz torsional, 100 %, free.

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
        and scenario.press is None
    )


def _pair(a: Result, b: Result) -> tuple[Result, Result] | None:
    """Return (single-bend, counter-bent) when the two are that pair as published, and believed."""
    if outside(a) or outside(b):
        return None
    for one, two in ((a, b), (b, a)):
        if published_setting(one.scenario, "single-bend") and published_setting(
            two.scenario, "counter-bent"
        ):
            return one, two
    return None


_OTHER = "Published for a single-bend and a counter-bent needle at 32 kHz torsional, 100 %, free."


def _check(n: Sourced, value: float | None, text: str) -> Row:
    """Compare a computed value with a published one."""
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
    """Return whether a fit was sought: the default pair's geometry was chosen on these ratios."""
    ids = {r.scenario.needle.id for r in pair}
    if ids == {catalogue().main["single-bend"], catalogue().main["counter-bent"]}:
        return "Fitted: this pair was chosen on it."
    return "Predicted: this pair was not chosen on it."


def _end_ratio(a: Result, b: Result) -> Row:
    pair = _pair(a, b)
    n = number("published.end_ratio")
    why = f"{n.source} Range held to: {n.low:g} to {n.high:g}."
    text = f"Published {n.value:g} (range held to {n.low:g} to {n.high:g})."
    ma, mb = a.motion.end_stroke, b.motion.end_stroke
    if pair is None:
        ratio = "–" if outside(a) or outside(b) or not ma > 0 else f"{mb / ma:.2f}"
        return _row("ratio", "Ratio, B over A", "", ratio, why, _check(n, None, text))
    value = pair[1].motion.end_stroke / pair[0].motion.end_stroke
    label = "Ratio, counter-bent over single-bend"
    check = _check(n, value, f"{text} {_chosen(pair)}")
    return _row("ratio", label, "", f"{value:.2f}", why, check)


def _speed_check(a: Result, b: Result) -> Row:
    n = number("published.top_speed")
    fastest = max(a.motion.end_speed, b.motion.end_speed)
    return {
        "text": f"Ceiling quoted for any needle: {n.value:g} m/s.",
        "verdict": "inside" if fastest <= n.value else "outside",
        "status": n.status,
    }


def _fifth(a: Result, b: Result, *more: Result) -> Row:
    n = number("practice.fifth_marker_ratio")
    text = f"About {n.value:g} ({n.low:g} to {n.high:g}) at 4 mm."
    found = [
        next((k for k in _seen(r) if abs(k.distance - 4e-3) < 1e-9), None) for r in (a, b, *more)
    ]
    each = ["–" if k is None else figures(k.stroke * 1e6) for k in found]
    ka, kb = found[:2]
    pair = _pair(a, b)
    value = None
    if pair is not None and ka is not None and kb is not None:
        one, two = (ka, kb) if pair[0] is a else (kb, ka)
        value = one.stroke / two.stroke if two.stroke > 0 else None
        text = f"Ratio {value:.2f}; {text[0].lower()}{text[1:]}" if value else text
        text = f"{text} {_chosen(pair)}"
    row = _row("fifth", "4 mm from the tip, µm", each[0], each[1], n.source, _check(n, value, text))
    return row | {"more": each[2:]}


def _opposite(a: Result, b: Result, *more: Result) -> Row:
    n = number("practice.opposite_markers")
    against = [
        [i for i, k in enumerate(_seen(r), 1) if k.direction == AGAINST] for r in (a, b, *more)
    ]
    each = [
        "–" if outside(r) else ", ".join(map(str, numbers)) or "none"
        for r, numbers in zip((a, b, *more), against, strict=True)
    ]
    text = "Expected: markers 3, 4 and 5 move out of step with 1 and 2, in both shapes."
    value = None
    pair = _pair(a, b)
    if pair is not None and all(len(r.motion.markers) == 5 for r in (a, b)):
        value = n.value if against[0] == against[1] == [3, 4, 5] else n.high + 1
        text = f"{text} {_chosen(pair)}"
    check = _check(n, value, text)
    row = _row("against", "Out of step with the tip", each[0], each[1], n.source, check)
    return row | {"more": each[2:]}


def _seen(r: Result) -> tuple[Marker, ...]:
    """Return the markers of a motion that can be believed."""
    return () if outside(r) else r.motion.markers


def sources(
    *scenarios: Scenario, groups: tuple[str, ...] = ("",), now: Scenario | None = None
) -> list[dict[str, str]]:
    """Return every number behind the picture: what, value, status, source.

    Parameters
    ----------
    *scenarios : Scenario
        Whose needles, sleeves and drives are named, as A, B and so on.
    groups : tuple of str
        What the ids of the numbers begin with; usually all.
    now : Scenario, optional
        Where numbers may have been moved: they are given as set there.

    Returns
    -------
    list of dict
        ``what``, ``value``, ``status``, ``source``; the parts of each needle first.
    """
    parts = [
        row | {"what": f"{key}: {row['what']}" if len(scenarios) > 1 else row["what"]}
        for key, s in zip(KEYS, scenarios, strict=False)
        for row in part_rows(s)
    ]
    return [*parts, *number_rows(now, groups)]


def status_words() -> dict[str, str]:
    """Return what each status means."""
    return dict(STATUSES)
