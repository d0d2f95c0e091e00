"""The few results that the whole page speaks of, and how it writes numbers."""

from __future__ import annotations

from typing import NamedTuple

from tipsim import store
from tipsim.app.framework.words import micro
from tipsim.setup.presets import preset
from tipsim.solve import Result

SPACE = "\N{NO-BREAK SPACE}"


class Defaults(NamedTuple):
    """The default needles at full power, torsional drive."""

    single: Result
    counter: Result
    straight: Result


def defaults() -> Defaults:
    """Return the default needles' results."""
    return Defaults(
        *(
            store.result(preset(f"{s}, torsional"))
            for s in ("single-bend", "counter-bent", "straight")
        )
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
