"""The page about the model: complete, computed, and in agreement with model and tests."""

import re
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from urllib.parse import parse_qsl

import numpy as np
import pytest

from tests import validation
from tipsim.app.framework.form import form
from tipsim.app.pages.about import checks, figure, origins, sure, teaching
from tipsim.app.pages.about.page import about_html, facts
from tipsim.app.pages.about.results import defaults
from tipsim.app.pages.bench.page import BenchPage
from tipsim.app.pages.bench.state import BenchPageState
from tipsim.motion.nearby import nearest_resonance
from tipsim.paths import asset
from tipsim.setup.catalogue import catalogue
from tipsim.setup.sourced import STATUSES, number, numbers

INPUT = re.compile(r"[a-z_.]+[a-z0-9_]*(, |$)")
"""Paths of inputs, beside the numbers that they begin with."""
WORDS_A_MINUTE = 240
"""Silent reading of English, about (from memory)."""


@pytest.fixture(scope="module")
def html() -> str:
    return about_html()


@pytest.fixture(scope="module")
def cases() -> list[sure.Case]:
    return sure.cases()


def plain(text: str) -> str:
    """Text without tags, entities and doubled space."""
    text = re.sub(r"<[^>]+>", " ", text)
    for entity, sign in (("&#39;", "'"), ("&#34;", '"'), ("&gt;", ">"), ("&lt;", "<")):
        text = text.replace(entity, sign)
    return " ".join(text.replace("&nbsp;", " ").replace("&amp;", "&").split())


# The page -------------------------------------------------------------------------------------


