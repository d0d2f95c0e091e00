"""The flow page: settings, drawing with its run, numbers, and what a sign can mean."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import ClassVar

import param

from tipsim.app.framework.article import STYLE as TEXT
from tipsim.app.framework.article import Article, written
from tipsim.app.framework.chart import STYLE, room
from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.form import NEEDLES, Group
from tipsim.app.framework.glance import glance
from tipsim.app.framework.methods import methods_view, side_by_side
from tipsim.app.framework.numbers import status_words
from tipsim.app.framework.page import Later, Page, View
from tipsim.app.framework.readout import Readout, sources_view
from tipsim.app.pages.flow import signs, table
from tipsim.app.pages.flow.charts import CHARTS
from tipsim.app.pages.flow.glance import at_a_glance
from tipsim.app.pages.flow.packet import packet
from tipsim.app.pages.flow.state import HOLE, FlowState
from tipsim.saved.card import Card
from tipsim.setup.inputs import inputs
from tipsim.setup.scenario import Scenario

_HERE = Path(__file__).parent
SIGNS = written(_HERE / "signs.html", signs.content)


UNCONTROLLED = (
    "how stiff lines and chamber are, which is assumed",
    "viscoelastic on the move",
    "what iris and lens do in a flat chamber",
)
"""What the flow model leaves out; its room notes say more."""


def used(state: FlowState) -> Card:
    """Return the methods card of both runs."""
    return side_by_side((state.bench.a, state.bench.b), _runs, UNCONTROLLED)


def _runs(scenario: Scenario) -> str:
    event, hold = (inputs(Scenario)[f"surge.{name}"].text(scenario) for name in ("event", "hold_s"))
    return f"1 of each needle, with one event ({event.lower()}) of {hold}"


class Scene(Part):
    """The drawing of both benches, what is done to the opening, and the curves over time."""

    packet = param.Bytes(default=b"", doc="From `packet.contents`.")

    _esm: ClassVar[str] = script(_HERE / "scene.js")
    _stylesheets: ClassVar[list[str]] = styles(
        "player", TEXT, STYLE, _HERE / "scene.css", _HERE / "drawing.css"
    ) + room(CHARTS)


class FlowPage(Page[FlowState]):
    """One learner's page.

    Examples
    --------
    >>> page = FlowPage({"view.flow.hold_s": "1"})
    >>> page.state.bench.a.surge.hold
    1.0
    >>> page.handle(
    ...     {"changes": [{"side": "both", "field": "flow.bottle_height_cm", "value": 500}]}
    ... )
    >>> list(page.controls.reply["errors"].values())
    ['Enter a number from 0 to 150 cm. You entered 500 cm.']
    """

    path = "flow"
    title = "Flow and surge"
    glance = Later(glance(at_a_glance), live=True)
    description = (
        "Bottle, sleeve, chamber, needle and pump: occlude the opening, release it, and watch the "
        "chamber."
    )
    skip = "To the drawing"
    layout = _HERE / "page.css"
    form_name = "Settings of bottle, pump and eye"

    State = FlowState
    groups = (
        Group(
            "Bottle and pump",
            (*("flow.bottle_height_cm", "flow.aspiration_ml_min", "flow.vacuum_limit_mmhg"),),
        ),
        Group("Kind of pump", ("flow.pump",), open=False),
        Group(
            "Needles, incision and opening",
            (*NEEDLES.paths, "flow.leak_ml_min", "flow.occlusion_percent", HOLE),
            open=False,
            apart=False,
        ),
        Group(
            "Event, compliance and times",
            (
                *("surge.event", "surge.hold_s"),
                *("surge.line_compliance_ul_mmhg", "surge.chamber_compliance_ul_mmhg"),
                *("chamber.volume_ml", "surge.place_percent", "surge.pump_lag_s"),
                *("surge.closing_time_ms", "surge.opening_time_ms"),
            ),
            open=False,
            status=True,
        ),
    )
    views = (
        View("scene", Scene, "Bottle, chamber and pump", {"packet": Later(packet, live=True)}),
        View(
            "readout",
            partial(
                Readout,
                title="What happens",
                meanings=status_words(),
                warnings=table.warnings(),
            ),
            "Words and numbers",
            {"content": Later(table.content, live=True)},
            fold="All numbers",
        ),
        View(
            "signs",
            Article,
            "Pumps, key moments and signs",
            {"html": Later(SIGNS, live=True)},
            fold="Two kinds of pump, key moments, what a sign can mean",
        ),
        methods_view(used),
        sources_view(table.origins),
    )
