"""All mistakes of the lessons at once, each with file and line."""

from collections.abc import Iterator
from dataclasses import dataclass

from tipsim.lesson.format import Place
from tipsim.setup.errors import BadInput


@dataclass(frozen=True, order=True)
class Fault:
    """One mistake.

    Examples
    --------
    >>> print(Fault(Place("01-x/items.yaml", 12), "kind", '"onne"', "one, several"))
    lessons/01-x/items.yaml:12: kind is "onne"; allowed: one, several.
    """

    place: Place
    field: str
    value: str
    allowed: str

    def __str__(self) -> str:
        at = f"lessons/{self.place.file}:{self.place.line}"
        return f"{at}: {BadInput(self.field, self.value, self.allowed)}"


class Faults:
    """A list of mistakes that grows while lessons are read and checked."""

    def __init__(self) -> None:
        self._all: set[Fault] = set()

    def add(self, place: Place, field: str, value: str, allowed: str) -> None:
        """Note a mistake; the same one twice is one."""
        self._all.add(Fault(place, field, value, allowed))

    def bad(self, place: Place, field: str, bad: BadInput) -> None:
        """Note what was refused deeper down."""
        self.add(place, f"{field}: {bad.field}" if bad.field else field, bad.value, bad.allowed)

    def __iter__(self) -> Iterator[Fault]:
        """Iterate by file and line."""
        return iter(sorted(self._all))

    def __len__(self) -> int:
        return len(self._all)


def quoted(text: str) -> str:
    """Return a short text in quotes, for a complaint."""
    flat = " ".join(text.split())
    return f'"{flat if len(flat) <= 60 else flat[:57] + "..."}"'