def test_contents_lead_to_every_section(html: str) -> None:
    linked = re.findall(r'<li><a href="#([\w-]+)">', html)
    sections = re.findall(r'<section id="([\w-]+)"', html)
    assert len(sections) == 8
    assert [id for id in linked if not id.startswith("status")] == sections
    ids = re.findall(r'\bid="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    for used in re.findall(r'(?:href="#|aria-labelledby=")([\w -]+)"', html):
        assert set(used.split()) <= set(ids)


def test_it_takes_the_time_that_it_says(html: str) -> None:
    main = html[html.index("<main") : html.index("</main>")]
    for tag in ("table", "svg", "summary"):
        main = re.sub(rf"<{tag}\b.*?</{tag}>", "", main, flags=re.S)
    main = re.sub(r'<ul class="free">.*?</ul>|<p class="note">.*?</p>', "", main, flags=re.S)
    minutes = len(plain(main).split()) / WORDS_A_MINUTE
    assert "Ten minutes to read" in html
    assert 5 < minutes < 10.5


def test_it_says_what_of_the_tissue_is_there_and_what_is_left_out(html: str) -> None:
    text = plain(html)
    assert 'href="./tissue"' in html and "each result is a band" in text
    assert "do not act back on motion or flow" in text
    assert "Nothing touches the sleeve" not in text


def test_nothing_comes_from_elsewhere(html: str) -> None:
    addresses = re.findall(r'(?:href|src)="([^"]+)"', html)
    assert addresses
    assert {a for a in addresses if not a.startswith(("./", "#", "assets/"))} == set()
    for path in {a for a in addresses if a.startswith("assets/")}:
        assert asset(path.removeprefix("assets/")).is_file()
    assert re.findall(r"<script[^>]*>", html) == [
        '<script src="assets/scripts/theme.js">',
        '<script src="assets/scripts/nav.js" defer>',
    ]


def test_colours_come_from_the_tokens() -> None:
    own = (Path(figure.__file__).parent / "page.css").read_text(encoding="utf-8")
    css = own + asset("styles/sheet.css").read_text(encoding="utf-8")
    tokens = asset("styles/tokens.css").read_text(encoding="utf-8")
    assert re.findall(r"#[0-9a-f]{3,8}\b|\b(?:rgb|hsl|oklch)a?\(", css) == []
    used = set(re.findall(r"var\((--[\w-]+)\)", css))
    assert used <= set(re.findall(r"(--[\w-]+):", tokens))


def test_no_sentence_is_left_unfilled(html: str) -> None:
    text = plain(html)
    assert re.findall(r"\{\{|\}\}|\bNone\b|\bnan\b|\binf\b", text) == []
    for value in facts().values():
        assert value.replace("\xa0", " ") in text.replace("\xa0", " ")


# How sure -------------------------------------------------------------------------------------


def test_each_case_differs_from_the_first_by_its_one_change(cases: list[sure.Case]) -> None:
    base = cases[0]
    assert base.single is defaults().single
    where = {
        "Frequency": lambda s: s.drive.frequency,
        "Young's modulus": lambda s: s.needle.material.young,
        "Length of all pieces": lambda s: s.needle.length,
        "Sleeve coupling": lambda s: s.sleeve.mobility,
        "Around the needle": lambda s: s.outside.kind,
        "Gap to the sleeve": lambda s: s.sleeve.inner_radius - s.needle.outer_radius,
        "Length of the taper": lambda s: s.needle.taper_length,
        "Loss factor": lambda s: s.loss_factor,
        "Node spacing": lambda s: s.spacing,
    }
    assert {c.what for c in cases[1:]} == set(where)
    for case in cases[1:]:
        for one, other in ((case.single, base.single), (case.counter, base.counter)):
            moved = [k for k, get in where.items() if get(one.scenario) != get(other.scenario)]
            assert moved == [case.what]


def test_one_per_cent_is_one_per_cent(cases: list[sure.Case]) -> None:
    base = cases[0].single.scenario
    by = [c.single.scenario.drive.frequency / base.drive.frequency for c in cases[1:3]]
    assert by == pytest.approx([0.99, 1.01])


def test_the_ends_of_ranges_are_those_of_the_data_files(cases: list[sure.Case]) -> None:
    tried = {c.single.scenario.sleeve.mobility for c in cases if c.single.scenario.sleeve}
    loss = number("motion.loss_factor")
    # Computed, and held rigid all along; and each surrounding that a sleeve meets.
    assert tried == {None, 0.0}
    assert {c.single.scenario.outside.kind for c in cases} == {"air", "chamber", "wound"}
    assert {loss.low, loss.value, loss.high} == {c.single.scenario.loss_factor for c in cases}
    (hub,) = (o for o in catalogue().origins["straight-medium"] if "taper_length" in o.fields)
    low, high = (f"{t * 1e3:g}" for t in sure.TAPERS)
    assert f"taper {low} to {high} mm" in hub.span
    own = defaults().single.scenario
    assert own.sleeve is not None
    gap = own.sleeve.inner_radius - own.needle.outer_radius
    assert np.array(sure.GAPS) / gap == pytest.approx([0.5, 1.5])


def test_the_first_row_is_what_the_bench_shows(cases: list[sure.Case], html: str) -> None:
    cells = sure.table(cases)[0]["cells"]
    a, b = defaults().single.motion, defaults().counter.motion
    assert cells[0] == f"{a.end_stroke * 1e6:.0f}"
    assert cells[2] == f"{b.end_stroke / a.end_stroke:.2f}"
    assert cells[3] == f"{a.markers[4].stroke / b.markers[4].stroke:.2f}"
    assert a.markers[4].distance == 4e-3
    text, found = plain(html), sure.summary(cases)
    assert f"moves further in {found['further']} rows, and its shaft less in" in text
    for word, whats in found["ranked"]:
        assert f"{word} for {whats}" in text


def fake(what: str, end: float, shaft: float, speed: float) -> sure.Case:
    """A case with ratios and speed as wanted: only what the sentences read."""

    def motion(stroke: float, rms: float) -> Any:
        return SimpleNamespace(
            motion=SimpleNamespace(
                end_stroke=stroke,
                end_speed=speed,
                markers=[SimpleNamespace(stroke=1e-6)] * 5,
                character=SimpleNamespace(shaft_rms=rms),
            )
        )

    return sure.Case(what, "x", motion(1e-4, shaft * 1e-6), motion(end * 1e-4, 1e-6))


def test_words_follow_the_numbers() -> None:
    calm = [fake("As it stands", 1.5, 6, 19), fake("Loss factor", 1.51, 6, 19)]
    found = sure.summary(calm)
    assert found["ranked"] == [("next to none", "loss factor")]
    assert (found["further"], found["quieter"]) == ("all 2", "all 2")
    assert (found["fast"], found["worst"]) == ("", None)
    wild = [*calm, fake("Gap to the sleeve", 0.5, 0.9, 31), fake("Loss factor", 1.6, 6, 19)]
    found = sure.summary(wild)
    assert found["ranked"] == [("small", "loss factor"), ("decisive", "gap to the sleeve")]
    assert (found["further"], found["quieter"]) == ("3 of 4", "3 of 4")
    assert found["fast"] == "1 of 4" and found["worst"] is wild[2]


def test_half_and_double_weigh_alike() -> None:
    base = fake("As it stands", 1.0, 1, 1)
    changes = [fake("x", ratio, 1, 1).change(base) for ratio in (0.5, 2.0)]
    assert changes == pytest.approx([1.0, 1.0])


def test_the_resonance_is_where_the_stroke_peaks() -> None:
    """By the response itself, on a grid of 0.1 %."""
    scenario = defaults().single.scenario
    mode = nearest_resonance(scenario)
    drives = np.linspace(0.97, 1.03, 61) * mode
    strokes = [
        sure.solve(replace(scenario, drive=replace(scenario.drive, frequency=f))).motion.end_stroke
        for f in drives
    ]
    assert drives[int(np.argmax(strokes))] == pytest.approx(mode, rel=5e-3)


# How it was checked ---------------------------------------------------------------------------


def test_every_row_of_the_tests_stands_on_the_page(html: str) -> None:
    rows = validation.lines()
    assert sum(map(len, checks.checks().values())) == len(rows)
    text = plain(html)
    for row in rows:
        for cell in row.strip("| ").split(" | ")[:5]:
            assert plain(re.sub(r"[*`]", "", cell)) in text, cell


def test_what_is_fitted_or_not_met_stands_out(html: str) -> None:
    section = html[html.index('<section id="checked"') : html.index('<section id="sources"')]
    marked = [row for row in validation.lines() if "**" in row]
    assert len(marked) >= 3
    assert section.count("<b>") == sum(row.count("**") // 2 for row in marked)


# Where numbers come from ----------------------------------------------------------------------


def test_every_number_is_listed_under_its_status(html: str) -> None:
    groups = origins.by_status()
    assert list(groups) == list(STATUSES)
    for n in numbers().values():
        assert [e.source for e in groups[n.status] if e.what == n.label] == [n.source]
    every = {o for some in catalogue().origins.values() for o in some}
    parts = [e for e in origins.entries() if e.used_by and not INPUT.match(e.used_by)]
    listed = [(e.status, e.source) for e in parts]
    assert sorted(listed) == sorted((o.status, o.source) for o in every)
    text = plain(html)
    for some in groups.values():
        for entry in some:
            assert " ".join(entry.source.split()) in text
    for label, path, allowed in origins.free():
        assert f"{label} ( {path} ): {allowed}" in text
    for status, meaning in STATUSES.items():
        count = len(groups[status]) or "none"
        assert f"{status} {meaning}: {count}" in text


def test_values_are_those_of_the_parts() -> None:
    rows = [e for e in origins.entries() if e.what.startswith("Pieces") and e.status == "fitted"]
    calm, pair = rows
    assert "Counter-bent, slim: 11.4 mm straight" in "\n".join(calm.values).replace("\xa0", " ")
    spoken = "\n".join(pair.values).replace("\xa0", " ")
    assert "Single-bend 20°, medium: 14.6 mm straight, 0.6 mm turning 20°" in spoken
    assert "1.46 mm turning −22°, 3.2 mm turning 47.3°" in spoken
    (hub,) = (e for e in origins.entries() if e.used_by == "all 15 needles" and "taper" in e.span)
    assert [v.replace("\xa0", " ") for v in hub.values] == ["hub radius 1.2 mm, taper length 5 mm"]


def test_sleeves_drives_and_lens_are_there() -> None:
    used = {e.used_by for e in origins.entries()}
    assert {
        "all 3 sleeves",
        "Longitudinal (axial) drive",
        "Torsional drive",
        "Combined (both) drive",
    } <= used
    lens = [e for e in origins.entries() if e.what.startswith("Lens stiffness, ")]
    assert len(lens) == 3 and {e.status for e in lens} == {"assumed"}


# For teachers ---------------------------------------------------------------------------------


@pytest.mark.parametrize("which", ["bend", "characters", "one_percent"])
def test_links_give_back_what_they_stand_for(which: str) -> None:
    query = teaching.facts()["links"][which]
    page = BenchPageState.from_items(dict(parse_qsl(query)))
    state = page.bench
    assert page.look.play is False
    assert state.to_query({"play": "0"}) == query
    assert {s.drive.kind for s in (state.a, state.b)} == {"torsional"}


def test_what_is_shown_is_so(html: str) -> None:
    """The sentences' turns of phrase that are not figures."""
    d = defaults()
    straight, single = d.straight.scenario.needle, d.single.scenario.needle
    assert straight.length == single.length
    for name in ("outer_radius", "inner_radius", "hub_radius", "taper_length", "bevel"):
        assert getattr(straight, name) == getattr(single, name)
    assert d.straight.motion.end_stroke < 1e-9 < d.straight.motion.edge_stroke
    text = plain(html).replace("\xa0", " ")
    assert "straight needle's opening moves 0.0 µm" in text
    assert "In both, the points 2, 3 and 4 mm behind the tip move out of step with it" in text
    assert "drawn 12 times too large and 64 000 times too slow" in text.replace("\u202f", " ")


def test_the_misconceptions_are_wrong(html: str) -> None:
    d = defaults()
    a, b = d.single, d.counter
    assert b.motion.end_stroke > a.motion.end_stroke and b.motion.power < a.motion.power
    assert "counter-bent tip moves further, and its hub puts in less" in plain(html)
    assert teaching.turned(b) > teaching.turned(a)
    assert b.motion.character.shaft_rms < a.motion.character.shaft_rms
    place, turning = teaching.turning_at_still_point(a)
    assert place == a.motion.still_points[-1] and turning > 10e-6


def test_the_setting_that_teachers_are_sent_to_exists() -> None:
    state = BenchPageState.from_items(dict(parse_qsl(teaching.facts()["links"]["one_percent"])))
    labels = [c["label"] for g in form(state, BenchPage.groups) for c in g["controls"]]
    assert any(label.startswith("Sleeve coupling") for label in labels)


# The drawing ----------------------------------------------------------------------------------


def test_the_drawing_is_to_scale() -> None:
    f = figure.figure()
    needle = defaults().single.scenario.needle
    first, last = f["nodes"][0], f["nodes"][-1]
    end = needle.points_at([needle.length])[0] * figure.SCALE
    assert (last[0] - first[0], first[1] - last[1]) == pytest.approx(end[:2], abs=0.11)
    assert f["drawn"] == len(f["nodes"]) < f["modelled"] == defaults().single.motion.frame.n
    assert [number for number, _, _ in f["marks"]] == [1, 2, 3, 4, 5, 6]
