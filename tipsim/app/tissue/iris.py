"""The iris in words and rows."""

from __future__ import annotations

from typing import Any

from tipsim.app.tissue.rows import Row, banded, figure, movers, percent, plain, row, thousandths
from tipsim.flow.balance import flows
from tipsim.setup.units import ML_MIN
from tipsim.solve import Result
from tipsim.tissue.iris import Iris
from tipsim.tissue.texts import notes

RARE = 0.5
"""Fewer contacts a minute than this are called rare."""


def content(a: Result, b: Result) -> dict[str, Any]:
    """Give words, rows and what lowers rubbing."""
    return {
        "words": [{"side": key, "line": told(r)} for key, r in (("a", a), ("b", b))],
        "rows": rows(a.iris, b.iris),
        "lower": [vars(note) for note in notes()["lower"]],
    }


def told(r: Result) -> str:
    """Say in a sentence or two what the iris meets.

    >>> from tipsim import Scenario, solve
    >>> told(solve(Scenario.preset("single-bend, torsional"))).split(". ")[0]
    'The iris comes to the sleeve about 66 times a minute and lies on it for 2.3 % of the time'
    """
    found, flow = r.iris, float(ML_MIN.from_si(flows(r.scenario).irrigation))
    per_minute = found.contacts_per_minute.usual
    share = found.contact_share.usual * 100
    speed = found.speed.usual
    what = "sleeve" if r.scenario.sleeve else "needle"
    if share >= 50:
        first = f"The iris lies on the {what} for {share:.0f} % of the time."
    elif per_minute < RARE:
        first = f"As set, the iris hardly ever comes to the {what}."
    else:
        first = (
            f"The iris comes to the {what} about {figure(per_minute)} times a minute and lies on "
            f"it for {figure(share)} % of the time."
        )
    return (
        f"{first} There the {what} slides at {figure(speed)} m/s while the drive is on. "
        f"{flow:.0f} mL/min come in."
    )


def rows(a: Iris, b: Iris) -> list[Row]:
    """Give the numbers of both."""
    flow = ("iris.reference_flow", "iris.reference_modulus", "eye.iris_modulus")
    flutter = ("iris.spread", "iris.spread_exponent", "iris.spread_limit")
    return [
        row(
            "flutter",
            "Flutter, mm (standard deviation)",
            (plain(figure(i.spread * 1e3)) for i in (a, b)),
            "How far the gap strays from its mean. It grows with the flow and with a softer iris; "
            "how, is assumed.",
            *flutter,
            *flow,
        ),
        row(
            "rate",
            "To and fro, per second",
            (plain(figure(i.rate)) for i in (a, b)),
            "How often the gap passes its mean on the way out.",
            *("iris.rate", "iris.rate_share"),
            *flow,
        ),
        row(
            "reach",
            "Sleeve swings towards it, µm",
            (plain(figure(i.reach * 1e6)) for i in (a, b)),
            "Half of the stroke (peak to peak) of the surface towards the iris, from the solved "
            "motion and the share that the silicone takes on.",
            *("sleeve.mobility", "eye.iris_place", "eye.iris_side"),
        ),
        row(
            "contacts",
            "Contacts per minute",
            (banded(i.contacts_per_minute) for i in (a, b)),
            "How often the gap closes: crossings of a level by a random gap (Rice 1944-45).",
            "eye.iris_gap",
            *movers(a.contacts_per_minute, b.contacts_per_minute),
        ),
        row(
            "share",
            "Time in contact, %",
            (banded(i.contact_share, percent) for i in (a, b)),
            "Share of time that the gap is closed, whether the drive is on or not.",
            "eye.iris_gap",
            *movers(a.contact_share, b.contact_share),
        ),
        row(
            "speed",
            "Speed of rubbing, m/s",
            (banded(i.speed) for i in (a, b)),
            "Mean speed of the surface along itself, over a cycle and over the touched patch, "
            "while the drive is on.",
            *("sleeve.mobility", "eye.iris_place", "eye.iris_side"),
            *movers(a.speed, b.speed),
        ),
        row(
            "work",
            "Work of rubbing, mJ per minute",
            (banded(i.work_per_minute, thousandths) for i in (a, b)),
            "Share of time in contact × speed × pressure × touched area × friction × share of "
            "time that the drive is on.",
            *movers(a.work_per_minute, b.work_per_minute),
        ),
        row(
            "index",
            "Pigment index (teaching)",
            (banded(i.index) for i in (a, b)),
            "Work per minute over a reference. A teaching index: no measurement ties rubbing to "
            "pigment.",
            "iris.reference_work",
            *movers(a.index, b.index),
        ),
    ]
