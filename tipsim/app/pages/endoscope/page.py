"""The endoscope page: two films along the sleeve, what a program reads, what to believe of it."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

import param

from tipsim.app.framework.article import STYLE as TEXT
from tipsim.app.framework.article import Article, written
from tipsim.app.framework.chart import STYLE, room
from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.form import MOTION, POWER, SLEEVE, Group
from tipsim.app.framework.glance import glance
from tipsim.app.framework.methods import methods_view
from tipsim.app.framework.page import Later, Page, View
from tipsim.app.framework.readout import sources_view
from tipsim.app.pages.endoscope import outcome, packet
from tipsim.app.pages.endoscope.charts import KINDS
from tipsim.app.pages.endoscope.glance import expected, filmed
from tipsim.app.pages.endoscope.saving import used
from tipsim.app.pages.endoscope.state import EndoscopeState
from tipsim.setup.inputs import inputs
from tipsim.setup.scenario import Scenario

_HERE = Path(__file__).parent
_OUTCOME = _HERE / "outcome.html"
_ASSUMED = tuple(
    path
    for path, one in inputs(Scenario).items()
    if path.startswith("endoscope.") and one.source is not None
)


class Films(Part):
    """Both films: player, region, counts over time, settings to start from."""

    packet = param.Bytes(default=b"", doc="From `packet.filmed`; one picture each before that.")

    _esm: ClassVar[str] = script(_HERE / "film.js")
    _stylesheets: ClassVar[list[str]] = [
        *styles("player", STYLE, _HERE / "film.css"),
        *room(KINDS),
    ]


class Outcome(Article):
    """What the films say and what is true, and the size of what misleads."""

    _stylesheets: ClassVar[list[str]] = styles(TEXT, _HERE / "outcome.css")


class EndoscopePage(Page[EndoscopeState]):
    """One learner's page.

    Examples
    --------
    >>> page = EndoscopePage({"endoscope.mark_mm": "4"})
    >>> page.state.bench.b.endoscope.mark
    0.004
    """

    path = "endoscope"
    title = "Endoscope"
    glance = Later(glance(filmed), first=glance(expected))
    description = (
        "Look along the sleeve from within the chamber: count specks of pigment, read a mark's "
        "blur, and compare what is seen with what is true."
    )
    skip = "To the films"
    layout = _HERE / "page.css"
    form_name = "Settings of the endoscope"

    State = EndoscopeState
    groups = (
        POWER[0],
        # The settings to start from come first: they move these, and say what for.
        Group(
            "Time and light",
            (
                *("endoscope.frame_rate_per_s", "endoscope.exposure_ms"),
                "endoscope.light_percent",
            ),
            open=False,
        ),
        Group(
            "Length, seed and region",
            (
                *("endoscope.pictures", "endoscope.seed", "endoscope.region_x_percent"),
                *("endoscope.region_y_percent", "endoscope.region_size_percent"),
            ),
            open=False,
        ),
        Group(
            "Lens and place",
            (
                *("endoscope.distance_mm", "endoscope.angle_deg", "endoscope.field_deg"),
                *("endoscope.distortion", "endoscope.columns", "endoscope.focus_mm"),
                "endoscope.mark_mm",
            ),
            open=False,
        ),
        Group("Power", POWER[1].paths, open=False),
        Group("Iris", ("eye.iris_gap_mm", "eye.iris_place_mm", "eye.iris_side_deg"), open=False),
        *MOTION,
        SLEEVE,
        Group("Numbers behind the films", _ASSUMED, open=False, status=True),
    )
    views = (
        View("film", Films, "Films", {"packet": Later(packet.filmed, packet.glimpsed)}),
        View(
            "outcome",
            Outcome,
            "Films and truth",
            {"html": Later(written(_OUTCOME, outcome.filmed), written(_OUTCOME, outcome.ahead))},
            fold="Can this film be believed? All numbers",
        ),
        methods_view(used),
        sources_view(outcome.origins),
    )

    def remark(self, before: EndoscopeState) -> str:
        """Return a sentence where a faster rate has shortened the exposure."""
        for was, now in zip(before.sides, self.state.sides, strict=True):
            old, new = was.endoscope, now.endoscope
            if old.frame_rate < new.frame_rate and new.exposure < old.exposure:
                return "The exposure was shortened to fit between two pictures."
        return ""
