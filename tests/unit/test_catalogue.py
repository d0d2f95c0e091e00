"""The data files: complete, consistent, each number with its origin."""

import tomllib
from collections import Counter
from dataclasses import MISSING, fields
from typing import Any

import pytest

from tipsim.paths import asset
from tipsim.setup.catalogue import Catalogue, catalogue, drive, needle, sleeve
from tipsim.setup.drive import KINDS, Drive
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle
from tipsim.setup.presets import preset, presets
from tipsim.setup.scenario import Scenario
from tipsim.setup.sleeve import Sleeve
from tipsim.setup.sourced import STATUSES, Sourced, number, numbers, read_sourced
from tipsim.setup.units import MM

FILES = {
    "needles.toml": ("needle", "id", Needle),
    "sleeves.toml": ("sleeve", "id", Sleeve),
    "drives.toml": ("drive", "kind", Drive),
}
SHAPES = ("straight", "single-bend", "counter-bent")


def raw(name: str) -> dict[str, Any]:
    return tomllib.loads(asset(name).read_text(encoding="utf-8"))


def parts() -> list[tuple[str, Any]]:
    c = catalogue()
    return [*c.needles.items(), *c.sleeves.items(), *c.drives.items()]


@pytest.mark.parametrize("name", FILES)
def test_ids_are_unique_and_all_are_read(name: str) -> None:
    what, id, _ = FILES[name]
    # From the file itself: among the objects a double id would be gone already.
    ids = [entry[id] for entry in raw(name)[what]]
    assert [i for i, n in Counter(ids).items() if n > 1] == []
    read: dict[str, Any] = getattr(catalogue(), f"{what}s")
    assert list(read) == ids
    assert all(getattr(part, id) == i for i, part in read.items())


@pytest.mark.parametrize(("id", "part"), parts(), ids=[id for id, _ in parts()])
def test_every_number_has_exactly_one_origin(id: str, part: Any) -> None:
    numeric = ("quantity", "numbers", "parts")
    want = {f.name for f in fields(part) if f.metadata.get("kind") in numeric}
    # Metal and hub's rise time stand in assets/numbers; power is the learner's, at first full.
    # How far a sleeve follows is computed.
    want -= {"power", "hub_time", "mobility"}
    if isinstance(part, Drive):
        # What such a drive does not use is 0 in the file.
        idle = {"axial_stroke", "phase"} if not part.has_axial else set()
        idle |= {"twist_stroke", "phase"} if not part.has_twist else set()
        assert all(getattr(part, name) == 0 for name in idle)
        want -= idle
    told = Counter(name for o in catalogue().origins[id] for name in o.fields)
    assert set(told) == want
    assert max(told.values()) == 1


@pytest.mark.parametrize("name", FILES)
def test_every_origin_is_used_and_complete(name: str) -> None:
    what, _, cls = FILES[name]
    data = raw(name)
    used = {o for entry in data[what] for o in entry["origins"]}
    assert used == set(data["origin"])
    for id, origin in data["origin"].items():
        assert set(origin) == {"fields", "status", "span", "source"}, id
        assert origin["status"] in STATUSES, id
        assert origin["span"] and origin["source"].endswith((".", ")")), id
        assert origin["fields"] and set(origin["fields"]) <= {f.name for f in fields(cls)}, id


def test_what_is_not_read_does_not_say_so() -> None:
    """A status of "read" names a place to look; one of "assumed" claims none."""
    for n in numbers().values():
        assert n.source, n.id
        if n.status in ("assumed", "common practice"):
            assert "DOI" not in n.source, n.id
        elif n.status == "read":
            assert any(c.isdigit() for c in n.source) or "sheet" in n.source, n.id


def test_single_numbers_are_complete() -> None:
    count = 0
    files = [raw(f"numbers/{path.name}") for path in asset("numbers").iterdir()]
    for group, entries in (pair for data in files for pair in data.items()):
        for name, table in entries.items():
            n = number(f"{group}.{name}")
            # What has no range, such as a limit of a standard, says neither end.
            ends = set(table) & {"low", "high"}
            assert set(table) - ends == {"label", "value", "unit", "status", "source"}
            assert ends in (set(), {"low", "high"})
            if n.status == "assumed":
                assert ends, n.id
            assert n.status in STATUSES and n.low <= n.value <= n.high and n.label
            assert n.si == n.unit.to_si(table["value"])
            count += 1
    assert count == len(numbers())


