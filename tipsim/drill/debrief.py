"""What a reaction cost or saved: the same drill again, a second earlier, and without the fault."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tipsim.drill.actions import ASPIRATION, PEDAL, Action, Actions, ordered
from tipsim.drill.curves import Curves
from tipsim.drill.format import Drill, Goal, Sign, Step
from tipsim.drill.measures import MEASURES, measured
from tipsim.drill.run import Case, run_case

AS_DONE, EARLIER, FOOT_UP, NO_FAULT = (
    *("as done", "one second earlier", "foot to irrigation at once"),
    "without the fault",
)
_FEET = (*PEDAL, "stop")
_NOT_A_COST = ("fragment_percent", "ultrasound_time_s")
"""Less of these is no gain by itself: a foot that is up emulsifies nothing."""
EARLY = 1.0
"""By how much earlier [s]."""


@dataclass(frozen=True)
class Seen:
    """A sign, and when it could first be noticed [s]; None: never."""

    sign: Sign
    time: float | None


@dataclass(frozen=True)
class Took:
    """A right step and when it was first done from the first fault on [s]; None: never."""

    step: Step
    time: float | None


@dataclass(frozen=True)
class Met:
    """A goal, what the learner reached, and whether that meets it."""

    goal: Goal
    value: float
    met: bool


@dataclass(frozen=True, eq=False)
class Debrief:
    """All that is shown after a drill.

    Attributes
    ----------
    curves : Curves
        Of the whole drill, as done.
    moments : tuple of float
        When each fault came [s].
    seen, took, goals
        Signs, right steps and goals.
    harm : tuple
        Harmful steps that were taken, and when [s].
    first_sign, first_act : float or None
        When the first sign could be noticed, and when the learner first did something right [s].
    first_was_first : bool or None
        Whether the first step came before the other right ones; None: nothing right was done.
    measures : mapping
        Every measure of the four runs, in its own unit.
    sentence : str
        What to take along, from these numbers.
    """

    drill: Drill
    seed: int
    curves: Curves
    moments: tuple[float, ...]
    seen: tuple[Seen, ...]
    took: tuple[Took, ...]
    harm: tuple[tuple[Step, float], ...]
    goals: tuple[Met, ...]
    first_sign: float | None
    first_act: float | None
    first_was_first: bool | None
    measures: Mapping[str, Mapping[str, float]]
    sentence: str

    @property
    def reaction(self) -> float | None:
        """Return the time from the first sign to the first right step [s]; before it: 0."""
        if self.first_sign is None or self.first_act is None:
            return None
        return max(0.0, self.first_act - self.first_sign)

    @property
    def passed(self) -> bool:
        """Whether all goals are met, nothing harmful was done, and the first step came first."""
        return all(g.met for g in self.goals) and not self.harm and bool(self.first_was_first)


def debrief(
    drill: Drill, actions: Actions, seed: int | None = None, compared: bool = True
) -> Debrief:
    """Return what came of a drill, and what else would have come of it.

    Parameters
    ----------
    actions : tuple of Action
        All that the learner did.
    seed : int, optional
        The drill's own when absent.
    compared : bool
        Whether to compute the other three runs; without them there is no sentence.
    """
    seed = drill.seed if seed is None else seed
    actions = ordered(actions)
    case = Case(drill, seed)
    moments = case.moments()
    begin = min(moments)
    curves = run_case(case, actions, drill.lasts)
    seen = tuple(Seen(s, first_seen(s, curves, begin)) for s in drill.signs)
    first_sign = min((s.time for s in seen if s.time is not None), default=None)
    look = begin if first_sign is None else first_sign
    took = tuple(Took(s, _first(s, actions, begin, look)) for s in drill.right)
    harms = ((s, _first(s, actions, begin, look)) for s in drill.harmful)
    harm = tuple((s, t) for s, t in harms if t is not None)
    times = [t.time for t in took if t.time is not None]
    first_act = min(times, default=None)
    others = {
        EARLIER: Case(drill, seed),
        FOOT_UP: Case(drill, seed),
        NO_FAULT: Case(drill, seed, faults=False),
    }
    done = {
        EARLIER: sooner(actions, look),
        FOOT_UP: foot_up(actions, look),
        NO_FAULT: actions,
    }
    measures = {AS_DONE: measured(curves, begin)}
    for name, other in others.items() if compared else ():
        measures[name] = measured(run_case(other, done[name], drill.lasts), begin)
    goals = tuple(_met(g, measures[AS_DONE][g.measure]) for g in drill.goals)
    first = None if first_act is None else took[0].time is not None and took[0].time <= first_act
    return Debrief(
        drill,
        seed,
        curves,
        moments,
        seen,
        took,
        harm,
        goals,
        first_sign,
        first_act,
        first,
        measures,
        sentence(measures, first_sign, first_act, [g.measure for g in drill.goals])
        if compared
        else "",
    )


def first_seen(sign: Sign, curves: Curves, begin: float) -> float | None:
    """Return when a sign could first be noticed [s]; None: never.

    It must have held for as long as the sign says, from the first fault on at the earliest.
    """
    time, holds = curves["time"], sign.holds(curves.values)
    since: float | None = None
    for now, there in zip(time.tolist(), holds.tolist(), strict=True):
        if now < begin:
            continue
        since = (now if since is None else since) if there else None
        if since is not None and now - since >= sign.lasts:
            return float(since + sign.lasts)
    return None


def _first(step: Step, actions: Actions, begin: float, look: float) -> float | None:
    """Return when one of a step's actions was first done [s]; None: never.

    The pedal counts from the first sign on (`look`): where it stood then, or was put later. All
    else counts from the first fault on.
    """
    held, since = ASPIRATION, 0.0
    for action in actions:
        if action.time < look and action.do in _FEET:
            held, since = action.do, action.time
    if held in step.any:
        return max(since, begin)
    return next(
        (a.time for a in actions if a.do in step.any and a.time >= _from(a, begin, look)), None
    )


def _from(action: Action, begin: float, look: float) -> float:
    return look if action.do in _FEET else begin


def sooner(actions: Actions, since: float) -> Actions:
    """Return the same actions, those after a time one second earlier, none before it.

    >>> [a.time for a in sooner((Action(1.0, "rest"), Action(5.0, "rest")), 4.5)]
    [1.0, 4.5]
    """
    moved = (
        Action(max(since, a.time - EARLY), a.do, a.travel) if a.time > since else a for a in actions
    )
    return ordered(moved)


def foot_up(actions: Actions, since: float) -> Actions:
    """Return the same actions with the foot in irrigation from a time on.

    >>> foot_up((Action(1.0, "rest"), Action(5.0, "ultrasound"), Action(6.0, "flush")), 2.0)[-1].do
    'flush'
    """
    kept = [a for a in actions if a.time <= since or a.do not in PEDAL]
    return ordered([*kept, Action(since, "irrigation")])


def _met(goal: Goal, value: float) -> Met:
    if goal.least is not None:
        return Met(goal, value, value >= goal.least)
    return Met(goal, value, goal.most is not None and value <= goal.most)


def sentence(
    measures: Mapping[str, Mapping[str, float]],
    first_sign: float | None,
    first_act: float | None,
    wanted: Sequence[str],
) -> str:
    """Return what to take along, from the numbers of the four runs.

    Parameters
    ----------
    first_sign, first_act : float or None
        [s].
    wanted : sequence of str
        Measures of the drill's goals: these are looked at first.
    """
    if first_act is None:
        front = "Nothing that helps was done."
    elif first_sign is None or first_act <= first_sign:
        front = "You acted before any sign could be noticed."
    else:
        front = f"You acted {first_act - first_sign:.1f} s after the first sign."
    other = FOOT_UP if first_act is None else EARLIER
    found = _largest(measures, other, wanted)
    if found is None and other == EARLIER:
        other, found = FOOT_UP, _largest(measures, FOOT_UP, wanted)
    if found is None:
        return f"{front} Neither a second earlier nor the foot at once would have changed much."
    measure = MEASURES[found]
    mine, theirs = (measures[name][found] for name in (AS_DONE, other))
    how = "A second earlier" if other == EARLIER else "Foot to irrigation at the first sign"
    return f"{front} {how}: {measure.label} {measure.show(theirs)} instead of {measure.show(mine)}."


def _largest(
    measures: Mapping[str, Mapping[str, float]], other: str, wanted: Sequence[str]
) -> str | None:
    """Return the measure that would have been better by most; those wanted come first."""

    def gain(name: str) -> float:
        measure = MEASURES[name]
        by = measures[AS_DONE][name] - measures[other][name]
        return float((by if measure.less else -by) / measure.matters)

    for names in (wanted, [n for n in MEASURES if n not in _NOT_A_COST]):
        best = max(names, key=gain, default=None)
        if best is not None and gain(best) >= 1:
            return best
    return None


def timeline(found: Debrief, names: Sequence[str], times: Sequence[float]) -> np.ndarray:
    """Return some curves at some times, in their own units, (n, len(names))."""
    time = found.curves["time"]
    return np.column_stack([np.interp(times, time, found.curves.shown(n)) for n in names])
