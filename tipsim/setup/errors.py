"""One way to say that an input is not possible."""

from collections.abc import Iterable
from difflib import get_close_matches


class BadInput(ValueError):
    """An input that cannot be used: names the field, the value and what is allowed.

    Attributes
    ----------
    field, value, allowed : str
        The three parts of the sentence.

    Examples
    --------
    >>> raise BadInput("needle.bevel", "70 deg", "0 to 60 deg")
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: needle.bevel is 70 deg; allowed: 0 to 60 deg.
    """

    def __init__(self, field: str, value: str, allowed: str) -> None:
        self.field, self.value, self.allowed = field, value, allowed
        super().__init__(f"{field} is {value}; allowed: {allowed}.")

    def within(self, place: str) -> "BadInput":
        """Give the same complaint with a place put before the field."""
        join = "" if self.field.startswith("[") else "."
        return BadInput(f"{place}{join}{self.field}", self.value, self.allowed)


def nearest(word: str, known: Iterable[str]) -> str:
    """Give ' (nearest: "...")' for a mistyped name, or nothing.

    Examples
    --------
    >>> nearest("powr", ["power", "phase"])
    ' (nearest: "power")'
    >>> nearest("zzz", ["power"])
    ''
    """
    close = get_close_matches(word, list(known), 1, cutoff=0.5)
    return f' (nearest: "{close[0]}")' if close else ""
