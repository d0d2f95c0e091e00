"""Random benches: any scenario that can be built, and those fit for comparing numbers."""

from dataclasses import fields, replace
from typing import Any

from hypothesis import reject
from hypothesis import strategies as st

from tipsim.setup.drive import HOLDS, KINDS, Drive, Duty
from tipsim.setup.errors import BadInput
from tipsim.setup.flow import Fluid
from tipsim.setup.load import LensLoad, Support
from tipsim.setup.material import Material
from tipsim.setup.needle import SHAPES, Needle, Piece
from tipsim.setup.scenario import Scenario
from tipsim.setup.sleeve import LEAST_GAP, Sleeve

PRINTABLE = st.characters(codec="utf-8", exclude_categories=["C", "Z"], include_characters=" ")
LINES = st.text(PRINTABLE, min_size=1, max_size=120)


def number(cls: type, name: str) -> st.SearchStrategy[float]:
    """Any float that the field of a dataclass allows, in SI."""
    meta = next(f.metadata for f in fields(cls) if f.name == name)
    unit = meta["unit"]
    return st.floats(unit.to_si(meta["low"]), unit.to_si(meta["high"]))


def between(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_subnormal=False)


def drawn(draw: st.DrawFn, cls: type, **given: object) -> dict[str, Any]:
    """Any value for each field that is not given: numbers, words and choices."""
    out = dict(given)
    for f in fields(cls):
        kind = f.metadata["kind"]
        if f.name in out or kind not in ("quantity", "choice", "words"):
            continue
        if kind == "quantity":
            out[f.name] = draw(number(cls, f.name))
        elif kind == "choice":
            out[f.name] = draw(st.sampled_from(f.metadata["options"]))
        else:
            out[f.name] = draw(LINES)
    return out


@st.composite
def materials(draw: st.DrawFn) -> Material:
    return Material(**drawn(draw, Material))


@st.composite
def pieces(draw: st.DrawFn, outer: float, cones: bool) -> Piece:
    cone = st.none() | between(0.95, 1.1).map(lambda k: k * outer) if cones else st.none()
    return Piece(draw(between(2.5e-3, 8e-3)), draw(between(-0.6, 0.6)), draw(cone))


@st.composite
def needles(draw: st.DrawFn, material: st.SearchStrategy[Material], cones: bool = True) -> Needle:
    outer = draw(between(0.3e-3, 0.7e-3))
    try:
        return Needle(
            id=draw(LINES),
            title=draw(LINES),
            shape=draw(st.sampled_from(SHAPES)),
            hub_radius=draw(between(outer, 1.5e-3)),
            taper_length=draw(st.just(0.0) | between(1e-3, 3e-3)),
            outer_radius=outer,
            inner_radius=outer - draw(between(0.1e-3, 0.19e-3)),
            bevel=draw(number(Needle, "bevel")),
            material=draw(material),
            pieces=tuple(draw(st.lists(pieces(outer, cones), min_size=2, max_size=4))),
            bypass_diameter=draw(number(Needle, "bypass_diameter")),
            bypass_distance=draw(between(1e-3, 4e-3)),
        )
    except BadInput:
        reject()


@st.composite
def sleeves(draw: st.DrawFn, needle: Needle) -> Sleeve:
    widest = max([needle.outer_radius, *(p.outer_radius or 0.0 for p in needle.pieces)])
    inner = widest + draw(between(LEAST_GAP, 0.5e-3))
    return Sleeve(**drawn(draw, Sleeve, inner_radius=inner, exposed=draw(between(0.5e-3, 2e-3))))


@st.composite
def duties(draw: st.DrawFn) -> Duty:
    values = drawn(draw, Duty)
    if values["kind"] == "continuous":
        values["off_time"] = 0.0
    return Duty(**values)


@st.composite
def scenarios(draw: st.DrawFn) -> Scenario:
    """Any scenario: every float as it comes, tiny ones and minus zero too."""
    needle = draw(needles(materials()))
    sleeve = draw(st.none() | sleeves(needle))
    places = st.lists(st.floats(0, needle.length), min_size=1, max_size=12, unique=True)
    try:
        scenario = Scenario(
            name=draw(LINES),
            needle=needle,
            drive=Drive(**drawn(draw, Drive)),
            fluid=Fluid(**drawn(draw, Fluid)),
            sleeve=sleeve,
            duty=draw(duties()),
            markers=tuple(sorted(draw(places))),
            loss_factor=draw(number(Scenario, "loss_factor")),
            spacing=draw(number(Scenario, "spacing")),
        )
    except BadInput:
        reject()
    return more_parts(draw, scenario)


def more_parts(draw: st.DrawFn, scenario: Scenario) -> Scenario:
    """Put on the bench whatever else a scenario may hold, where it fits."""
    there = ("needle", "drive", "fluid", "sleeve", "duty")
    for f in fields(Scenario):
        kind, cls = f.metadata["kind"], f.metadata.get("cls")
        if kind not in ("part", "parts") or f.name in there:
            continue
        try:
            if kind == "parts":
                many = [cls(**drawn(draw, cls)) for _ in range(draw(st.integers(0, 3)))]
                scenario = replace(scenario, **{f.name: tuple(many)})
            elif draw(st.booleans()):
                scenario = replace(scenario, **{f.name: cls(**drawn(draw, cls))})
        except BadInput:
            continue
    return scenario


TITANIUM = Material("titanium", 113.8e9, 0.342, 4430.0)


@st.composite
def benches(draw: st.DrawFn, cones: bool = True) -> Scenario:
    """Scenarios whose numbers are of ordinary size, so that a tolerance means something."""
    needle = draw(needles(st.just(TITANIUM), cones))
    drive = Drive(
        kind=draw(st.sampled_from(tuple(KINDS))),
        frequency=draw(between(20e3, 60e3)),
        axial_stroke=draw(between(1e-6, 1e-4)),
        twist_stroke=draw(between(0.01, 0.2)),
        phase=draw(between(-3.14, 3.14)),
        power=draw(between(0.05, 1.0)),
    )
    try:
        return Scenario(
            name="bench",
            needle=needle,
            drive=drive,
            fluid=Fluid(draw(between(283.0, 333.0)), draw(between(950.0, 1100.0))),
            sleeve=draw(st.none() | sleeves(needle)),
            loss_factor=draw(between(1e-3, 0.05)),
            spacing=draw(between(0.15e-3, 0.25e-3)),
        )
    except BadInput:
        reject()


@st.composite
def pressed(draw: st.DrawFn) -> Scenario:
    """Benches with something that presses on the needle."""
    scenario = draw(benches())
    lens = LensLoad("some", draw(between(1e2, 1e7)), draw(between(0.05, 1.0)))
    place = draw(between(1e-3, scenario.needle.length - 1e-3))
    support = Support(
        place, draw(between(0.2e-3, 4e-3)), draw(between(1e4, 1e7)), draw(between(0.0, 0.5))
    )
    which = draw(st.sampled_from(("lens", "support", "both")))
    return replace(
        with_drive(scenario, holds=draw(st.sampled_from(HOLDS))),
        lens=lens if which != "support" else None,
        support=support if which != "lens" else None,
    )


def with_drive(scenario: Scenario, **changes: object) -> Scenario:
    return replace(scenario, drive=replace(scenario.drive, **changes))  # type: ignore[arg-type]
