"""The few results that the whole page speaks of, solved once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from tipsim.app.words import micro
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result
from tipsim.store import result

SPACE = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True, eq=False)
class Defaults:
    """The default needles at full power.

    Attributes
    ----------
    single, counter, straight : Result
        Single-bend, counter-bent and straight needle, torsional drive.
    axial : Result
        Straight needle, axial drive: the one that the hub's axial stroke was set on.
    """

    single: Result
    counter: Result
    straight: Result
    axial: Result


@cache
def defaults() -> Defaults:
    """Solve the default needles; done once."""
    return Defaults(
        result(Scenario.preset("single-bend, torsional")),
        result(Scenario.preset("counter-bent, torsional")),
        result(Scenario.preset("straight, torsional")),
        result(Scenario.preset("straight, axial")),
    )


def percent(share: float, digits: int = 0) -> str:
    r"""Write a share as a percentage.

    >>> percent(0.071), percent(0.004, 1)
    ('7\xa0%', '0.4\xa0%')
    """
    return f"{share * 100:.{digits}f}{SPACE}%"


def ratio(value: float) -> str:
    """Write a ratio to three figures at most.

    >>> ratio(1.4836), ratio(28.88), ratio(0.113)
    ('1.48', '29', '0.11')
    """
    return f"{value:.0f}" if value >= 10 else f"{value:.2f}"


def microns(length: float) -> str:
    r"""Write a length [m] in micrometres.

    >>> microns(130.01e-6), microns(3.84e-6)
    ('130\xa0µm', '3.8\xa0µm')
    """
    return f"{micro(length)}{SPACE}µm"
