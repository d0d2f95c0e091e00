"""Fields that know their unit, range, label and source: one place for checks, files and forms."""

from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, field
from typing import Any

from tipsim.setup.checks import check
from tipsim.setup.described import document
from tipsim.setup.sourced import number
from tipsim.setup.units import ONE, Unit

Follower = Callable[[Any], float]
Slider = tuple[float, float, float]
"""Lowest and highest value and step of a control, in the unit of the outside."""


REQUIRED = object()
"""For a number that has a source but no first value: each object brings its own."""


def quantity(
    unit: Unit,
    low: float,
    high: float,
    doc: str,
    default: Any = MISSING,
    *,
    label: str = "",
    slider: Slider | None = None,
    scale: str = "linear",
    source: str = "",
    short: str = "",
    follows: Follower | None = None,
) -> Any:
    """Declare a number.

    Parameters
    ----------
    unit : Unit
        Unit of the outside; `low`, `high` and `slider` are in it.
    low, high : float
        Allowed range.
    doc : str
        Meaning, as the help says it.
    default : optional
        First value in SI; `None` makes the number optional, `REQUIRED` asks for one. Absent: the
        value of `source`.
    label : str
        Words beside the control; absent: the meaning.
    slider : (low, high, step), optional
        Range and step of the control; absent: the whole range in a hundred steps.
    scale : str
        "linear" or "log": how the control goes through its range.
    source : str
        Id of the entry of `assets/numbers` that the first value comes from.
    short : str
        Short name for links and `Scenario.with_`, such as "power".
    follows : callable, optional
        From the whole scenario to the value in SI that counts while none is set; makes the number
        optional.
    """
    if follows is not None:
        default = None
    if default is REQUIRED:
        default = MISSING
    elif source and default is MISSING:
        default = number(source).si
    meta = {
        "kind": "quantity",
        "unit": unit,
        "low": low,
        "high": high,
        "doc": doc,
        "label": label or capital(doc),
        "slider": slider or (low, high, _step(low, high)),
        "scale": scale,
        "source": source,
        "short": short,
        "follows": follows,
    }
    return field(default=default, metadata=meta)


def sourced(
    id: str,
    doc: str = "",
    *,
    span: tuple[float, float] | None = None,
    label: str = "",
    slider: Slider | None = None,
    scale: str = "",
    short: str = "",
    follows: Follower | None = None,
) -> Any:
    """Declare a number by its entry in `assets/numbers`: value, unit, range and meaning are there.

    Parameters
    ----------
    id : str
    doc, label : str
        Other words than the entry's, for the help and beside the control.
    span : (low, high), optional
        Allowed range, where it is wider than that over which the number is uncertain.
    slider, scale, short, follows
        As in `quantity`; absent, the control of a range of many decades goes by the logarithm.

    Examples
    --------
    >>> sourced("iris.friction").metadata["slider"]
    (0.01, 0.5, 0.005)
    """
    n = number(id)
    low, high = span or (n.low, n.high)
    decades = span is None and low > 0 and high / low >= DECADES
    return quantity(
        n.unit,
        low,
        high,
        doc or n.label[0].lower() + n.label[1:],
        label=label or capital(doc) or n.label,
        slider=slider,
        scale=scale or ("log" if decades else "linear"),
        source=id,
        short=short,
        follows=follows,
    )


DECADES = 30.0
"""From this ratio of its ends on, the control of an assumed number goes by the logarithm."""


def capital(text: str) -> str:
    """Return a text that begins with a capital letter."""
    return text[:1].upper() + text[1:]


def _step(low: float, high: float) -> float:
    return float(f"{(high - low) / 100:.1g}")


def choice(
    options: tuple[str, ...],
    doc: str,
    default: Any = MISSING,
    *,
    label: str = "",
    short: str = "",
    said: Mapping[str, str] | None = None,
) -> Any:
    """Declare one word out of a list; `said` are those that people read another word for."""
    meta = {"kind": "choice", "options": options, "doc": doc, "said": said or {}}
    meta |= {"label": label or capital(doc), "short": short}
    return field(default=default, metadata=meta)


def words(doc: str, default: Any = MISSING, *, label: str = "") -> Any:
    """Declare a line of text, up to 120 characters."""
    meta = {"kind": "words", "doc": doc, "label": label or capital(doc)}
    return field(default=default, metadata=meta)


def part(cls: type, doc: str, default: Any = MISSING, optional: bool = False) -> Any:
    """Declare a nested dataclass."""
    meta = {"kind": "part", "cls": cls, "optional": optional, "doc": doc}
    return field(default=default, metadata=meta)


def parts(
    cls: type, doc: str, default: Any = MISSING, *, most: int, least: int = 0, label: str = ""
) -> Any:
    """Declare a tuple of nested dataclasses, at least `least` and at most `most` of them."""
    meta = {"kind": "parts", "cls": cls, "most": most, "least": least, "doc": doc}
    return field(default=default, metadata=meta | {"label": label or capital(doc)})


def numbers(
    unit: Unit,
    low: float,
    high: float,
    most: int,
    doc: str,
    default: Any = MISSING,
    *,
    label: str = "",
    short: str = "",
) -> Any:
    """Declare a tuple of one to `most` numbers of one unit."""
    meta = {"kind": "numbers", "unit": unit, "low": low, "high": high, "least": 1, "most": most}
    meta |= {"doc": doc, "label": label or capital(doc), "short": short}
    return field(default=default, metadata=meta)


class Declared:
    """What dataclasses of declared fields share: the check, and a docstring made of declarations.

    >>> class Iris(Declared):
    ...     arc: float = sourced("iris.arc")
    >>> print(Iris.__doc__.partition("----------")[2])
    <BLANKLINE>
    arc : float
        Arc of the sleeve that the iris touches [rad].
    <BLANKLINE>
    """

    def __init_subclass__(cls) -> None:
        """Add to the class's docstring what its fields mean."""
        document(cls, _meaning)

    def __post_init__(self) -> None:
        """Check every field."""
        check(self)


def _meaning(f: "Field[Any]") -> str:
    """Return the meaning of a field with its SI unit, or the words to choose from."""
    words = ", ".join(f'"{o}"' for o in f.metadata.get("options", ()))
    unit = f.metadata.get("unit", ONE).si
    more = f": {words}" if words else f" [{unit}]" if unit != ONE.si else ""
    return f"{capital(f.metadata['doc'])}{more}."
