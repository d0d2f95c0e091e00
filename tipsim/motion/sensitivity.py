"""How much the motion moves when something is off by one in a hundred."""

from collections.abc import Callable
from dataclasses import replace

from tipsim.motion.run import Motion, run
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario

STEP = 0.01
"""Relative change that is tried, up and down."""
DELICATE = 0.05
"""A stroke that moves by more than this for `STEP` is called delicate; a convention."""


Pair = tuple[float | None, float | None]


@described()
class Effect:
    """What a change of 1 % does."""

    what: str = about('"frequency", "stiffness" or "length".')
    end: Pair = about(
        "Relative change of the end stroke for -1 % and +1 %; None where a limit is in the way."
    )
    shaft: Pair = about(
        "Relative change of the shaft's sideways rms; 0 when it does not move sideways."
    )

    @property
    def largest(self) -> float:
        """Largest relative change of the end stroke, without sign."""
        return max((abs(v) for v in self.end if v is not None), default=0.0)


@described()
class Sensitivity:
    """Effects of frequency, stiffness and length."""

    effects: tuple[Effect, ...]

    @property
    def delicate(self) -> bool:
        """Whether any change of 1 % moves the end stroke by more than 5 %."""
        return any(e.largest > DELICATE for e in self.effects)


def _frequency(s: Scenario, factor: float) -> Scenario:
    return replace(s, drive=replace(s.drive, frequency=s.drive.frequency * factor))


def _stiffness(s: Scenario, factor: float) -> Scenario:
    metal = s.needle.material
    return replace(s, needle=replace(s.needle, material=replace(metal, young=metal.young * factor)))


def _length(s: Scenario, factor: float) -> Scenario:
    pieces = tuple(replace(p, length=p.length * factor) for p in s.needle.pieces)
    return replace(s, needle=replace(s.needle, pieces=pieces))


CHANGES: dict[str, Callable[[Scenario, float], Scenario]] = {
    "frequency": _frequency,
    "stiffness": _stiffness,
    "length": _length,
}


def sensitivity(scenario: Scenario, motion: Motion | None = None) -> Sensitivity:
    """Compute the effect of 1 % more and less of frequency, stiffness and length.

    Parameters
    ----------
    scenario : Scenario
        Markers must lie on the needle when it is 1 % shorter; those that do not are left out.
    motion : Motion, optional
        Its solution, where it is at hand.

    Examples
    --------
    >>> found = sensitivity(Scenario.preset("straight, axial"))
    >>> [e.what for e in found.effects], found.delicate
    (['frequency', 'stiffness', 'length'], False)
    """
    bare = replace(scenario, markers=(0.0,))
    first = motion if motion is not None else run(bare)
    effects = []
    for what, change in CHANGES.items():
        tried = [_run(bare, change, 1 + way * STEP) for way in (-1, 1)]
        effects.append(
            Effect(
                what,
                _pair(first.end_stroke, [m.end_stroke if m else None for m in tried]),
                _pair(
                    first.character.shaft_rms,
                    [m.character.shaft_rms if m else None for m in tried],
                ),
            )
        )
    return Sensitivity(tuple(effects))


def _run(
    scenario: Scenario, change: Callable[[Scenario, float], Scenario], factor: float
) -> Motion | None:
    """Solve the changed scenario; None where the change leads beyond what is allowed."""
    try:
        return run(change(scenario, factor))
    except BadInput:
        return None


def _pair(before: float, after: list[float | None]) -> Pair:
    low, high = (None if v is None else v / before - 1 if before > 0 else 0.0 for v in after)
    return low, high
