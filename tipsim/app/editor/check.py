"""Whether a draft can be made, and if not, one sentence at each field that is off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from tipsim.app.editor.draft import PIECE, TUBE, Draft, Quantity, Texts, decimal_of
from tipsim.setup import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.units import DEG, MM

TUBE_LABELS = {
    "hub_radius_mm": "Radius at the hub",
    "taper_length_mm": "Taper length",
    "outer_radius_mm": "Outer radius of the shaft",
    "inner_radius_mm": "Inner radius of the shaft",
    "bevel_deg": "Bevel",
    "bypass_diameter_mm": "Diameter of the bypass hole",
    "bypass_distance_mm": "Bypass hole's distance from the hub",
}
PIECE_LABELS = {
    "length_mm": "Length of piece {}",
    "turn_deg": "Turn of piece {}",
    "outer_radius_mm": "Outer radius at the end of piece {}",
    "inner_radius_mm": "Inner radius at the end of piece {}",
}
ALL = "pieces"
"""Name of the field under which the pieces as a whole are complained about."""


@dataclass(frozen=True)
class Unchecked(Needle):
    """A needle whose numbers are in range but need not fit together; to draw, to find faults."""

    def __post_init__(self) -> None:
        """Check nothing."""


@dataclass(frozen=True)
class Checked:
    """What a draft makes.

    Attributes
    ----------
    needle : Needle or None
        None when it cannot be made.
    drawn : Needle or None
        What was typed, possible or not; None when a number is missing or out of range.
    errors : mapping of field to sentence
        Empty when the needle can be made.
    """

    needle: Needle | None = None
    drawn: Needle | None = None
    errors: Mapping[str, str] = field(default_factory=dict)


def checked(draft: Draft) -> Checked:
    """Check a draft.

    Examples
    --------
    >>> draft = Draft.start("single-bend-20-0.9")
    >>> checked(draft).needle.title
    'Own needle'
    >>> checked(draft.with_text("pieces.1.length_mm", "-1").with_text("bevel_deg", "x")).errors
    {'bevel_deg': 'Bevel is "x"; allowed: a number, 0 to 60 °.', 'pieces.1.length_mm': \
'Length of piece 2 is -1 mm; allowed: 0.02 to 40 mm.'}
    """
    errors: dict[str, str] = {}
    tube = _numbers(draft.tube, TUBE, TUBE_LABELS, "", errors)
    pieces = []
    for i, texts in enumerate(draft.pieces):
        labels = {name: label.format(i + 1) for name, label in PIECE_LABELS.items()}
        pieces.append(_numbers(texts, PIECE, labels, f"pieces.{i}.", errors))
    if errors:
        return Checked(errors=errors | _title_error(draft))
    values: dict[str, Any] = {
        **tube,
        "id": draft.id,
        "title": draft.title,
        "shape": draft.shape,
        "pieces": tuple(Piece(**p) for p in pieces),
        "material": draft.material,
    }
    drawn = Unchecked(**values)
    if titled := _title_error(draft):
        return Checked(drawn=drawn, errors=titled)
    try:
        return Checked(_own(Needle(**values)), drawn)
    except BadInput as bad:
        where, sentence = placed(bad, drawn)
        return Checked(drawn=drawn, errors={where: sentence})


def _own(needle: Needle) -> Needle:
    """Keep a needle that was changed from passing for the one of the catalogue."""
    known = catalogue.catalogue().needles.get(needle.id)
    if known is None or known == needle:
        return needle
    return replace(needle, id=f"own-{needle.id}")


def _title_error(draft: Draft) -> dict[str, str]:
    if 0 < len(draft.title) <= 120 and draft.title.isprintable():
        return {}
    value = "empty" if not draft.title else f"{len(draft.title)} characters long"
    if not draft.title.isprintable():
        value = "not printable"
    return {"title": f"Name is {value}; allowed: one line of 1 to 120 printable characters."}


def _numbers(
    texts: Texts,
    known: Mapping[str, Quantity],
    labels: Mapping[str, str],
    place: str,
    errors: dict[str, str],
) -> dict[str, Any]:
    """Read a table of texts; what is off goes into `errors`."""
    out: dict[str, Any] = {}
    for name, f in known.items():
        try:
            out[f.name] = _number(f, texts[name])
        except BadInput as bad:
            errors[place + name] = f"{labels[name]} is {bad.value}; allowed: {bad.allowed}."
    return out


def _number(f: Quantity, text: str) -> float | None:
    unit, low, high = (f.metadata[k] for k in ("unit", "low", "high"))
    allowed = f"{low:g} to {high:g} {unit.symbol}"
    if not text and f.default is None:
        return None
    number = decimal_of(text)
    if number is None:
        raise BadInput(f.name, f'"{text}"' if text else "empty", f"a number, {allowed}")
    value: float = unit.to_si(number)
    if not unit.to_si(low) <= value <= unit.to_si(high):
        raise BadInput(f.name, unit.show(value, 6), allowed)
    return value


def placed(bad: BadInput, n: Needle) -> tuple[str, str]:
    """Find the field where a needle that does not fit together is best mended.

    Parameters
    ----------
    bad : BadInput
        As `Needle` raises it.
    n : Needle
        The unchecked needle.

    Returns
    -------
    tuple of str
        Field and sentence.
    """
    if bad.field.startswith("wall"):
        return _thin_wall(bad, n)
    if bad.field.startswith("pieces["):
        return _tight_bend(bad, n)
    if bad.field in TUBE_LABELS:
        return bad.field, f"{TUBE_LABELS[bad.field]} is {bad.value}; allowed: {bad.allowed}."
    if "crosses" in bad.value:
        one, two = touching(n)
        way = "one turn less, or more length between them"
        return ALL, f"Pieces {one} and {two} run into each other; allowed: {bad.allowed} ({way})."
    if "long" in bad.value:
        return ALL, f"The needle is {bad.value}; allowed: {bad.allowed}."
    return ALL, f"The needle has {bad.value}; allowed: {bad.allowed}."


def _thin_wall(bad: BadInput, n: Needle) -> tuple[str, str]:
    sentence = f"Wall (outer less inner radius) is {bad.value}; allowed: {bad.allowed}."
    s = np.unique(np.concatenate([n.joints, [n.taper_length]]))
    outer, inner = n.radii_at(s)
    thin = int(np.argmin(outer - inner))
    if s[thin] < n.taper_length and n.hub_radius < n.outer_radius:
        return "hub_radius_mm", sentence
    # The piece that reaches its end radius there, or the nearest before it that gives one.
    last = int(np.searchsorted(n.joints, s[thin] - 1e-12))
    for i in reversed(range(last)):
        for name in ("inner_radius", "outer_radius"):
            if getattr(n.pieces[i], name) is not None:
                return f"pieces.{i}.{name}_mm", sentence
    return "inner_radius_mm", sentence


def _tight_bend(bad: BadInput, n: Needle) -> tuple[str, str]:
    i = int(bad.field[len("pieces[") : -1])
    p = n.pieces[i]
    own = float(n.radii_at(n.joints[i : i + 2])[0].max())
    longer = MM.show(own * abs(p.turn), 3)
    less = DEG.show(p.length / own, 3)
    sentence = (
        f"Piece {i + 1} is {bad.value}; allowed: {bad.allowed} "
        f"(a length over {longer}, or a turn under {less})."
    )
    return f"pieces.{i}.turn_deg", sentence


def touching(n: Needle) -> tuple[int, int]:
    """Give the numbers (from 1) of the two pieces that come closest to each other."""
    s = n.stations(0.2e-3)
    points, radius = n.points_at(s), n.radii_at(s)[0]
    gap = np.linalg.norm(points[:, None] - points[None, :], axis=2)
    gap -= radius[:, None] + radius[None, :]
    # Neighbours along the line do not count; the rule is that of `centreline.closest_approach`.
    near = np.abs(s[:, None] - s[None, :]) <= 3 * np.maximum(radius[:, None], radius[None, :])
    gap[near] = np.inf
    i, j = np.unravel_index(int(np.argmin(gap)), gap.shape)
    of = np.clip(np.searchsorted(n.joints, s[[i, j]], side="right"), 1, len(n.pieces))
    return int(of.min()), int(of.max())
