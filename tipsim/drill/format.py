"""What a drill's file says, read."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from tipsim.drill.actions import Action, Actions
from tipsim.drill.faults import Fault
from tipsim.drill.outputs import NAMES
from tipsim.drill.warm import Bench
from tipsim.setup.scenario import Scenario


@dataclass(frozen=True)
class Sign:
    """What can be noticed: a curve that a team can see or hear falls below or rises above a level.

    Attributes
    ----------
    name : str
        Of the curve.
    below, above : float or None
        One of them, in SI.
    lasts : float
        For how long, until it can be noticed [s].
    says : str
        In words.
    """

    name: str
    below: float | None
    above: float | None
    lasts: float
    says: str

    def holds(self, values: Mapping[str, NDArray[np.float64]]) -> NDArray[np.bool_]:
        """Return when its condition holds, (n,)."""
        curve = values[self.name]
        return curve < self.below if self.below is not None else curve > (self.above or 0.0)


@dataclass(frozen=True)
class Step:
    """Something right or harmful: any of some actions, and why."""

    any: tuple[str, ...]
    says: str


@dataclass(frozen=True)
class Goal:
    """A limit for one of the debrief's measures, in its own unit."""

    measure: str
    least: float | None
    most: float | None


@dataclass(frozen=True, eq=False)
class Drill:
    """One drill. The same text is read to the same object, so that it serves as a key.

    Attributes
    ----------
    id, title, brief : str
        Name of its file; what the learner is told before.
    scenario : Scenario
        What it is set up with.
    seed : int
        The usual one.
    lasts : float
        [s].
    faults, signs, right, harmful, goals
        What goes wrong, can be seen, helps and harms, and what is to be reached. The first of
        `right` is the first step.
    start : tuple of Action
        What is done before: the case so far.
    script : tuple of Action
        What a careful team does, timed from the first fault on.
    """

    id: str
    title: str
    brief: str
    scenario: Scenario
    seed: int
    lasts: float
    faults: tuple[Fault, ...]
    signs: tuple[Sign, ...]
    right: tuple[Step, ...]
    harmful: tuple[Step, ...]
    goals: tuple[Goal, ...]
    start: Actions
    script: Actions

    @cached_property
    def bench(self) -> Bench:
        """The scenario as a key."""
        return Bench(self.scenario)

    def careful(self, moment: float) -> Actions:
        """Return what a careful team does; the script counts from the first fault on."""
        later = (Action(moment + a.time, a.do, a.travel) for a in self.script)
        return (*self.start, *later)


def sign_words(sign: Sign) -> str:
    """Return a sign's condition in words.

    >>> sign_words(Sign("depth", 0.002, None, 0.3, "The chamber is shallow."))
    'Chamber depth below 2 mm for 0.3 s'
    """
    unit = NAMES[sign.name].unit
    level, side = (sign.below, "below") if sign.below is not None else (sign.above, "above")
    return f"{NAMES[sign.name].label} {side} {unit.show(level or 0.0, 3)} for {sign.lasts:g} s"
