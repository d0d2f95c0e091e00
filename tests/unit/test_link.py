"""Scenarios as links: short, readable, and exact about what is wrong."""

from dataclasses import Field, fields, replace
from typing import Any
from urllib.parse import parse_qsl

import pytest

from tipsim.setup import link
from tipsim.setup.catalogue import catalogue
from tipsim.setup.checks import key
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.load import LensLoad, Support
from tipsim.setup.presets import presets
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press
from tipsim.setup.units import GRAM, ML_MIN

BASE = Scenario.preset("single-bend, torsional")


def changed(**drive: object) -> Scenario:
    return replace(BASE, drive=replace(BASE.drive, **drive))  # type: ignore[arg-type]


READABLE = {
    "needle=single-bend&drive=torsional": BASE,
    "needle=counter-bent&drive=axial": Scenario.preset("counter-bent, axial"),
    "needle=straight-wide&drive=axial": Scenario.preset("straight-wide, axial"),
    "needle=single-bend&drive=torsional&power=37.5": changed(power=0.375),
    "needle=single-bend&drive=torsional&frequency=31.9": changed(frequency=31900.0),
    "needle=single-bend&drive=torsional&sleeve=none": replace(BASE, sleeve=None),
    "needle=single-bend&drive=torsional&sleeve=for-1.1": replace(
        BASE, sleeve=catalogue().sleeves["for-1.1"]
    ),
    "needle=single-bend&drive=torsional&temperature=37": replace(
        BASE, fluid=replace(BASE.fluid, temperature=310.15)
    ),
    "needle=single-bend&drive=torsional&markers=0,0.5,2.25": replace(
        BASE, markers=(0.0, 0.5e-3, 2.25e-3)
    ),
    "needle=single-bend&drive=torsional&lens=hard&holds=power&lens.contact_percent=25": replace(
        changed(holds="power"), lens=LensLoad("hard", 1e6, 0.25)
    ),
    "needle=single-bend&drive=torsional&support=on&support.place_mm=5": replace(
        BASE, support=Support(5e-3)
    ),
    "needle=single-bend&drive=torsional&press=on&aspiration=0&outside=wound&press.force_g=45": (
        replace(
            BASE,
            press=Press(GRAM.to_si(45)),
            flow=replace(BASE.flow, aspiration=0.0),
            outside=replace(BASE.outside, kind="wound"),
        )
    ),
    "needle=single-bend&drive=torsional&leak=2&occlusion=80&events=5:flow+lost,8.5:power:40&"
    "duration=20": replace(
        BASE,
        flow=replace(BASE.flow, leak=ML_MIN.to_si(2), occlusion=0.8),
        events=(Event(5.0, "flow lost"), Event(8.5, "power", share=0.4)),
        duration=20.0,
    ),
}


@pytest.mark.parametrize("query", READABLE)
def test_a_link_says_what_differs_in_words_a_person_can_read(query: str) -> None:
    assert link.to_query(READABLE[query]) == query
    assert link.from_query(query) == READABLE[query]
    assert link.from_query("?" + query) == READABLE[query]


@pytest.mark.parametrize("name", presets())
def test_every_preset_is_two_words(name: str) -> None:
    items = link.to_items(Scenario.preset(name))
    which, _, kind = name.rpartition(", ")
    assert items == {"needle": which, "drive": kind}
    assert link.from_items(items) == Scenario.preset(name)


def test_a_bent_needle_of_one_s_own() -> None:
    pieces = BASE.needle.pieces
    own = replace(
        BASE.needle,
        pieces=(pieces[0], replace(pieces[1], turn=0.4, outer_radius=0.44e-3), pieces[2]),
    )
    query = link.to_query(replace(BASE, needle=own))
    assert "needle.pieces=14.6:0,0.6:22.9" in query
    assert link.from_query(query).needle == own


def test_events_are_kept() -> None:
    events = (Event(0.0, "drive on"), Event(2.5, "load", force=0.2, place=6e-3))
    query = link.to_query(replace(BASE, events=events))
    assert query.startswith("needle=single-bend&drive=torsional&events=0:drive+on,2.5:load::20.39")
    assert link.from_query(query).events == events


def test_nothing_given_is_the_single_bend_under_torsion() -> None:
    assert link.from_query("") == BASE


def test_a_pair_shares_what_is_common() -> None:
    one, two = changed(power=0.5), replace(changed(power=0.5), sleeve=None)
    query = link.pair_to_query(one, two, {"view.phase": "0.25"})
    assert dict(parse_qsl(query)) == {
        "b.sleeve": "none",
        "needle": "single-bend",
        "drive": "torsional",
        "power": "50",
        "view.phase": "0.25",
    }
    assert link.pair_from_items(dict(parse_qsl(query))) == (one, two)


