"""A drill through time: from one thing that happens to the next, with checkpoints.

State = scenario + seed + list of timed actions. Stretches end where something is due: a fault,
what the team does, an action of the learner, an event that the model brings about, and every
`TICK` seconds whatever comes, so that a forecast and a replay go through the same stretches.
"""

from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from threading import Lock

import numpy as np

from tipsim.drill.actions import PEDAL, TEAM, Action, Actions, ordered
from tipsim.drill.curves import Curves, Piece, joined
from tipsim.drill.events import after_event, first_event
from tipsim.drill.faults import Due, strike
from tipsim.drill.format import Drill
from tipsim.drill.scene import Scene, first_scene, pressed, shares, step_on, team
from tipsim.drill.warm import Bench, Warmth, begin_warm, motion_of, under, warm
from tipsim.flow.balance import flows
from tipsim.flow.circuit import bottle_pressure
from tipsim.flow.onward import EVEN, FINE, Standing, at_rest, onward
from tipsim.heat.legs import Model
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.thermal import Press
from tipsim.tissue.nucleus import mouth, rate_at

TICK = 5.0
"""A stretch is never longer [s]."""
AHEAD = 10.0
"""How far a forecast looks [s]."""
_SEALED = (0.5, 2.5)
"""A stretch with a sealed bottle is never longer: after a change, and without one [s]."""
KEPT = 512
"""Checkpoints that are kept, of all drills."""
_LATELY = 0.5
"""So long after a change much still moves [s]."""
_NEAR = 1e-9


@dataclass(frozen=True, eq=False)
class Moment:
    """All that counts at a moment."""

    time: float
    scene: Scene
    fluid: Standing
    warmth: Warmth
    due: tuple[Due, ...]
    spent: float = 0.0
    """Time of ultrasound, each second counted by its power [s]."""


@dataclass(frozen=True)
class Case:
    """A drill with its seed, and what can be left away for comparison."""

    drill: Drill
    seed: int
    faults: bool = True
    model: Model | None = None

    @property
    def scenario(self) -> Scenario:
        """What the drill is set up with."""
        return self.drill.scenario

    def moments(self) -> tuple[float, ...]:
        """Return when each fault comes [s]."""
        found = enumerate(self.drill.faults)
        return tuple(f.moment(self.drill.id, self.seed, i) for i, f in found)


class _Kept:
    """Checkpoints by what they rest on; the oldest go first."""

    def __init__(self) -> None:
        self._all: OrderedDict[object, Moment] = OrderedDict()
        self._lock = Lock()

    def get(self, key: object) -> Moment | None:
        with self._lock:
            found = self._all.get(key)
            if found is not None:
                self._all.move_to_end(key)
            return found

    def put(self, key: object, moment: Moment) -> None:
        with self._lock:
            self._all[key] = moment
            while len(self._all) > KEPT:
                self._all.popitem(last=False)

    def clear(self) -> None:
        with self._lock:
            self._all.clear()


_KEPT = _Kept()


def forget() -> None:
    """Forget all checkpoints: results do not depend on them."""
    _KEPT.clear()


def forecast(
    drill: Drill,
    actions: Actions = (),
    until: float | None = None,
    seed: int | None = None,
    since: float | None = None,
) -> Curves:
    """Return what happens from the last action on if nothing changes.

    Parameters
    ----------
    actions : tuple of Action
        All so far.
    until : float, optional
        [s]; ten seconds from where it begins when absent.
    seed : int, optional
        The drill's own when absent.
    since : float, optional
        Where the curves begin [s]; at the last action when absent.

    Returns
    -------
    Curves
        The same bit by bit, whatever was computed before.
    """
    actions = ordered(actions)
    begin = since if since is not None else (actions[-1].time if actions else 0.0)
    end = begin + AHEAD if until is None else until
    return run_case(Case(drill, drill.seed if seed is None else seed), actions, end, begin)


