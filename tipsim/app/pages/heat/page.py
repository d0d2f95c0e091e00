"""The heat page: both needles in colours of temperature through time, and where the energy goes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

import param

from tipsim.app.framework.article import STYLE as TEXT
from tipsim.app.framework.article import Article, written
from tipsim.app.framework.chart import STYLE, room
from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.form import MOTION, POWER, PULSES, SLEEVE, Group
from tipsim.app.framework.glance import glance
from tipsim.app.framework.methods import methods_view, side_by_side
from tipsim.app.framework.numbers import status_words
from tipsim.app.framework.page import Later, Page, View
from tipsim.app.framework.readout import Readout, sources_view
from tipsim.app.pages.heat import table
from tipsim.app.pages.heat.charts import CHARTS
from tipsim.app.pages.heat.energy import energy
from tipsim.app.pages.heat.glance import at_a_glance
from tipsim.app.pages.heat.packet import packet, preview
from tipsim.app.pages.heat.state import HeatState
from tipsim.app.pages.heat.zoom import zoomed
from tipsim.saved.card import Card
from tipsim.setup.inputs import inputs
from tipsim.setup.scenario import Scenario

_HERE = Path(__file__).parent
ASSUMED = (
    *("rubbing.coefficient", "squeeze.modulus_mpa", "squeeze.loss"),
    *("thermal.nusselt_annulus", "thermal.nusselt_bore", "thermal.annulus_mixing"),
    *("thermal.silicone_conductivity_w_mk", "thermal.air_film_w_m2k", "thermal.chamber_film_w_m2k"),
)
"""Assumed and fitted numbers of heat in the form."""


UNCONTROLLED = (
    "heat of the handpiece and of hands",
    "draughts, and blood flow",
    "folds of the sleeve",
)
"""What the heat model leaves out; its room notes say more."""


def used(state: HeatState) -> Card:
    """Return the methods card of both runs."""
    return side_by_side(state.sides, _runs, UNCONTROLLED)


def _runs(scenario: Scenario) -> str:
    return f"1 of each needle, {inputs(Scenario)['duration_s'].text(scenario)} long"


class Scene(Part):
    """Both needles in colours of temperature, and what belongs to their clock."""

    preview = param.Bytes(default=b"", doc="A quick first packet, from `packet.preview`.")
    packet = param.Bytes(default=b"", doc="From `packet.packet`.")
    reply = param.Dict(default={}, doc="Answer to a change: its number n, and an error or ''.")
    zoom = param.Bytes(default=b"", doc="A stretch pulse by pulse, from `zoom.zoomed`.")

    _esm: ClassVar[str] = script(_HERE / "scene.js")
    _stylesheets: ClassVar[list[str]] = styles(
        "player", TEXT, STYLE, _HERE / "scene.css", _HERE / "events.css"
    ) + room(CHARTS)


class Energy(Article):
    """Power by cause: a bar for each needle, and a table."""

    _stylesheets: ClassVar[list[str]] = styles(TEXT, _HERE / "energy.css")


class HeatPage(Page[HeatState]):
    """One learner's page.

    Examples
    --------
    >>> page = HeatPage({"aspiration": "0", "duration": "5"})
    >>> page.state.bench.a.flow.aspiration
    0.0
    >>> page.handle({"seq": 1, "changes": [{"side": "both", "field": "duration_s", "value": 0}]})
    >>> list(page.controls.reply["errors"].values())
    ['Enter a number from 0.5 to 600 s. You entered 0 s.']
    """

    path = "heat"
    title = "Temperature"
    glance = Later(glance(at_a_glance))
    description = (
        "Watch two needles and their sleeves warm up: with flow and without, free and under load, "
        "and see where the energy goes."
    )
    layout = _HERE / "page.css"
    form_name = "Settings of flow, load and surroundings"

    State = HeatState
    groups = (
        *POWER,
        Group("Flow", ("flow.aspiration_ml_min",), open=False),
        *MOTION,
        Group(
            "Leak, occlusion and bottle",
            (
                *("flow.leak_ml_min", "flow.occlusion_percent"),
                *("flow.bottle_height_cm", "fluid.temperature_c"),
            ),
            open=False,
        ),
        Group(
            "Load on the sleeve",
            (
                *("press", "press.force_g", "press.place_mm", "press.length_mm"),
                *("press.arc_deg", "press.side_deg"),
            ),
            open=False,
        ),
        Group(
            "Surroundings",
            (
                *("outside.kind", "chamber.filling"),
                *("incision.insertion_mm", "incision.length_mm"),
                *("incision.follow", "outside.temperature_c", "duration_s"),
            ),
            open=False,
        ),
        replace(PULSES, open=False),
        SLEEVE,
        Group("Assumed numbers", ASSUMED, open=False, status=True),
    )
    views = (
        View(
            "scene",
            Scene,
            "Temperatures",
            {"preview": Later(preview, live=True), "packet": Later(packet)},
        ),
        View(
            "energy",
            Energy,
            "Where the energy goes",
            {"html": Later(written(_HERE / "energy.html", energy))},
            fold="What holds the sleeve, and where the energy goes",
        ),
        View(
            "readout",
            partial(Readout, title="Temperature", meanings=status_words()),
            "Words and numbers",
            {"content": Later(table.content), "warnings": Later(table.warnings)},
            fold="All numbers",
        ),
        methods_view(used),
        sources_view(table.origins),
    )

    def opening(self, items: Mapping[str, str]) -> HeatState | None:
        """Open a page whose link sets nothing on a fault drill, in which there is much to see."""
        plain = all(name.startswith("view.") for name in items)
        return replace(HeatState.drill(), scale=self.State.read(items)[0].scale) if plain else None

    def fresh(self) -> HeatState:
        """Return the fault drill that a fresh page opens on."""
        return HeatState.drill()

    def asked(self, message: Mapping[str, Any], sender: Any) -> None:
        """Follow the pulses from a time on, when the scene asks for it."""
        start = message.get("zoom")
        if not isinstance(start, int | float) or isinstance(start, bool):
            return super().asked(message, sender)
        scene = self.parts["scene"]
        work = partial(zoomed, self.state, float(start))
        self.screen.later(
            "scene.zoom", work, lambda found: scene.param.update(zoom=found), "Pulse by pulse"
        )
