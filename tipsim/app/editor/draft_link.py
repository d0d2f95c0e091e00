"""The draft in the link: every text as typed, beside the items of the bench that was left."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import quote, unquote, urlencode

from tipsim.app.editor.draft import LONGEST, PIECE, TUBE, Draft, decimal_of
from tipsim.app.editor.state import FIRST, MOST_PIECES
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import from_plain, key, plain_field
from tipsim.setup.material import Material, titanium
from tipsim.setup.needle import SHAPES

PLACE = "draft."
"""What the draft's items begin with."""
METAL = "draft.material."


def draft_items(draft: Draft) -> dict[str, str]:
    """Write a draft as the items of a link.

    Examples
    --------
    >>> draft_items(Draft.start("single-bend-20-0.9"))["draft.pieces"]
    '14.4:0,0.64:20,3.36:0'
    """
    out = {"title": draft.title, "id": draft.id, "shape": draft.shape}
    out |= {name: draft.tube[name] for name in TUBE}
    out["pieces"] = ",".join(
        ":".join(quote(p[name], safe="") for name in PIECE).rstrip(":") for p in draft.pieces
    )
    return {PLACE + name: value for name, value in out.items()} | _metal_items(draft.material)


def draft_from_items(items: Mapping[str, str]) -> Draft | None:
    """Read a draft from the items of a link; None when it holds none.

    What is missing is as in the needle that a fresh page starts from.

    Raises
    ------
    BadInput
        For an item that no draft can hold.
    """
    given = {k.removeprefix(PLACE): v for k, v in items.items() if k.startswith(PLACE)}
    if not given:
        return None
    first = Draft.start(FIRST)
    shape = given.get("shape", first.shape)
    if shape not in SHAPES:
        raise BadInput("link: draft.shape", f'"{shape[:40]}"', ", ".join(SHAPES))
    for name in TUBE:
        if len(given.get(name, "")) > LONGEST:
            raise BadInput(f"link: draft.{name}", "too long", f"up to {LONGEST} characters")
    id = given.get("id", first.id)
    if not (0 < len(id) <= 120 and id.isprintable()):
        raise BadInput("link: draft.id", repr(id)[:40], "one line of 1 to 120 characters")
    return Draft(
        title=given.get("title", first.title)[:200],
        id=id,
        shape=shape,
        tube={name: given.get(name, first.tube[name]) for name in TUBE},
        pieces=_pieces(given["pieces"]) if "pieces" in given else first.pieces,
        material=_metal(items),
    )


def _pieces(text: str) -> tuple[dict[str, str], ...]:
    rows = [[unquote(t) for t in row.split(":")] for row in text.split(",")]
    if len(rows) > MOST_PIECES:
        raise BadInput("link: draft.pieces", f"{len(rows)} pieces", f"1 to {MOST_PIECES} pieces")
    for row in rows:
        if len(row) > len(PIECE) or max(map(len, row)) > LONGEST:
            allowed = "length:turn:outer radius:inner radius in mm and degrees"
            raise BadInput("link: draft.pieces", f'"{":".join(row)[:40]}"', allowed)
    return tuple(dict(zip(PIECE, [*row, "", "", ""], strict=False)) for row in rows)


def _metal_items(material: Material) -> dict[str, str]:
    """Write the metal only where it is not the catalogue's titanium."""
    if material == titanium():
        return {}
    plain: dict[str, object] = {}
    for f in Material.__dataclass_fields__.values():
        plain |= plain_field(f, getattr(material, f.name))
    return {METAL + name: str(value) for name, value in plain.items()}


def _metal(items: Mapping[str, str]) -> Material:
    given = {k.removeprefix(METAL): v for k, v in items.items() if k.startswith(METAL)}
    if not given:
        return titanium()
    numbers = {key(f) for f in Material.__dataclass_fields__.values() if "unit" in f.metadata}
    plain: dict[str, object] = dict(given)
    for name in numbers & set(given):
        number = decimal_of(given[name])
        plain[name] = given[name] if number is None else number
    try:
        material = from_plain(Material, plain)
    except BadInput as bad:
        raise bad.within("link: draft.material") from None
    assert isinstance(material, Material)
    return material


def editor_query(draft: Draft, bench: str) -> str:
    """Give the query of the editor's page: the draft, then the bench as it was left."""
    own = urlencode(draft_items(draft), safe=":,")
    return f"{own}&{bench}" if bench else own