def run_case(case: Case, actions: Actions, until: float, since: float = 0.0) -> Curves:
    """Return the curves of a case between two times [s]."""
    pieces = list(_pieces(case, actions, until, since))
    return joined(case.scenario, pieces, since, until)


def _pieces(case: Case, actions: Actions, until: float, since: float) -> Iterator[Piece]:
    moment = _latest(case, actions, since)
    while moment.time < until - _NEAR:
        for action in actions:
            if action.time == moment.time:
                moment = _act(moment, action)
        piece, moment = _stretch(case, _struck(case, moment), actions, until)
        if moment.time < until:
            _KEPT.put(_key(case, actions, moment.time), moment)
        if piece.end > since:
            yield piece


def _key(case: Case, actions: Actions, time: float) -> object:
    """Return what a moment rests on: what was done before it."""
    return case, tuple(a for a in actions if a.time < time), time


def _latest(case: Case, actions: Actions, since: float) -> Moment:
    """Return the latest moment that is kept, up to a time; the beginning, if none."""
    ticks = {k * TICK for k in range(int(since / TICK) + 1)}
    for time in sorted(ticks | {a.time for a in actions if a.time <= since}, reverse=True):
        found = _KEPT.get(_key(case, actions, time)) if time > 0 else None
        if found is not None:
            return found
    return _begin(case)


def _begin(case: Case) -> Moment:
    drill, scenario = case.drill, case.scenario
    due = []
    for fault, time in zip(drill.faults, case.moments(), strict=True):
        if fault.kind == "bottle empty":
            # So full from the start that at steady flow this is left at that time.
            filled = fault.size + flows(scenario).irrigation * time
            due.append(Due(0.0, fault.kind, filled))
            continue
        due.append(Due(time, fault.kind, fault.size))
        if fault.kind == "occlusion":
            due.append(Due(time + fault.size, "occlusion breaks"))
    known = tuple(sorted(due, key=lambda d: d.time)) if case.faults else ()
    warmth = begin_warm(drill.bench, *_model(case))
    return Moment(0.0, first_scene(scenario), at_rest(scenario), warmth, known)


def _model(case: Case) -> tuple[Model, ...]:
    return () if case.model is None else (case.model,)


def _act(moment: Moment, action: Action) -> Moment:
    """Return the moment after the learner has done something."""
    if action.do in PEDAL or action.do == "stop":
        return replace(moment, scene=step_on(moment.scene, action))
    scene, takes = moment.scene, number(TEAM[action.do]).si
    if action.do == "change the bottle":
        scene = scene.put(connected=False)
    due = (*moment.due, Due(moment.time + takes, action.do))
    return replace(moment, scene=scene, due=tuple(sorted(due, key=lambda d: d.time)))


def _struck(case: Case, moment: Moment) -> Moment:
    """Return the moment after what is due now has come."""
    scene = moment.scene
    for due in (d for d in moment.due if d.time <= moment.time):
        if due.what in TEAM:
            scene = team(scene, due.what, case.scenario)
        else:
            scene = strike(scene, due, case.scenario.flow.bottle_height)
    return replace(moment, scene=scene, due=tuple(d for d in moment.due if d.time > moment.time))