def test_catalogue_takes_its_shared_numbers_from_the_one_place() -> None:
    for n in catalogue().needles.values():
        metal = n.material
        for name in ("young", "poisson", "density", "loss_factor"):
            assert getattr(metal, name) == number(f"titanium.{name}").si
    for s in catalogue().sleeves.values():
        assert s.mobility is None  # Computed from masses, unless it is set.
    for scenario in presets().values():
        assert scenario.loss_factor == number("motion.loss_factor").si
        assert scenario.spacing == number("motion.spacing").si
        assert scenario.fluid.temperature == number("fluid.temperature").si
        assert scenario.fluid.density == number("fluid.density").si


@pytest.mark.parametrize("id", catalogue().needles)
def test_every_needle_fits_the_sleeve_named_for_it(id: str) -> None:
    c = catalogue()
    fitting = c.sleeves[c.sleeve_for[id]]
    fitting.fits(c.needles[id])
    assert fitting.inner_radius - c.needles[id].outer_radius < 0.25e-3  # And not a barrel.


@pytest.mark.parametrize("id", catalogue().needles)
def test_a_needle_has_the_bends_of_its_shape(id: str) -> None:
    n = catalogue().needles[id]
    turns = [p.turn for p in n.pieces if p.turn]
    if n.shape == "straight":
        assert turns == []
    elif n.shape == "single-bend":
        assert len(turns) == 1
        assert f"{round(float(turns[0]) * 57.29578)}" in id.split("-")
    else:
        assert len(turns) == 2 and turns[0] * turns[1] < 0
    across = {"slim": 0.75e-3, "medium": 0.9e-3, "wide": 1.1e-3}[id.rsplit("-", 1)[1]]
    assert 2 * n.outer_radius == pytest.approx(across)
    assert id.startswith(n.shape)


def test_other_needles_have_the_default_centreline_but_for_what_their_origin_names() -> None:
    data = raw("needles.toml")
    needles, main = catalogue().needles, catalogue().main
    for table in data["needle"]:
        one, base = needles[table["id"]], needles[main[table["shape"]]]
        pairs = list(zip(one.pieces, base.pieces, strict=True))
        changed = [i for i, (a, b) in enumerate(pairs) if a.length != b.length]
        calm = [0, 3] if one.shape == "counter-bent" else [0]
        assert changed == (calm if "calm" in table["origins"] else []), one.id
        if one.shape == "straight":
            assert one.length == base.length
        else:
            assert 11e-3 <= one.first_bend <= 17e-3 and 15e-3 <= one.length <= 20e-3
        if one.shape == "counter-bent":
            assert [a.turn for a, _ in pairs] == [b.turn for _, b in pairs]


def test_the_catalogue_is_round_classes_and_old_names_lead_to_them() -> None:
    """Every shape in every class; every needle that links may name has one that stands for it."""
    c = catalogue()
    shapes = ["straight", *(f"single-bend-{turn}" for turn in (10, 20, 30)), "counter-bent"]
    assert sorted(c.needles) == sorted(
        f"{s}-{size}" for s in shapes for size in ("slim", "medium", "wide")
    )
    of_old = ["straight", *(f"single-bend-{turn}" for turn in (12, 20, 22)), "counter-bent"]
    assert sorted(c.former) == sorted(
        f"{s}-{across}" for s in of_old for across in ("0.75", "0.9", "1.1")
    )
    for old, new in c.former.items():
        assert needle(old) == c.needles[new] == preset(f"{old}, axial").needle
        assert new.startswith(c.needles[new].shape) and old.startswith(c.needles[new].shape)
        assert float(old.rsplit("-", 1)[1]) == pytest.approx(c.needles[new].outer_radius * 2e3)


def test_each_shape_has_one_needle_that_stands_for_it() -> None:
    c: Catalogue = catalogue()
    stands = [e["shape"] for e in raw("needles.toml")["needle"] if e.get("stands_for_shape")]
    assert sorted(stands) == sorted(SHAPES)
    assert all(c.needles[c.main[shape]].shape == shape for shape in SHAPES)
    # They are compared, so tube, metal, hub and sleeve are the same.
    one, two, three = (c.needles[c.main[shape]] for shape in SHAPES)
    for name in ("outer_radius", "inner_radius", "hub_radius", "taper_length", "material", "bevel"):
        assert getattr(one, name) == getattr(two, name) == getattr(three, name)
    assert len({c.sleeve_for[c.main[shape]] for shape in SHAPES}) == 1
    assert one.length == pytest.approx(two.length) == pytest.approx(three.length, abs=0.1e-3)


