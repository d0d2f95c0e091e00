"""What is saved of a film: pictures, times, truth and settings, whatever instrument took it."""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.saved.card import Card
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import Declared
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import ONE, SECOND, UM, Unit

MARK = "Simulated by tipsim: computed pictures of a computed needle. No measurement, no patient."
"""What every file says of itself."""
MOST_BYTES = 64_000_000
"""Most bytes of all pictures together, before they are compressed."""

Pixels = NDArray[np.uint8] | NDArray[np.uint16]


@described(eq=False)
class Levels:
    """What the numbers in a picture's pixels mean: value = offset + slope · level."""

    meaning: str = about('In words, such as "brightness; 240 is full light".')
    slope: float = about("Value of one level, in `unit`, and value of level 0.", default=1.0)
    offset: float = 0.0
    unit: str = about('Unit of the value, such as "W/m²/sr"; "" for a plain level.', default="")


@described(eq=False)
class Stack:
    """Pictures of one size, one after another."""

    name: str = about('Of its file, such as "film"; what it shows.')
    meaning: str
    pixels: Pixels = about(
        "Row 0 is the top; shape (f, rows, columns), grey of 8 or 16 bits, or (f, rows, columns, "
        "3) in colour of 8 bits."
    )


@described(eq=False)
class Column:
    """One column of a table."""

    name: str = about("Without its unit, which the head of the column brings.")
    meaning: str
    values: Sequence[Any] | NDArray[Any] = about(
        "Numbers in SI, NaN where there is no value; or text."
    )
    unit: Unit = about("Unit in the file.", default=ONE)

    @property
    def head(self) -> str:
        """Name with the unit behind it, as in all files: "x_true_um"."""
        return f"{self.name}_{self.unit.suffix}" if self.unit.suffix else self.name


@described(eq=False)
class Saved:
    """A film with its truth, ready to be written.

    Raises
    ------
    BadInput
        For more pixels than a file may have.
    """

    name: str = about('Short name of the instrument, for files: "high-speed-camera".')
    scenario: Scenario
    instrument: Declared = about("Its settings.")
    film: Stack
    levels: Levels
    time: NDArray[np.float64] = about("Middle of each exposure [s], shape (f,).")
    card: Card = about("What was used.")
    truth: Sequence[Column] = about(
        "Table of what is true, and of what the software measured in it."
    )
    readings: Sequence[Column] = ()
    more: Sequence[Stack] = about("Other pictures, such as of the needle at rest.", default=())
    pixel: float | None = about("Width of a pixel at the needle [m].", default=None)

    def __post_init__(self) -> None:
        """Refuse what is too large."""
        whole = sum(stack.pixels.nbytes for stack in self.stacks)
        if whole > MOST_BYTES:
            has, most = (f"{n / 1e6:.0f} MB" for n in (whole, MOST_BYTES))
            words = f"This film has {has} of pictures; at most {most} are saved. "
            words += "Take fewer pictures, or larger pixels."
            raise BadInput("film", f"{has} of pictures", f"up to {most}", words)

    @property
    def stacks(self) -> tuple[Stack, ...]:
        """All pictures."""
        return (self.film, *self.more)

    @property
    def frames(self) -> tuple[Column, ...]:
        """Number and time of each picture."""
        count = len(self.film.pixels)
        return (
            Column("picture", "number of the picture, from 1", np.arange(1, count + 1)),
            Column("time", "middle of the exposure", self.time, SECOND),
        )


def column(name: str, meaning: str, values: ArrayLike, unit: Unit = UM) -> Column:
    """Return a column of numbers in SI; lengths, unless a unit is given."""
    return Column(name, meaning, np.asarray(values), unit)
