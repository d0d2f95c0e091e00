"""A needle as someone types it: texts in mm and degrees, right or wrong. Nothing typed is lost."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import Field, dataclass, fields, replace
from decimal import Decimal
from typing import Any

from tipsim.setup import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import key
from tipsim.setup.material import Material
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.needle import shape_of as shape_of_turns

Texts = Mapping[str, str]
Quantity = Field[Any]

TITLE = "Own needle"
"""What a new needle is called at first."""
LONGEST = 40
"""Most characters that a number may be typed with."""


def _quantities(cls: type) -> dict[str, Quantity]:
    return {key(f): f for f in fields(cls) if f.metadata.get("kind") == "quantity"}


TUBE = _quantities(Needle)
"""The needle's single numbers by their key in files."""
PIECE = _quantities(Piece)
"""The numbers of a piece by their key in files."""

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d{1,3})?", re.ASCII)


@dataclass(frozen=True)
class Draft:
    """A needle on the drawing board.

    Attributes
    ----------
    title, id, shape : str
        As in `Needle`.
    tube : mapping of str to str
        The needle's single numbers, by the keys of `TUBE`.
    pieces : tuple of mapping of str to str
        Each piece's numbers, by the keys of `PIECE`; an empty radius means: as before.
    material : Material
        The metal; titanium unless a file said otherwise.

    Examples
    --------
    >>> draft = Draft.of(catalogue.needle("single-bend-20-0.9"))
    >>> draft.pieces[1]["turn_deg"], draft.tube["outer_radius_mm"]
    ('20', '0.45')
    """

    title: str
    id: str
    shape: str
    tube: Texts
    pieces: tuple[Texts, ...]
    material: Material

    @classmethod
    def of(cls, needle: Needle) -> Draft:
        """Write a needle's numbers out; reading them again gives the same needle."""
        return cls(
            needle.title,
            needle.id,
            needle.shape,
            {name: _text(f, getattr(needle, f.name)) for name, f in TUBE.items()},
            tuple(
                {n: _text(f, getattr(p, f.name)) for n, f in PIECE.items()} for p in needle.pieces
            ),
            needle.material,
        )

    @classmethod
    def start(cls, id: str) -> Draft:
        """Give a new needle that starts as one of the catalogue."""
        return replace(cls.of(catalogue.needle(id)), title=TITLE, id=slug(TITLE))

    def with_text(self, field: str, text: str) -> Draft:
        """Give the draft with one text changed.

        Parameters
        ----------
        field : str
            "title", a key of `TUBE`, or "pieces.0." and a key of `PIECE`.
        text : str
            As typed.

        Raises
        ------
        BadInput
            For a field that is not there.
        """
        if field == "title":
            return self._renamed(text)
        if field in TUBE:
            return replace(self, tube={**self.tube, field: _tidy(text)})
        head, _, rest = field.partition(".")
        place, _, name = rest.partition(".")
        if head == "pieces" and place.isdecimal() and name in PIECE:
            i = int(place)
            if i < len(self.pieces):
                piece = {**self.pieces[i], name: _tidy(text)}
                return self.with_pieces((*self.pieces[:i], piece, *self.pieces[i + 1 :]))
        raise BadInput("field", f'"{field[:40]}"', "a field of this needle")

    def with_pieces(self, pieces: tuple[Texts, ...]) -> Draft:
        """Give the draft with other pieces; the shape's name follows unless it was given."""
        out = replace(self, pieces=pieces)
        if self.shape == shape_of(self.pieces):
            out = replace(out, shape=shape_of(pieces))
        return out

    def before(self, i: int) -> tuple[str, str]:
        """Give the texts of outer and inner radius that piece i begins with."""
        out = []
        for name in ("outer_radius_mm", "inner_radius_mm"):
            given = [p[name] for p in self.pieces[:i] if p[name]]
            out.append(given[-1] if given else self.tube[name])
        return out[0], out[1]

    def _renamed(self, title: str) -> Draft:
        follows = self.id == slug(self.title) or self.id in catalogue.catalogue().needles
        return replace(self, title=title[:200], id=slug(title) if follows else self.id)


def slug(title: str) -> str:
    """Make a short name for links and files out of a title.

    >>> slug("Köcher, 2. Versuch"), slug("針"), slug("Straight 0.9")
    ('kocher-2-versuch', 'own-needle', 'straight-0-9')
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain)[:40].strip("-") or "own-needle"


def decimal_of(text: str) -> Decimal | None:
    """Read a typed number; None when it is none.

    >>> decimal_of("0.64"), decimal_of("-.5"), decimal_of("nan"), decimal_of("1_0")
    (Decimal('0.64'), Decimal('-0.5'), None, None)
    """
    return Decimal(text) if _NUMBER.fullmatch(text) else None


def plain_text(value: Decimal) -> str:
    """Write a decimal without zeros that say nothing, and without exponent while it is short.

    >>> plain_text(Decimal("14.400")), plain_text(Decimal("1E+1")), plain_text(Decimal("3e-300"))
    ('14.4', '10', '3E-300')
    """
    text = f"{value:f}"
    if len(text) > LONGEST - 10:
        return str(value.normalize())
    return text.rstrip("0").rstrip(".") if "." in text else text


def shape_of(pieces: tuple[Texts, ...]) -> str:
    """Return the word for the shape of pieces as they are typed.

    >>> shape_of(tuple({"turn_deg": t} for t in ("0", "-20", "25", "25", "0")))
    'counter-bent'
    """
    return shape_of_turns(float(decimal_of(p["turn_deg"]) or 0) for p in pieces)


def _text(f: Quantity, value: float | None) -> str:
    return "" if value is None else plain_text(f.metadata["unit"].from_si(value))


def _tidy(text: str) -> str:
    """Take a comma for a point and a true minus for a hyphen: both are typed."""
    if len(text) > LONGEST:
        raise BadInput("field", f"{len(text)} characters", f"up to {LONGEST} characters")
    return text.strip().replace("−", "-").replace(",", ".")