def _stretch(case: Case, moment: Moment, actions: Actions, until: float) -> tuple[Piece, Moment]:
    """Follow a moment up to the next thing that happens, or to a time."""
    scene = moment.scene
    scenario = under(case.drill.bench, _press(scene))
    end = min(until, _next(case, moment, actions))
    standing = _steered(scenario, moment, end)
    # Where nothing was changed lately, few points and long steps do.
    lately = _lately(standing, scene)
    grid = FINE if lately else EVEN
    fluid, then = onward(scenario, standing, end, grid=grid)
    event = first_event(scenario, scene, moment.warmth.flat, fluid)
    if event is not None and event.time < end:
        end = event.time
        fluid, then = onward(scenario, standing, end, grid=grid)
    heat, warmth = warm(case.drill.bench, scene, moment.warmth, fluid, lately, *_model(case))
    span, poured = end - moment.time, float(fluid.volumes[-1, 0]) - standing.state[5]
    left = max(0.0, scene.fragment - _clearing(case, scene) * span)
    later = scene.put(
        bottle=max(0.0, scene.bottle - poured),
        air=scene.air + max(poured, 0.0) if scene.sealed else 0.0,
        fragment=left if left > 1e-15 else 0.0,
    )
    if later.fragment == 0.0:
        later = later.put(blocked=False)
    later = after_event(scenario, later, event, fluid)
    spent = moment.spent + scene.ultrasound * span
    flat = event.what == "flat" if event and event.what in ("flat", "full") else warmth.flat
    piece = Piece(scene, standing, fluid, heat, moment.spent, left)
    return piece, Moment(end, later, then, replace(warmth, flat=flat), moment.due, spent)


def _lately(standing: Standing, scene: Scene) -> bool:
    """Return whether something has just changed; a sealed bottle's pressure falls slowly."""
    slow = ("bottle",) if scene.sealed else ()
    ends = (ramp[2] for what, ramp in standing.ramps.items() if what not in slow)
    return max(ends) + _LATELY > standing.time


def _press(scene: Scene) -> Press | None:
    return Press(force=scene.load) if scene.load > 0 else None


def _next(case: Case, moment: Moment, actions: Actions) -> float:
    """Return when the stretch ends if the model brings nothing about."""
    now = moment.time
    ends = [(int(now / TICK + _NEAR) + 1) * TICK]
    ends += [d.time for d in moment.due]
    ends += [a.time for a in actions if a.time > now]
    if moment.scene.sealed:
        ends.append(now + _SEALED[0 if _fresh(case.scenario, moment) else 1])
    rate = _clearing(case, moment.scene)
    if rate > 0:
        ends.append(now + max(moment.scene.fragment / rate, 1e-6))
    return min(ends)


def _fresh(scenario: Scenario, moment: Moment) -> bool:
    """Return whether something but a sealed bottle's pressure changes now, or has just changed."""
    aims, ramps = shares(scenario, moment.scene, 0.0), moment.fluid.ramps
    changes = any(ramps[what][3] != aim for what, aim in aims.items() if what != "bottle")
    return changes or _lately(moment.fluid, moment.scene)


def _steered(scenario: Scenario, moment: Moment, end: float) -> Standing:
    """Return the fluid's standing with all that has changed under way."""
    scene, standing = moment.scene, moment.fluid
    full = bottle_pressure(scenario.flow, scenario.fluid.density)
    coming = max(standing.state[2], 0.0) * (end - moment.time)
    aims = shares(scenario, scene, pressed(scene, full, coming))
    for what, aim in aims.items():
        if standing.ramps[what][3] == aim:
            continue
        standing = standing.changed(
            what, aim, _within(scenario, what, aim, scene, end - moment.time)
        )
    return standing


def _within(scenario: Scenario, what: str, aim: float, scene: Scene, span: float) -> float:
    """Return how long a change takes [s]."""
    if what == "opening":
        return scenario.surge.opening_time if aim > 0 else scenario.surge.closing_time
    if what == "bottle":
        return span if scene.sealed else number("drill.time_raise").si
    return number("drill.pedal_time").si


def _clearing(case: Case, scene: Scene) -> float:
    """Return the volume of fragment that is emulsified in a second [m³/s]."""
    if not scene.at_tip or scene.ultrasound <= 0:
        return 0.0
    return number("drill.clearing").si * _rate(case.drill.bench, scene.ultrasound)


@lru_cache(maxsize=256)
def _rate(bench: Bench, power: float) -> float:
    """Return the cutting rate at a power over that of the reference needle."""
    found = rate_at(mouth(bench.scenario, motion_of(bench, None)), power, {})
    return float(np.asarray(found).ravel()[0])
