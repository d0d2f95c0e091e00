"""Ready-made scenarios by name: a needle of the catalogue, in its sleeve, on a drive."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from typing import Any

from tipsim.setup.catalogue import catalogue, drive, fluid, needle, present_id, sleeve
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.needle import Needle, Piece, shape_of
from tipsim.setup.scenario import Scenario
from tipsim.setup.sleeve import Sleeve
from tipsim.setup.sourced import number
from tipsim.setup.thermal import Press

LOADED_SHAPES = ("single-bend", "counter-bent")
"""Shapes that have a preset with a bench load."""


def scenario_of(needle_id: str, drive_kind: str, name: str | None = None) -> Scenario:
    """Return a needle of the catalogue in its own sleeve, at full power."""
    return _scenario_of(present_id(needle_id), drive_kind, name)


@cache
def _scenario_of(needle_id: str, drive_kind: str, name: str | None) -> Scenario:
    return Scenario(
        name=name or f"{needle_id}, {drive_kind}",
        needle=needle(needle_id),
        sleeve=sleeve(catalogue().sleeve_for[needle_id]),
        drive=drive(drive_kind),
        fluid=fluid(),
    )


@cache
def presets() -> Mapping[str, Scenario]:
    """Return every preset by name: a shape (or a needle's id) and a drive.

    >>> sorted(presets())[:2]
    ['counter-bent, axial', 'counter-bent, elliptical']
    """
    c = catalogue()
    out = {}
    for kind in c.drives:
        for shape, id in c.main.items():
            out[f"{shape}, {kind}"] = scenario_of(id, kind, f"{shape}, {kind}")
        for id in c.needles:
            out[f"{id}, {kind}"] = scenario_of(id, kind)
    return out


@cache
def loaded() -> Mapping[str, Scenario]:
    """Return the presets with a load on the sleeve, by name.

    >>> list(loaded())
    ['single-bend, torsional, bench load', 'counter-bent, torsional, bench load']
    """
    names = {f"{shape}, torsional": f"{shape}, torsional, bench load" for shape in LOADED_SHAPES}
    return {name: bench_load(presets()[plain], name) for plain, name in names.items()}


def bench_load(scenario: Scenario, name: str) -> Scenario:
    """Return a scenario loaded as in studies: a weight on the sleeve, tip occluded, little leak.

    In air, as a weight hangs.
    """
    flow = replace(scenario.flow, leak=number("bench_load.leak").si, occlusion=1.0)
    time = number("bench_load.time").si
    weight = Press(place=number("press.place").si, length=number("press.length").si)
    air = replace(scenario.outside, kind="air")
    return replace(scenario, name=name, flow=flow, press=weight, outside=air, duration=time)


def preset(name: str) -> Scenario:
    """Return a preset by name.

    Raises
    ------
    BadInput
        For an unknown name, with the nearest known one.

    Examples
    --------
    >>> preset("single-bend, torsional").needle.shape
    'single-bend'
    """
    every = {**presets(), **loaded()}
    id, comma, kind = name.rpartition(", ")
    name = f"{present_id(id)}{comma}{kind}"
    if name not in every:
        short = [f"{shape}, {kind}" for kind in catalogue().drives for shape in catalogue().main]
        raise BadInput("scenario", f'"{name}"', f"{'; '.join(short)}{nearest(name, every)}")
    return replace(every[name])


def needle_of_pieces(
    pieces: Iterable[Piece | tuple[float, float]],
    *,
    like: Needle | None = None,
    title: str = "Own needle",
    **more: float,
) -> Needle:
    """Return a needle of some pieces from the hub on, everything else like another needle.

    Parameters
    ----------
    pieces : iterable of Piece or (length, turn)
        Lengths in metres, turns in radians.
    like : Needle, optional
        Where radii, taper, bevel and metal come from; the straight one of 0.9 mm when absent.
    title : str
        Name on screen.
    **more : float
        Any other field, such as ``outer_radius`` [m]; ``outer_diameter`` and ``inner_diameter``
        stand for twice a radius.

    Raises
    ------
    BadInput
        For a needle that cannot be made.

    Examples
    --------
    >>> bent = Needle.from_pieces([(14e-3, 0), (1e-3, 0.35), (3e-3, 0)])
    >>> bent
    Needle('own': Own needle, single-bend, 3 pieces, 18 mm)
    """
    whole = tuple(p if isinstance(p, Piece) else Piece(*p) for p in pieces)
    values = {
        "id": "own",
        "title": title,
        "shape": shape_of(p.turn for p in whole),
        "pieces": whole,
    }
    for name in ("outer", "inner"):
        if f"{name}_diameter" in more:
            more[f"{name}_radius"] = more.pop(f"{name}_diameter") / 2
    first: dict[str, Any] = {"bypass_diameter": 0.0, "bypass_distance": 0.0} | values | more
    return replace(like or needle("straight-medium"), **first)


def fitting_sleeve(needle: Needle, keep: Sleeve | None = None) -> tuple[Sleeve | None, str]:
    """Return the catalogue's sleeve for a needle of this thickness, and a sentence.

    That is the narrowest made for a shaft as thick or thicker, so that the gap is the
    catalogue's: a narrower one may pass over the shaft too, but its fluid weighs more and the
    needle moves differently. Where none is, the widest that fits.

    Parameters
    ----------
    keep : Sleeve, optional
        Its mobility and exposed length are kept where they can be.

    Examples
    --------
    >>> chosen, said = fitting_sleeve(needle("straight-medium"))
    >>> chosen.id, said
    ('for-0.9', 'In the sleeve for 0.9 mm.')
    """
    refused = ""
    for one in _sleeves_tried(needle, keep):
        try:
            one.fits(needle)
        except BadInput as bad:
            what = bad.field.removeprefix("sleeve.").removesuffix("_mm").replace("_", " ")
            refused = refused or f"{what} is {bad.value}"
            continue
        return one, f"In the {one.title[0].lower()}{one.title[1:]}."
    return None, f"Without a sleeve: none of the catalogue fits ({refused})."


def _sleeves_tried(needle: Needle, keep: Sleeve | None) -> Iterator[Sleeve]:
    """Return the sleeves in the order in which they are tried."""
    c = catalogue()
    widest_first = sorted(c.sleeves.values(), key=lambda s: -s.inner_radius)
    made_for = {c.sleeve_for[id]: n.outer_radius for id, n in c.needles.items()}
    roomy = [s for s in widest_first if made_for[s.id] >= needle.outer_radius - 1e-9]
    order = list(dict.fromkeys([*reversed(roomy), *widest_first]))
    if keep is not None:
        for one in order:
            yield replace(one, mobility=keep.mobility, exposed=keep.exposed)
    yield from order


# The same functions by other names; a scenario and a needle know of no catalogue.
Scenario.preset = staticmethod(preset)
Needle.from_pieces = staticmethod(needle_of_pieces)
