"""Frozen dataclasses whose fields say what they mean, once: their docstrings are made of it."""

from collections.abc import Callable, Iterator
from dataclasses import MISSING, Field, dataclass, field
from inspect import cleandoc
from typing import Any, TypeVar, dataclass_transform

T = TypeVar("T")


def about(doc: str, *, default: Any = MISSING, default_factory: Any = MISSING) -> Any:
    """Declare a field with its meaning, unit and shape; the defaults are those of `field`.

    A field of the same type that follows without words of its own shares them.
    """
    return field(default=default, default_factory=default_factory, metadata={"doc": doc})


@dataclass_transform(frozen_default=True, field_specifiers=(about, field))
def described(**options: bool) -> Callable[[type[T]], type[T]]:
    """Make a frozen dataclass; its docstring gets the section "Attributes" from its fields.

    Parameters
    ----------
    **options : bool
        Of `dataclasses.dataclass`, such as ``eq=False``.

    Examples
    --------
    >>> @described()
    ... class Tube:
    ...     outer: float = about("Radii [m].")
    ...     inner: float
    >>> Tube.__doc__.splitlines()[-2:]
    ['outer, inner : float', '    Radii [m].']
    """

    def made(cls: type[T]) -> type[T]:
        document(cls)
        return dataclass(frozen=True, **options)(cls)

    return made


def document(cls: type, more: Callable[["Field[Any]"], str] = lambda f: f.metadata["doc"]) -> None:
    """Add the section "Attributes" to the docstring of a class that is to be a dataclass.

    Parameters
    ----------
    more : callable
        Returns the words for a field whose metadata have a "doc".
    """
    section = "\n".join(["Attributes", "----------", *_entries(cls, more)])
    cls.__doc__ = f"{cleandoc(cls.__doc__ or '')}\n\n{section}\n"


def _entries(cls: type, more: Callable[["Field[Any]"], str]) -> Iterator[str]:
    names: list[str] = []
    last, words = "", ""
    for name, annotation in vars(cls).get("__annotations__", {}).items():
        kind = annotation.__name__ if isinstance(annotation, type) else str(annotation)
        one = vars(cls).get(name)
        own = more(one) if isinstance(one, Field) and "doc" in one.metadata else ""
        if names and (own or kind != last):
            yield _entry(names, last, words)
            names, words = [], ""
        names, last, words = [*names, name], kind, own or words
    if names:
        yield _entry(names, last, words)


def _entry(names: list[str], kind: str, words: str) -> str:
    return "\n    ".join(filter(None, (f"{', '.join(names)} : {kind}", words)))
