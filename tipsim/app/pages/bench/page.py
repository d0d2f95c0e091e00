"""The page that compares two needles: their settings, pictures and numbers."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import ClassVar

from tipsim.app.framework.form import (
    FIRST,
    LATER,
    PULSES,
    SLEEVE,
    Control,
    Group,
    Special,
    needle_options,
)
from tipsim.app.framework.glance import glance
from tipsim.app.framework.methods import methods_view
from tipsim.app.framework.numbers import readout, sources, status_words
from tipsim.app.framework.page import Later, Page, View
from tipsim.app.framework.readout import Readout, sources_view
from tipsim.app.framework.stage.packet import stage_packet
from tipsim.app.framework.stage.plots import MARKERS, Plots, along_packet
from tipsim.app.framework.stage.stage import Stage
from tipsim.app.pages.bench.depth import Depth, section, warnings
from tipsim.app.pages.bench.glance import at_a_glance
from tipsim.app.pages.bench.power import POWER, Power
from tipsim.app.pages.bench.sections import SECTIONS
from tipsim.app.pages.bench.state import MORE, NO_NEEDLE, BenchPageState
from tipsim.saved.card import Card, card, compared
from tipsim.setup.catalogue import catalogue

_HERE = Path(__file__).parent


def origins(state: BenchPageState) -> list[dict[str, str]]:
    """Return where the numbers of every needle come from."""
    return sources(state.bench.a, state.bench.b, *state.more)


def further(key: str, state: BenchPageState, _: str) -> Control | None:
    """Return the control of a needle beside A and B: a button that adds it, or its choice."""
    place = MORE.index(key)
    if place > len(state.further):
        return None
    if place == len(state.further):
        used = {state.bench.a.needle.id, state.bench.b.needle.id, *state.further}
        known = (*catalogue().main.values(), *catalogue().needles)
        fresh = next(id for id in known if id not in used)
        return {"kind": "add", "label": "Add a needle", "value": NO_NEEDLE, "adds": fresh}
    return {
        "kind": "select",
        "label": f"Needle {key.upper()}",
        "value": state.further[place],
        "options": needle_options(),
        "help": "Driven and set as A, in a sleeve that fits it. On this page only: the others show "
        "A and B.",
        "remove": {"value": NO_NEEDLE, "label": f"Remove {key.upper()}"},
    }


def used(state: BenchPageState) -> Card:
    """Return the methods card of all needles on the page."""
    return compared(*(card(s) for s in (state.bench.a, state.bench.b, *state.more)))


class BenchPage(Page[BenchPageState]):
    """One learner's page.

    Examples
    --------
    >>> page = BenchPage({"power": "40"})
    >>> page.state.bench.a.drive.power
    0.4
    >>> page.handle({"seq": 1, "changes": [
    ...     {"side": "both", "field": "drive.power_percent", "value": 140}]})
    >>> page.controls.reply["errors"]
    {'both:drive.power_percent': 'Enter a number from 0 to 100 %. You entered 140 %.'}
    """

    path = "compare"
    title = "Compare needles"
    glance = glance(at_a_glance)
    description = "How an ultrasonic cataract needle moves: two needles side by side."
    skip = "To the stage"
    aside = (_HERE / "aside.html").read_text(encoding="utf-8")
    layout = _HERE / "page.css"
    form_name = "Settings of both needles"
    actions: ClassVar[tuple[tuple[str, str], ...]] = (
        ("reset", "Reset"),
        ("swap", "Swap A and B"),
    )

    State = BenchPageState
    special: ClassVar[dict[str, Special]] = {key: partial(further, key) for key in MORE}
    groups = (
        replace(FIRST[0], paths=("needle", *MORE)),
        FIRST[1],
        *LATER,
        replace(PULSES, open=False),
        Group(
            "Sleeve and fluid",
            ("outside.kind", "incision.insertion_mm", *SLEEVE.paths, "fluid.temperature_c"),
            open=False,
            apart=False,
        ),
        Group(
            "Load",
            (
                *("lens", "lens.contact_percent", "lens.shear_modulus_kpa"),
                *("support", "support.place_mm", "support.stiffness_mpa", "drive.holds"),
            ),
            open=False,
            apart=False,
        ),
        Group(
            "Hub",
            ("hub.held", "hub.tilt_stiffness_n_m_rad", "hub.side_stiffness_n_um"),
            open=False,
            apart=False,
        ),
        Group("Markers and model", ("markers_mm", "loss_factor", "spacing_mm"), False, apart=False),
    )
    views = (
        View(
            "stage",
            Stage,
            "Stage",
            {
                "packet": lambda s: stage_packet(s.every, s.mode),
                "look": lambda s: s.look.shown,
            },
        ),
        View(
            "readout",
            partial(Readout, title="How each needle moves", meanings=status_words()),
            "Numbers",
            fold="All numbers",
            fills={
                "content": lambda s: readout(*s.every),
                "warnings": Later(warnings),
            },
        ),
        View(
            "power",
            Power,
            "Power on its way to the tip",
            {"html": Later(POWER)},
            fold="Where the power goes, and what the motion is made of",
        ),
        View(
            "plots",
            Plots,
            "Still pictures",
            fold="Along the needle, and the markers",
            fills={
                "packet": lambda s: along_packet(s.every),
                "html": lambda s: MARKERS(s.every),
            },
        ),
        View(
            "depth",
            Depth,
            "Behind the motion",
            {name: Later(partial(section, name)) for name in SECTIONS},
            fold="Behind the motion",
        ),
        methods_view(used),
        sources_view(origins),
    )
