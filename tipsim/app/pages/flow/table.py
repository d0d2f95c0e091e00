"""The numbers beside the drawing, in rows for `Readout`, and where they come from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from tipsim.app.framework.numbers import sources
from tipsim.app.pages.flow.packet import alike
from tipsim.app.pages.flow.state import FlowState
from tipsim.app.pages.flow.words import flow_text, mmhg, run_words
from tipsim.flow.balance import Balance, balance
from tipsim.flow.surge import Surge
from tipsim.setup.flow import OCCLUSION
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

Row = dict[str, Any]


def content(state: FlowState) -> dict[str, Any]:
    """Return words and numbers of both benches; see `tipsim.app.framework.readout.Readout`."""
    scenarios = (state.bench.a, state.bench.b)
    steady = [balance(s) for s in scenarios]
    runs = state.runs
    words = [
        {"side": side, "title": s.needle.title, "lines": [run_words(s, run), *_doubts(b, run)]}
        for side, s, b, run in zip("ab", scenarios, steady, runs, strict=True)
    ]
    if alike(*scenarios, *runs):
        same = "A and B flow alike: same bore, same sleeve. Bends change the motion, not the flow."
        words.append({"side": "", "title": "Compared", "lines": [same]})
    return {
        "words": words,
        "sections": [
            {"title": "Opening free", "rows": _free(scenarios, steady)},
            _event(scenarios, runs),
        ],
    }


def warnings() -> list[str]:
    """Return what rests on assumptions only, and what is not in the model."""
    line, chamber = number("surge.line_compliance"), number("surge.chamber_compliance")
    text = (
        f"How deep and how fast rests on assumed numbers, above all the compliance of the line to "
        f"the pump ({line.text}) and of the chamber ({chamber.text}). It shows more or less, not "
        "an exact value."
    )
    left_out = (
        "Left out: air in the lines, a pump that stops or vents by itself at a break, a needle off "
        "the middle of its sleeve, thicker fluids, a chamber that stiffens with pressure, and what "
        "iris and lens do in a flat chamber."
    )
    return [text, left_out]


def origins(_: FlowState) -> list[dict[str, str]]:
    """Return every number of the flow with its origin."""
    return sources(groups=("flow.", "lines.", "surge.", "chamber.volume"))


def _doubts(b: Balance, run: Surge) -> list[str]:
    out = []
    limit = number("flow.laminar")
    per_flow = dict(b.reynolds)["bore"] / max(b.flows.mouth + b.flows.bypass, 1e-15)
    if b.turbulent:
        out.append(
            f"The flow in the {' and the '.join(b.turbulent)} is beyond laminar (Reynolds number "
            f"over {limit.value:g}): the real resistance is larger."
        )
    elif per_flow * run.fastest > limit.value:
        out.append(
            "In the surge the flow in the bore is beyond laminar (Reynolds number "
            f"{per_flow * run.fastest:.0f}): the real surge is slower, the dip shallower."
        )
    return out


def _row(id: str, label: str, both: list[str], why: str) -> Row:
    return {"id": id, "label": label, "a": both[0], "b": both[1], "why": why, "check": None}


def _free(scenarios: tuple[Scenario, ...], steady: list[Balance]) -> list[Row]:
    bare = [s.sleeve is None for s in scenarios]

    def flows(name: str) -> list[str]:
        return [flow_text(getattr(b.flows, name)) for b in steady]

    def sleeved(texts: list[str]) -> list[str]:
        return ["–" if is_bare else t for is_bare, t in zip(bare, texts, strict=True)]

    drilled = [s.needle.has_bypass for s in scenarios]
    holes = [t if d else "no hole" for d, t in zip(drilled, flows("bypass"), strict=True)]
    leak = [b.flows.leak / b.flows.irrigation if b.flows.irrigation else 0.0 for b in steady]
    leak_row = _row(
        "leak-share",
        "Leaks, of the irrigation",
        sleeved([f"{x * 100:.0f} %" for x in leak]),
        "Leak over irrigation while the opening is free: the leak set lies in the range of a "
        "matched incision on the bench, 1 to 6 mL/min. Over whole operations 67 ± 11 % leaked "
        "(Liyanage et al. 2009, 105 cases): incisions there leak far more, and fluid also runs "
        "while the pump rests.",
    )
    leak_row["check"] = _leak_check(leak, bare)
    return [
        _row(
            "chamber",
            "Chamber, mmHg",
            sleeved([mmhg(b.chamber_pressure) for b in steady]),
            "Pressure above the room's: the bottle's (0.7356 mmHg per cm) less what the line, the "
            "gap in the sleeve and the ports take.",
        ),
        _row(
            "vacuum",
            "Vacuum at the pump, mmHg",
            [mmhg(b.vacuum) + (" (chamber pushes)" if b.pushes else "") for b in steady],
            "Below the room's pressure; 0 where the chamber's pressure alone pushes the flow "
            "through, and the pump holds it back. The pump is taken to stand at the eye's height.",
        ),
        _row("mouth", "Into the opening, mL/min", flows("mouth"), _MOUTH),
        _row("bypass", "Through the hole, mL/min", holes, _HOLE),
        _row(
            "irrigation",
            "From the bottle, mL/min",
            sleeved(flows("irrigation")),
            "What leaves by opening, hole and incision.",
        ),
        _row(
            "leak",
            "Leak through the incision, mL/min",
            sleeved(flows("leak")),
            "A narrow slit: in proportion to the chamber's pressure (assumed); as set at 40 mmHg.",
        ),
        leak_row,
        _row(
            "ports",
            "Jets at the ports, m/s",
            sleeved([f"{b.port_speed:.2f}" for b in steady]),
            "Mean speed in the two ports; the jets slow down as they spread. A study in pig eyes "
            "saw 0.34 ± 0.13 m/s at the fastest place of the chamber (Kaji et al. 2012).",
        ),
    ]


_MOUTH = (
    "A flow-controlled pump gives its set flow as long as its vacuum stays within the limit; with "
    "a vacuum-controlled one the flow follows the resistance. Bore: laminar flow in cones, and a "
    "loss at the opening."
)
_HOLE = (
    "A short cut from the sleeve into the bore. It takes more during occlusion, and "
    "cools the shaft then."
)


def _leak_check(leak: list[float], bare: list[bool]) -> Row | None:
    if any(bare):
        return None
    inside = all(0.45 <= x <= 0.89 for x in leak)
    return {
        "text": "67 % of the irrigation over an operation, 45 to 89 % taken as the band.",
        "verdict": "inside" if inside else "outside",
        "status": "read",
    }


def _event(scenarios: tuple[Scenario, ...], runs: tuple[Surge, ...]) -> dict[str, Any]:
    """Return the rows of what happens: of the occlusion, or of the irrigation that stops."""
    bare = [s.sleeve is None for s in scenarios]

    def sleeved(texts: list[str]) -> list[str]:
        return ["–" if is_bare else t for is_bare, t in zip(bare, texts, strict=True)]

    def row(id: str, label: str, of: Callable[[Surge], str], why: str, chamber: bool) -> Row:
        texts = [of(r) for r in runs]
        return _row(id, label, sleeved(texts) if chamber else texts, why)

    if runs[0].event == OCCLUSION:
        return {"title": "Occluded, then released", "rows": [row(*r) for r in _OCCLUSION]}
    return {"title": "Irrigation stopped", "rows": [row(*r) for r in _NO_IRRIGATION]}


def _after(time: float | None) -> str:
    return "not reached" if time is None else f"{time:.2f}"


_Told = tuple[str, str, Callable[[Surge], str], str, bool]
_LEAST: tuple[_Told, ...] = (
    (
        "lowest",
        "Lowest in the chamber, mmHg",
        lambda r: mmhg(r.lowest),
        (
            "After an occlusion break, or from the moment the irrigation stops. At 0 the walls of "
            "the chamber come in."
        ),
        True,
    ),
    (
        "lost",
        "Chamber loses, % of its volume",
        lambda r: f"{r.share_lost * 100:.0f}",
        (
            "Of what it held before: 250 µL at the usual pressure. Published order of surges: more "
            "with more vacuum (Clin Ophthalmol 2025;19:1357-1364), which is so here too; less "
            "with more pressure, which needs a chamber that stiffens and is not in this model."
        ),
        True,
    ),
)
_OCCLUSION: tuple[_Told, ...] = (
    (
        "rise",
        "Vacuum at its limit after, s",
        lambda r: _after(r.rise_time),
        (
            "From the start of occlusion to 95 % of the limit. More flow makes it shorter, a more "
            "compliant line makes it longer. A vacuum-controlled pump is there all the time."
        ),
        False,
    ),
    (
        "high",
        "Chamber during occlusion, mmHg",
        lambda r: mmhg(float(r.chamber.max())),
        (
            "With less flow the lines take less, so that nearly the bottle's pressure stands in "
            "the chamber."
        ),
        True,
    ),
    (
        "fastest",
        "Fastest surge flow, mL/min",
        lambda r: flow_text(r.fastest),
        (
            "Up the bore at the occlusion break: the vacuum in the line, over the resistance of "
            "bore, opening and the line up to where it complies."
        ),
        False,
    ),
    *_LEAST,
)
_NO_IRRIGATION: tuple[_Told, ...] = (
    (
        "gone",
        "Chamber without pressure after, s",
        lambda r: _after(r.empties_after),
        "From the moment the irrigation stops until the chamber's pressure is the room's.",
        True,
    ),
    (
        "flat",
        "Chamber flat after, s",
        lambda r: _after(r.flat_after),
        "Until no volume is left: volume over what is drawn and leaks.",
        True,
    ),
    *_LEAST,
)
