"""A needle as someone types it: texts in mm and degrees, right or wrong. Nothing typed is lost."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from urllib.parse import quote, unquote, urlencode

from tipsim.setup import catalogue
from tipsim.setup.checks import check_count
from tipsim.setup.errors import BadInput
from tipsim.setup.inputs import Input, inputs
from tipsim.setup.material import Material, titanium
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.needle import shape_of as shape_of_turns
from tipsim.setup.plain import from_plain, plain_field

Texts = Mapping[str, str]

TITLE = "Own needle"
"""What a new needle is called at first."""
FIRST = "single-bend-20-medium"
"""The catalogue's needle that a fresh page starts from."""
LONGEST = 40
"""Most characters that a number may be typed with."""
PREFIX = "draft."
"""What the draft's items in a link begin with."""
METAL = f"{PREFIX}material."
PIECE: Mapping[str, Input] = inputs(Piece)
"""The numbers of a piece by their key in files."""
PIECES = inputs(Needle)["pieces"]
TUBE = {k: one for k, one in inputs(Needle).items() if one.kind == "quantity" and not one.part}
"""The needle's single numbers by their key in files."""

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
    >>> draft = Draft.of(catalogue.needle("single-bend-20-medium"))
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
        tube = {name: _text(one, one.of(needle)) for name, one in TUBE.items()}
        pieces = tuple(
            {n: _text(one, one.of(p)) for n, one in PIECE.items()} for p in needle.pieces
        )
        return cls(needle.title, needle.id, needle.shape, tube, pieces, needle.material)

    @classmethod
    def start(cls, id: str = FIRST) -> Draft:
        """Return a new needle that starts as one of the catalogue."""
        return replace(cls.of(catalogue.needle(id)), title=TITLE, id=slug(TITLE))

    @classmethod
    def from_items(cls, items: Mapping[str, str], first: Draft) -> tuple[Draft, list[BadInput]]:
        """Return the draft that a link's items say, as far as they can be used, and what cannot.

        What is missing is as in `first`.
        """
        draft, bad = first, []
        for name, text in items.items():
            if name.startswith(PREFIX) and not name.startswith(METAL):
                try:
                    draft = draft._with_item(name.removeprefix(PREFIX), text)
                except BadInput as wrong:
                    bad.append(wrong.at(f"link: {name}"))
        try:
            return replace(draft, material=_metal(items, first.material)), bad
        except BadInput as wrong:
            return draft, [*bad, wrong.within(f"link: {METAL[:-1]}")]

    def query(self) -> str:
        """Return the draft as the query of a link.

        Examples
        --------
        >>> Draft.start().query().rpartition("&")[2]
        'draft.pieces=14.6:0,0.6:20,2.5:0'
        """
        pieces = ",".join(
            ":".join(quote(p[name], safe="") for name in PIECE).rstrip(":") for p in self.pieces
        )
        items = {"title": self.title, "id": self.id, "shape": self.shape, **self.tube}
        own = {PREFIX + name: value for name, value in (items | {"pieces": pieces}).items()}
        return urlencode(own | _metal_items(self.material), safe=":,")

    def with_text(self, field: str, text: str) -> Draft:
        """Return the draft with one text changed.

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
            follows = self.id == slug(self.title) or self.id in catalogue.catalogue().needles
            return replace(self, title=text[:200], id=slug(text) if follows else self.id)
        if field in TUBE:
            return replace(self, tube={**self.tube, field: _tidy(text)})
        head, _, rest = field.partition(".")
        place, _, name = rest.partition(".")
        at = int(place) if place.isdecimal() and len(place) < 4 else len(self.pieces)
        if head != "pieces" or name not in PIECE or at >= len(self.pieces):
            raise BadInput("field", f'"{field[:40]}"', "a field of this needle")
        return self.with_pieces(at, 1, {**self.pieces[at], name: _tidy(text)})

    def with_pieces(self, at: int, instead: int, *new: Texts) -> Draft:
        """Return the draft with other pieces in the place of some.

        The shape's name follows the pieces unless it was given.

        Raises
        ------
        BadInput
            When there would be too few or too many.
        """
        pieces = (*self.pieces[:at], *new, *self.pieces[at + instead :])
        if not 1 <= len(pieces) <= PIECES.most:
            raise BadInput("Number of pieces", str(len(pieces)), f"1 to {PIECES.most}")
        follows = self.shape == shape_of(self.pieces)
        return replace(self, pieces=pieces, shape=shape_of(pieces) if follows else self.shape)

    def before(self, i: int) -> dict[str, str]:
        """Return the texts of outer and inner radius that piece i begins with."""
        out = {}
        for name in ("outer_radius_mm", "inner_radius_mm"):
            given = [p[name] for p in self.pieces[:i] if p[name]]
            out[name] = given[-1] if given else self.tube[name]
        return out

    def _with_item(self, name: str, text: str) -> Draft:
        """Return the draft with what one item of a link says."""
        if name in TUBE:
            return replace(self, tube={**self.tube, name: _tidy(text)})
        if name == "pieces":
            return replace(self, pieces=_pieces(text))
        if name == "title":
            return replace(self, title=text[:200])
        options = inputs(Needle)["shape"].options
        if name == "shape" and text not in options:
            raise BadInput(name, f'"{text[:40]}"', ", ".join(options))
        if name not in ("id", "shape"):
            raise BadInput(name, "not here", f"title, id, shape, pieces, {', '.join(TUBE)}")
        if not (0 < len(text) <= 120 and text.isprintable()):
            raise BadInput(name, repr(text)[:40], "one line of 1 to 120 printable characters")
        return replace(self, id=text) if name == "id" else replace(self, shape=text)


def slug(title: str) -> str:
    """Return a short name for links and files, made out of a title.

    >>> slug("Köcher, 2. Versuch"), slug("針"), slug("Straight 0.9")
    ('kocher-2-versuch', 'own-needle', 'straight-0-9')
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain)[:40].strip("-") or "own-needle"


