"""Whether a draft can be made, and if not, one sentence at each field that is off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from tipsim.app.pages.needle.draft import PIECE, TUBE, Draft, Texts, decimal_of
from tipsim.setup import catalogue
from tipsim.setup.checks import allowed_range, out_of_range
from tipsim.setup.errors import BadInput
from tipsim.setup.inputs import Input
from tipsim.setup.needle import Needle, Piece
from tipsim.setup.units import DEG, MM

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
    >>> draft = Draft.start("single-bend-20-medium")
    >>> checked(draft).needle.title
    'Own needle'
    >>> checked(draft.with_text("pieces.1.length_mm", "-1").with_text("bevel_deg", "x")).errors
    {'bevel_deg': 'Enter a number from 0 to 60 °. You entered "x".', 'pieces.1.length_mm': \
'Piece 2, length: Enter a number from 0.02 to 40 mm. You entered -1 mm.'}
    """
    errors: dict[str, str] = {}
    tube = _numbers(draft.tube, TUBE, "", errors)
    pieces = [_numbers(p, PIECE, f"{ALL}.{i}.", errors) for i, p in enumerate(draft.pieces)]
    fits = not errors
    if not (0 < len(draft.title) <= 120 and draft.title.isprintable()):
        errors["title"] = "Enter a name: one line of 1 to 120 printable characters."
    if not fits:
        return Checked(errors=errors)
    values: dict[str, Any] = {
        **tube,
        **{name: getattr(draft, name) for name in ("id", "title", "shape", "material")},
        "pieces": tuple(Piece(**p) for p in pieces),
    }
    drawn = Unchecked(**values)
    if errors:
        return Checked(drawn=drawn, errors=errors)
    try:
        return Checked(_own(Needle(**values)), drawn)
    except BadInput as bad:
        return Checked(drawn=drawn, errors=dict([placed(bad, drawn)]))


def _own(needle: Needle) -> Needle:
    """Keep a needle that was changed from passing for the one of the catalogue."""
    known = catalogue.catalogue().needles.get(needle.id)
    return needle if known in (None, needle) else replace(needle, id=f"own-{needle.id}")


def _numbers(
    texts: Texts, known: Mapping[str, Input], place: str, errors: dict[str, str]
) -> dict[str, Any]:
    """Read a table of texts in SI; what is off goes into `errors`."""
    out: dict[str, Any] = {}
    for key, one in known.items():
        try:
            out[one.name] = _number(one, texts[key])
        except BadInput as bad:
            errors[place + key] = f"{label(place + key)}{bad.sentence}"
    return out


def label(field: str) -> str:
    """Return what goes before a sentence on a number of a piece: which piece, which number.

    >>> label("pieces.1.turn_deg"), label("bevel_deg")
    ('Piece 2, turn: ', '')
    """
    _, _, rest = field.partition(".")
    place, _, name = rest.partition(".")
    return f"Piece {int(place) + 1}, {PIECE[name].label.lower()}: " if name else ""


def _number(one: Input, text: str) -> float | None:
    meta = one.field.metadata
    if not text and one.field.default is None:
        return None
    number = decimal_of(text)
    if number is None:
        typed, allowed = f'"{text}"' if text else "nothing", allowed_range(meta)
        said = f"Enter a number from {allowed}. You entered {typed}."
        raise BadInput(one.path, typed, f"a number, {allowed}", said)
    value = one.unit.to_si(number)
    if not one.unit.to_si(one.low) <= value <= one.unit.to_si(one.high):
        raise out_of_range(one.field, one.path, one.unit.show(value, 6))
    return value


def placed(bad: BadInput, n: Needle) -> tuple[str, str]:
    """Return the field where a needle that does not fit together is best fixed, and a sentence.

    Parameters
    ----------
    bad : BadInput
        As `Needle` raises it.
    n : Needle
        The unchecked needle.
    """
    if bad.field.startswith("wall"):
        return _thin_wall(n), (
            f"Wall (outer less inner radius) is {bad.value}; allowed: {bad.allowed}."
        )
    if bad.field.startswith("pieces["):
        return _tight_bend(bad, n)
    if bad.field in TUBE:
        return bad.field, f"{TUBE[bad.field].label} is {bad.value}; allowed: {bad.allowed}."
    if "crosses" in bad.value:
        one, two = touching(n)
        way = "one turn less, or more length between them"
        return ALL, f"Pieces {one} and {two} run into each other; allowed: {bad.allowed} ({way})."
    return ALL, f"The needle is {bad.value}; allowed: {bad.allowed}."


def _thin_wall(n: Needle) -> str:
    """Return the field that makes the wall thin: the last before that place that sets a radius."""
    s = np.unique(np.concatenate([n.joints, [n.taper_length]]))
    outer, inner = n.radii_at(s)
    thin = int(np.argmin(outer - inner))
    if s[thin] < n.taper_length and n.hub_radius < n.outer_radius:
        return "hub_radius_mm"
    last = int(np.searchsorted(n.joints, s[thin] - 1e-12))
    for i in reversed(range(last)):
        for name in ("inner_radius", "outer_radius"):
            if getattr(n.pieces[i], name) is not None:
                return f"{ALL}.{i}.{name}_mm"
    return "inner_radius_mm"


def _tight_bend(bad: BadInput, n: Needle) -> tuple[str, str]:
    i = int(bad.field[len("pieces[") : -1])
    p = n.pieces[i]
    own = float(n.radii_at(n.joints[i : i + 2])[0].max())
    longer = MM.show(own * abs(p.turn), 3)
    less = DEG.show(p.length / own, 3)
    return f"{ALL}.{i}.turn_deg", (
        f"Piece {i + 1} is {bad.value}; allowed: {bad.allowed} "
        f"(a length over {longer}, or a turn under {less})."
    )


def touching(n: Needle) -> tuple[int, int]:
    """Return the numbers (from 1) of the two pieces that come closest to each other."""
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