@pytest.mark.parametrize("turn", [1, -1])
def test_in_a_pair_what_names_a_side_counts_more_than_what_is_shared(turn: int) -> None:
    items = {"needle": "straight", "a.needle": "counter-bent", "power": "20", "b.power": "30"}
    a, b = link.pair_from_items(dict(list(items.items())[::turn]))
    assert (a.needle.shape, b.needle.shape) == ("counter-bent", "straight")
    assert (a.drive.power, b.drive.power) == (0.2, 0.3)


def test_a_pair_of_nothing_is_the_two_bent_shapes() -> None:
    a, b = link.pair_from_items({})
    assert (a.needle.shape, b.needle.shape) == ("single-bend", "counter-bent")


def field_at(path: str) -> "Field[Any]":
    """The field that a link's path leads to."""
    cls: type = Scenario
    *parts, last = path.split(".")
    for part in parts:
        cls = next(f.metadata["cls"] for f in fields(cls) if f.name == part)
    return next(f for f in fields(cls) if key(f) == last)


@pytest.mark.parametrize("short", link.ALIASES)
def test_every_short_name_is_understood_and_written(short: str) -> None:
    """A value that the base does not have goes in by the short name and comes out by it."""
    f = field_at(link.ALIASES[short])
    kind = f.metadata["kind"]
    if kind == "choice":
        value = f.metadata["options"][-1]
    elif kind == "numbers":
        value = "1,2"
    else:
        value = f"{f.metadata['low'] + (f.metadata['high'] - f.metadata['low']) / 8:g}"
    items = {"needle": "counter-bent", "drive": "elliptical", "lens": "hard", "support": "on"}
    read = link.from_items({**items, short: value})
    assert read != link.from_items(items)
    assert link.to_items(read) == {**items, short: value}


def test_every_field_has_a_path() -> None:
    """So that no change is lost on the way into a link: paths come from the fields themselves."""
    paths = link.path_names()
    assert len(paths) == len(set(paths))
    assert {"drive.power_percent", "sleeve.mobility", "lens.grade", "markers_mm"} <= set(paths)
    assert {"needle.pieces", "needle.material.poisson", "duty.kind", "spacing_mm"} <= set(paths)
    assert set(link.ALIASES.values()) <= set(paths)


REFUSED = {
    "powr=5": 'link: powr is not a known name here; allowed: names such as power (nearest: "po',
    "power=much": 'link: power is "much"; allowed: a number.',
    "power=nan": 'link: power is "nan"; allowed: a number.',
    "power=": 'link: power is ""; allowed: a number.',
    "power=150": "link: drive.power_percent is 150 %; allowed: 0 to 100 %.",
    "lens=stone": 'link: lens is "stone"; allowed: ',
    "support=soft": 'link: support is "soft"; allowed: on, none.',
    "press=30": 'link: press is "30"; allowed: on, none.',
    "events=5:flow": 'link: events[0].what is "flow"; allowed: drive on, drive off, occlusion, ',
    "events=5:power": 'link: events[0].share_percent is missing; allowed: a number for "power", ',
    "events=soon:load": 'link: events is "soon"; allowed: a number.',
    "drive=sideways": 'link: drive is "sideways"; allowed: torsional, axial, elliptical.',
    "markers=0,,1": 'link: markers is ""; allowed: a number.',
    "markers=0,99": "link: markers_mm[1] is 99 mm; allowed: 0 to 40 mm.",
    "drive.kind.more=1": "link: drive.kind.more is not a known name here; allowed: names such as",
    "fluid=1": "link: fluid is not a known name here; allowed: names such as power",
    "lens.contact_percent=50": "link: lens.grade is missing; allowed: words for the hardness.",
    "needle.pieces=1:2:3:4:5": (
        "link: needle.pieces is 1:2:3:4:5; allowed: "
        "length_mm:turn_deg:outer_radius_mm:inner_radius_mm."
    ),
    "needle.pieces=14.4,0.1:20,3": "link: needle.pieces[1] is a bend of radius 0.286 mm; allowed: ",
    "=1": 'link: "" is not a known name here; allowed: names such as power.',
}


@pytest.mark.parametrize("query", REFUSED)
def test_a_bad_link_is_refused_by_key_and_value(query: str) -> None:
    with pytest.raises(BadInput) as caught:
        link.from_query(query)
    assert str(caught.value).startswith(REFUSED[query])


def test_a_bad_link_for_two_names_the_side() -> None:
    with pytest.raises(BadInput) as caught:
        link.pair_from_items({"b.needle": "straight-0.8"})
    assert str(caught.value).startswith('link: b.needle is "straight-0.8"; allowed: ')
    with pytest.raises(BadInput) as caught:
        link.pair_from_items({"power": "101"})
    assert "power_percent is 101 %" in str(caught.value)
