"""The page of the thermal camera: both pictures, cursors, and what to believe of them."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param

from tipsim.app.framework.article import STYLE as TEXT
from tipsim.app.framework.article import Article, written
from tipsim.app.framework.chart import STYLE, room
from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.form import FIRST, Group
from tipsim.app.framework.glance import glance
from tipsim.app.framework.methods import methods_view
from tipsim.app.framework.numbers import sources
from tipsim.app.framework.page import Later, Page, View
from tipsim.app.framework.readout import sources_view
from tipsim.app.pages.thermal import packet
from tipsim.app.pages.thermal.believe import content
from tipsim.app.pages.thermal.charts import CHARTS
from tipsim.app.pages.thermal.glance import at_a_glance
from tipsim.app.pages.thermal.saving import used
from tipsim.app.pages.thermal.state import ThermalState

_HERE = Path(__file__).parent


def _camera(*names: str) -> tuple[str, ...]:
    return tuple(f"thermal_camera.{name}" for name in names)


def origins(state: ThermalState) -> list[dict[str, str]]:
    """Return where the numbers come from."""
    return sources(*state.sides)


class Pictures(Part):
    """Both pictures on one clock, with cursors, colours and charts."""

    preview = param.Bytes(default=b"", doc="A quick first packet, from `packet.preview`.")
    packet = param.Bytes(default=b"", doc="From `packet.packet`.")
    looks = param.Dict(default={}, doc="Colours and cursors, from `packet.looks`.")

    _esm: ClassVar[str] = script(_HERE / "scene.js")
    _stylesheets: ClassVar[list[str]] = styles("player", STYLE, _HERE / "scene.css") + room(CHARTS)


class Believe(Article):
    """How far to believe the pictures."""

    _stylesheets: ClassVar[list[str]] = styles(TEXT, _HERE / "believe.css")


class ThermalPage(Page[ThermalState]):
    """One learner's page.

    Examples
    --------
    >>> page = ThermalPage({"thermal_camera.pixel_mm": "0.4"})
    >>> page.state.bench.a.thermal_camera.pixel
    0.0004
    >>> page.handle({"changes": [{"field": "thermal_camera.pixel_mm", "value": 5}]})
    >>> print(*page.controls.reply["errors"].values())
    Enter a number from 0.05 to 1 mm. You entered 5 mm.
    """

    path = "thermal-camera"
    title = "Thermal camera"
    glance = Later(glance(at_a_glance))
    description = (
        "Look at two warm needles with a thermal camera of your choice, read a point, a line and a "
        "region, and compare what is seen with what is true."
    )
    skip = "To the pictures"
    layout = _HERE / "page.css"
    form_name = "Settings of camera and bench"
    reset_words = "Camera, colours and bench are as on a fresh page."

    State = ThermalState
    groups = (
        FIRST[0],
        Group("Program", _camera("set_emissivity")),
        Group(
            "Surface", _camera("surface", "mirrored_c", "set_mirrored_c", "side_deg"), open=False
        ),
        Group("Optics", _camera("pixel_mm", "blur_mm", "band"), open=False),
        Group(
            "Detector and film",
            _camera(
                "frame_rate_per_s", "pictures", "start_s", "time_constant_ms", "noise_mk", "seed"
            ),
            open=False,
        ),
        Group("Colours", ("palette_a", "palette_b"), apart=False, open=False),
        Group("Cursors", _camera("point_mm", "height_mm", "near_mm", "far_mm"), open=False),
        Group(
            "Bench",
            (
                *("drive", "drive.power_percent", "flow.aspiration_ml_min"),
                *("flow.occlusion_percent", "flow.leak_ml_min"),
                *("press", "press.force_g", "press.place_mm", "duration_s", "together"),
            ),
            open=False,
        ),
        Group(
            "Assumed numbers",
            _camera(
                *("silicone_index", "water_index", "water_absorption", "metal_resistivity_uohm_m"),
                *("emissivity_doubt", "mirrored_doubt_k"),
            ),
            open=False,
            status=True,
        ),
    )
    views = (
        View(
            "pictures",
            Pictures,
            "Pictures",
            {
                "preview": Later(packet.preview, live=True),
                "packet": Later(packet.packet),
                "looks": packet.looks,
            },
        ),
        View(
            "believe",
            Believe,
            "Can these pictures be believed?",
            {"html": Later(written(_HERE / "believe.html", content))},
            fold="Can these pictures be believed? All numbers",
        ),
        methods_view(used),
        sources_view(origins),
    )

    def fresh(self) -> ThermalState:
        """Return a fresh page."""
        return ThermalState.first()