def test_presets_are_every_shape_and_needle_with_every_drive() -> None:
    c = catalogue()
    assert set(c.drives) == set(KINDS)
    assert set(presets()) == {f"{n}, {k}" for n in (*SHAPES, *c.needles) for k in KINDS}
    for name, scenario in presets().items():
        which, _, kind = name.rpartition(", ")
        assert scenario.name == name
        assert scenario.needle == c.needles[c.main.get(which, which)]
        assert scenario.drive == c.drives[kind] and scenario.drive.power == 1.0
        assert scenario.sleeve == c.sleeves[c.sleeve_for[scenario.needle.id]]
        assert Scenario.preset(name) == scenario


def test_full_drives_are_as_their_origin_says() -> None:
    axial, twist, both = (catalogue().drives[k] for k in ("axial", "torsional", "elliptical"))
    assert (axial.frequency, twist.frequency, both.frequency) == (40e3, 32e3, 32e3)
    assert both.axial_stroke == pytest.approx(axial.axial_stroke / 2, rel=1e-12)
    assert both.twist_stroke == pytest.approx(twist.twist_stroke / 2, rel=1e-12)


@pytest.mark.parametrize(
    ("pick", "wrong", "field", "hint"),
    [
        (needle, "straight-wider", "needle", 'nearest: "straight-wide'),
        (sleeve, "for-0.7", "sleeve", 'nearest: "for-0.7'),
        (drive, "torsion", "drive", 'nearest: "torsional"'),
        (preset, "counterbent, torsional", "scenario", 'nearest: "counter-bent, torsional"'),
        (number, "titanium.jung", "number", 'nearest: "titanium.young"'),
    ],
)
def test_an_unknown_name_is_refused_with_the_nearest(
    pick: Any, wrong: str, field: str, hint: str
) -> None:
    with pytest.raises(BadInput) as caught:
        pick(wrong)
    assert caught.value.field == field
    assert wrong in caught.value.value and hint in caught.value.allowed


def test_a_number_outside_its_own_range_or_of_no_known_kind_is_refused() -> None:
    good = {"label": "x", "value": 1.0, "unit": "mm", "status": "read", "source": "a book"}
    assert read_sourced("a.b", good) == Sourced("a.b", "x", 1.0, MM, 1.0, 1.0, "read", "a book")
    for change, field in (
        ({"status": "guessed"}, "a.b.status"),
        ({"unit": "inch"}, "a.b.unit"),
        ({"low": 2.0, "high": 3.0}, "a.b.value"),
        ({"low": 0.0, "high": 0.5}, "a.b.value"),
    ):
        with pytest.raises(BadInput) as caught:
            read_sourced("a.b", good | change)
        assert caught.value.field == field


def test_every_field_says_what_it_is() -> None:
    """Help, files and links all read these; a field without them would be silent."""
    for cls in (Scenario, Needle, Sleeve, Drive):
        for f in fields(cls):
            assert f.metadata["doc"]
            assert f.metadata["kind"] in (
                *("quantity", "numbers", "choice", "words", "part", "parts"),
            )
            if f.metadata["kind"] == "quantity" and f.default not in (MISSING, None):
                unit, low, high = (f.metadata[k] for k in ("unit", "low", "high"))
                assert unit.to_si(low) <= f.default <= unit.to_si(high)


@pytest.mark.parametrize("shape", ["single-bend", "counter-bent"])
def test_a_bench_load_is_that_of_its_entries(shape: str) -> None:
    """By hand: 1 mL/min of leak, nothing through the opening, 30 g for 20 s."""
    plain, loaded = (preset(f"{shape}, torsional{end}") for end in ("", ", bench load"))
    assert loaded.flow.leak == pytest.approx(1e-6 / 60, rel=1e-12)
    assert loaded.flow.leak != plain.flow.leak and loaded.flow.occlusion == 1.0
    assert loaded.flow.aspiration == plain.flow.aspiration and loaded.duration == 20.0
    assert loaded.press is not None and plain.press is None
    assert loaded.press.force == pytest.approx(0.030 * 9.80665, rel=1e-12)
