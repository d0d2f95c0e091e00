"""The iris beside both sleeves, for the browser's own clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tipsim.app.framework.belief import believed, not_drawn, outside
from tipsim.app.framework.packet import encode
from tipsim.app.pages.tissue.rows import figure
from tipsim.app.pages.tissue.state import SEEDS, TissueState
from tipsim.motion.sections import Floats
from tipsim.motion.sleeve import mobility
from tipsim.motion.travel import at
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.solve import Result
from tipsim.tissue.iris import beside, film

Data = dict[str, Any]
SECONDS = 12.0
STEP = 1 / 160
"""Length of the run that is drawn and time between its samples [s]."""
REACH = 14e-3
"""How much of the needle the side view shows, from the tip [m]."""
CLOSE = 1e-6
"""Points nearer to each other than this count as one [m]."""


def packet(state: TissueState) -> bytes:
    """Return both sides as a packet; see `contents`."""
    return encode(contents(state))


def contents(state: TissueState) -> Data:
    """Return what the scene draws: times in s, lengths in mm, rubbing as `relative` has it.

    `next_seed` is what a new random run takes.
    """
    incision = state.bench.a.incision
    seed = int(state.seed)
    flutters = [flutter(r, seed) for r in state.results]
    rubbed = relative([f.work for f in flutters])
    return {
        "seconds": SECONDS,
        "step": STEP,
        "time": np.arange(round(SECONDS / STEP)) * STEP,
        "next_seed": seed % SEEDS + 1,
        "thickness": number("tissue_picture.iris").si * 1e3,
        "wound": [edge * 1e3 for edge in incision.span],
        "sides": [
            _side(key, r, f) | {"rubbed": so_far}
            for key, r, f, so_far in zip("ab", state.results, flutters, rubbed, strict=True)
        ],
    }


@dataclass(frozen=True)
class Fluttered:
    """The iris of one side over the run that is drawn.

    Attributes
    ----------
    gap : array
        To the sleeve at rest [m].
    touching : array of bool
    work : array
        Of rubbing so far [J].
    reach : float
        At how wide a gap they touch [m].
    """

    gap: Floats
    touching: NDArray[np.bool_]
    work: Floats
    reach: float


def flutter(result: Result, seed: int) -> Fluttered:
    """Return what flutters; an iris at its mean gap beside a motion that is not to be believed."""
    scenario = result.scenario
    gap = scenario.eye.iris_gap
    if outside(result):
        samples = round(SECONDS / STEP)
        still = np.full(samples, gap)
        return Fluttered(still, np.zeros(samples, dtype=bool), np.zeros(samples), 0.0)
    near = beside(scenario, result.motion, {})
    drawn = film(near, gap, SECONDS, STEP, seed)
    found = drawn.flutter
    return Fluttered(found.gap, found.touching, drawn.work, float(near.sliding.reach[0]))


def relative(works: Sequence[Floats]) -> list[Floats]:
    """Return the rubbing of A and B in units of B's whole run: in joules it spans ten decades.

    Where B's iris is not rubbed at all, A's whole run is the unit.

    >>> [w.tolist() for w in relative([np.array([0.0, 6.0]), np.array([0.0, 3.0])])]
    [[0.0, 2.0], [0.0, 1.0]]
    """
    a, b = works
    unit = float(b[-1]) or float(a[-1]) or 1.0
    return [w / unit for w in works]


def _side(key: str, result: Result, drawn: Fluttered) -> Data:
    """Return one side: outlines, sizes, motion at the place, and what flutters.

    `starts` are the samples at which a contact begins, `held` why nothing moves.
    """
    scenario = result.scenario
    eye, sleeve = scenario.eye, scenario.sleeve
    s = scenario.needle.length - min(scenario.iris_place, scenario.needle.length)
    covered = sleeve if sleeve is not None and s < scenario.sleeve_end else None
    radii = [float(r[0]) * 1e3 for r in scenario.needle.radii_at([s])]
    touching = drawn.touching
    starts = np.flatnonzero(touching & ~np.concatenate([[False], touching[:-1]]))
    return {
        "key": key,
        "title": f"{scenario.needle.title}, {scenario.drive.title}, "
        f"{figure(scenario.drive.power * 100, 3)} %",
        "place": scenario.iris_place * 1e3,
        "held": not_drawn(result),
        "reach": drawn.reach * 1e3,
        "turn_deg": float(np.degrees(eye.iris_side)),
        "arc_deg": float(np.degrees(scenario.tissue.iris.arc)),
        "needle": radii,
        "sleeve": [covered.outer_radius * 1e3, covered.inner_radius * 1e3] if covered else None,
        "mobility": float(mobility(scenario, np.array([s]))[0]),
        "moves": _moves(result, s),
        "outlines": _outlines(scenario, result),
        "middle": _middle(result, s),
        "gap": drawn.gap * 1e3,
        "touching": touching.astype(np.uint8),
        "starts": starts,
    }


def _moves(result: Result, s: float) -> list[list[float]]:
    """Return the needle's amplitude at a place towards the iris and across, re and im [mm]."""
    frame = result.motion.frame
    u = at(frame, believed(result).displacement, [s])[0, :3]
    towards, across = _axes(result.scenario)
    return [[float(v.real) * 1e3, float(v.imag) * 1e3] for v in (u @ towards, u @ across)]


def _middle(result: Result, s: float) -> float:
    """Return how far the needle's middle lies towards the iris at a place [mm]."""
    frame = result.motion.frame
    towards, _ = _axes(result.scenario)
    return float(np.interp(s, frame.s, frame.points @ towards)) * 1e3


def _axes(scenario: Scenario) -> tuple[Floats, Floats]:
    """Return unit vectors across the shaft: towards the iris, and at right angles to that."""
    turn = scenario.eye.iris_side
    towards = np.array([0.0, np.cos(turn), np.sin(turn)])
    return towards, np.array([0.0, -np.sin(turn), np.cos(turn)])


def _outlines(scenario: Scenario, result: Result) -> Data:
    """Return outlines as seen with the iris below: from the tip back, towards the iris [mm]."""
    frame = result.motion.frame
    towards, _ = _axes(scenario)
    end = frame.points[-1]
    near = frame.s >= frame.s[-1] - REACH
    x = (end[0] - frame.points[near, 0]) * 1e3
    y = frame.points[near] @ towards * 1e3
    s = frame.s[near]
    out: Data = {"needle": _around(x, y, scenario.needle.radii_at(s)[0] * 1e3)}
    sleeve = scenario.sleeve
    # A node on the sleeve's very end is left to the end itself.
    inside = s < scenario.sleeve_end - CLOSE
    if sleeve is not None and inside.any():
        places = np.append(s[inside], scenario.sleeve_end)
        mid = (np.interp(places, s, x), np.interp(places, s, y))
        for name, radius in (("sleeve", sleeve.outer_radius), ("fluid", sleeve.inner_radius)):
            out[name] = _around(*mid, np.full(len(places), radius * 1e3))
    return out


def _around(x: Floats, y: Floats, radius: Floats) -> list[list[float]]:
    """Return a closed outline around a line, radius on both sides."""
    dx, dy = np.gradient(x), np.gradient(y)
    size = np.hypot(dx, dy)
    nx, ny = -dy / size * radius, dx / size * radius
    there = np.stack([x + nx, y + ny], axis=1)
    back = np.stack([x - nx, y - ny], axis=1)[::-1]
    return [[round(float(v), 3) for v in p] for p in np.concatenate([there, back])]
