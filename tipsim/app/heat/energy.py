"""Where the energy goes: watts by cause, in plain words."""

from __future__ import annotations

from dataclasses import dataclass

from tipsim.heat.timeline import HeatRun


@dataclass(frozen=True)
class Share:
    """Mean power that goes one way.

    Attributes
    ----------
    id, title, why : str
        Short name, words on screen, and what it means.
    watts : float
        Mean over pulses and rests [W].
    heats : bool
        Whether it warms needle, sleeve or the water inside them.
    """

    id: str
    title: str
    why: str
    watts: float
    heats: bool


def shares(run: HeatRun) -> list[Share]:
    """Give the power of a run by where it goes, in the order of the bar.

    With the load that is set at the start; events are left out.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> found = shares(solve(Scenario.preset("straight, axial")).heat)
    >>> [share.id for share in found if share.heats and share.watts > 0.01]
    ['metal', 'water-sleeve', 'water-bore']
    """
    total, duty = run.sources.total, run.duty
    outside = run.sources.watts["films_outside"]
    inside = float(outside[run.cells.sleeved].sum())
    return [
        Share(
            "metal",
            "In the metal",
            "The metal gives back a little less than what bends it; the rest warms it. The "
            "alloy's own loss.",
            duty * total("metal"),
            True,
        ),
        Share(
            "water-sleeve",
            "Water in the sleeve",
            "The shaft shears and pushes the water between itself and the sleeve.",
            duty * inside,
            True,
        ),
        Share(
            "water-bore",
            "Water in the bore",
            "The bore's wall shears the water that is drawn through it.",
            duty * total("films_bore"),
            True,
        ),
        Share(
            "rubbing",
            "Rubbing",
            "Where something presses, the sleeve rubs on the shaft: rubbing coefficient × load × "
            "mean sliding speed. The coefficient is fitted or assumed: see its own line.",
            duty * total("rubbing"),
            True,
        ),
        Share(
            "squeezing",
            "Squeezing",
            "Where something presses, sideways motion squeezes the sleeve, which gives back less "
            "than it takes. Silicone's numbers at this frequency are assumed.",
            duty * total("squeezing"),
            True,
        ),
        Share(
            "lens",
            "Lens at the mouth",
            "Work done on the lens material that touches the mouth.",
            duty * total("lens"),
            True,
        ),
        Share(
            "water-free",
            "Water beyond the sleeve",
            "The bare end shears the water around it. It warms that water, not the needle.",
            duty * (total("films_outside") - inside),
            False,
        ),
        Share(
            "unresolved",
            "Hub, and not resolved",
            "What the motion loses beyond what is named above: thread, hub, and all that the loss "
            "factor stands for (assumed). It heats nothing here.",
            duty * total("unresolved"),
            False,
        ),
    ]


def energy(a: HeatRun, b: HeatRun) -> dict[str, object]:
    """Give the bars and their table for the page, in watts."""
    one, two = shares(a), shares(b)
    return {
        "rows": [
            {
                "id": x.id,
                "title": x.title,
                "why": x.why,
                "heats": x.heats,
                "a": x.watts,
                "b": y.watts,
            }
            for x, y in zip(one, two, strict=True)
        ],
        "totals": [_totals(each) for each in (one, two)],
        "averaged": a.duty < 1 or b.duty < 1,
    }


def _totals(found: list[Share]) -> dict[str, float]:
    return {
        "all": sum(s.watts for s in found),
        "heats": sum(s.watts for s in found if s.heats),
    }