def decimal_of(text: str) -> Decimal | None:
    """Return a typed number, or None for any other text.

    >>> decimal_of("0.64"), decimal_of("-.5"), decimal_of("nan"), decimal_of("1_0")
    (Decimal('0.64'), Decimal('-0.5'), None, None)
    """
    return Decimal(text) if _NUMBER.fullmatch(text) else None


def plain_text(value: Decimal) -> str:
    """Write a decimal without zeros that say nothing, and without exponent while it is short.

    >>> plain_text(Decimal("14.400")), plain_text(Decimal("1E+1")), plain_text(Decimal("3e-300"))
    ('14.4', '10', '3E-300')
    """
    text = f"{value.normalize():f}"
    return text if len(text) <= LONGEST - 10 else str(value.normalize())


def shape_of(pieces: tuple[Texts, ...]) -> str:
    """Return the word for the shape of pieces as they are typed.

    >>> shape_of(tuple({"turn_deg": t} for t in ("0", "-20", "25", "25", "0")))
    'counter-bent'
    """
    return shape_of_turns(float(decimal_of(p["turn_deg"]) or 0) for p in pieces)


def _text(one: Input, value: float | None) -> str:
    return "" if value is None else plain_text(one.unit.from_si(value))


def _tidy(text: str) -> str:
    """Take a comma for a point and a true minus for a hyphen: both are typed."""
    if len(text) > LONGEST:
        raise BadInput("field", f"{len(text)} characters long", f"up to {LONGEST} characters")
    return text.strip().replace("−", "-").replace(",", ".")


def _pieces(text: str) -> tuple[Texts, ...]:
    rows = [[unquote(t) for t in row.split(":")] for row in text.split(",")]
    check_count(PIECES.field, "pieces", rows)
    for row in rows:
        if len(row) > len(PIECE) or max(map(len, row)) > LONGEST:
            raise BadInput("pieces", f'"{":".join(row)[:40]}"', ":".join(PIECE))
    return tuple(dict(zip(PIECE, [*row, "", "", ""], strict=False)) for row in rows)


def _metal_items(material: Material) -> dict[str, str]:
    """Write the metal only where it is not the catalogue's titanium."""
    if material == titanium():
        return {}
    fields = Material.__dataclass_fields__.values()
    plain = [item for f in fields for item in plain_field(f, getattr(material, f.name)).items()]
    return {METAL + name: str(value) for name, value in plain}


def _metal(items: Mapping[str, str], first: Material) -> Material:
    given = {k.removeprefix(METAL): v for k, v in items.items() if k.startswith(METAL)}
    if not given:
        return first
    plain: dict[str, object] = dict(given)
    for name, one in inputs(Material).items():
        number = decimal_of(given.get(name, ""))
        if one.kind == "quantity" and number is not None:
            plain[name] = number
    material: Material = from_plain(Material, plain)
    return material
