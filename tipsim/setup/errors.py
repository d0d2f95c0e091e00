"""One way to say that an input is not possible."""

from collections.abc import Iterable
from difflib import get_close_matches

THOUSANDS = "\N{NARROW NO-BREAK SPACE}"
"""What keeps thousands apart in a number."""


class BadInput(ValueError):
    """An input that cannot be used: names the field, the value and what is allowed.

    Attributes
    ----------
    field, value, allowed : str
        The three parts of the usual sentence.
    sentence : str
        What to say beside the field itself, which needs no name there.

    Examples
    --------
    >>> raise BadInput("needle.bevel", "70 deg", "0 to 60 deg")
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: needle.bevel is 70 deg; allowed: 0 to 60 deg.
    """

    def __init__(self, field: str, value: str, allowed: str, sentence: str = "") -> None:
        self.field, self.value, self.allowed = map(_one_line, (field, value, allowed))
        whole = f"{self.field} is {self.value}; allowed: {self.allowed}."
        self.sentence = _one_line(sentence) or whole
        super().__init__(whole)

    def within(self, place: str) -> "BadInput":
        """Return the same complaint with a place put before the field."""
        join = "" if not self.field or self.field.startswith("[") else "."
        return self.at(f"{place}{join}{self.field}")

    def at(self, field: str) -> "BadInput":
        """Return the same complaint about a field of another name."""
        own = self.sentence if self.sentence != str(self) else ""
        return BadInput(field, self.value, self.allowed, own)


def _one_line(text: str) -> str:
    """Write characters that cannot be shown as escapes, so that a sentence stays one line.

    The space between thousands counts as shown, though Python does not call it printable.
    """
    return "".join(
        c if c.isprintable() or c == THOUSANDS else c.encode("unicode_escape").decode()
        for c in text
    )


def nearest(word: str, known: Iterable[str]) -> str:
    """Return ' (nearest: "...")' for a mistyped name, or nothing.

    Examples
    --------
    >>> nearest("powr", ["power", "phase"])
    ' (nearest: "power")'
    >>> nearest("zzz", ["power"])
    ''
    """
    close = get_close_matches(word, list(known), 1, cutoff=0.5)
    return f' (nearest: "{close[0]}")' if close else ""
