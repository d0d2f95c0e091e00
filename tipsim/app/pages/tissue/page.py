"""The tissue page: iris, incision, cutting, and all of it compared; what is quick comes first."""

from __future__ import annotations

from collections.abc import Callable, Mapping
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
from tipsim.app.framework.page import Later, Page, View
from tipsim.app.framework.readout import sources_view
from tipsim.app.pages.tissue import compare, cutting, iris, scene, wound
from tipsim.app.pages.tissue.charts import KINDS
from tipsim.app.pages.tissue.glance import at_a_glance
from tipsim.app.pages.tissue.state import TissueState, iris_control, ready_control
from tipsim.saved.card import Card
from tipsim.setup.inputs import inputs
from tipsim.setup.scenario import Scenario

_HERE = Path(__file__).parent
ASSUMED = {"iris": "the iris", "wound": "the incision", "cutting": "cutting"}
"""Groups of assumed numbers, as in `tipsim.setup.tissue`."""
FLUTTER = "tissue.iris.spread_mm"
"""Stands with the iris's own settings."""


UNCONTROLLED = (
    "the iris's shape, a flat sheet here",
    "how the incision deforms, and that it acts back on motion and flow",
    "how unevenly a lens is hard",
)
"""What the models of tissue leave out; their room notes say more."""


def used(state: TissueState) -> Card:
    """Return the methods card of both needles as they are shown."""
    chance = (
        f"1 of each needle; the iris flutters by chance of seed {state.seed:g}, the same for both"
    )
    equal = "; B's power is set so that it cuts as fast as A" if state.equal else ""
    return side_by_side(state.sides, lambda _: f"{chance}{equal}", UNCONTROLLED)


class Scene(Part):
    """Both sleeves with the iris beside them, moving on the browser's own clock."""

    packet = param.Bytes(default=b"", doc="From `scene.contents`.")

    _esm: ClassVar[str] = script(_HERE / "scene.js")
    _stylesheets: ClassVar[list[str]] = [
        *styles("player", TEXT, STYLE, _HERE / "scene.css"),
        *room(KINDS),
    ]


class Curves(Part):
    """Charts, perhaps with a moment that is played."""

    packet = param.Bytes(default=b"", doc="Charts by kind, and what moves.")

    _esm: ClassVar[str] = script(_HERE / "curves.js")
    _stylesheets: ClassVar[list[str]] = [
        *styles("player", TEXT, STYLE, _HERE / "scene.css"),
        *room(KINDS),
    ]


class Text(Article):
    """Words, tables and bars of this page."""

    _stylesheets: ClassVar[list[str]] = styles(TEXT, _HERE / "text.css")


def _html(name: str, data: Callable[[TissueState], Mapping[str, Any]]) -> Callable[[Any], str]:
    return written(_HERE / f"{name}.html", data)


class TissuePage(Page[TissueState]):
    """One learner's page.

    Examples
    --------
    >>> page = TissuePage({"eye.iris_gap_mm": "0"})
    >>> page.state.bench.b.eye.iris_gap
    0.0
    >>> page.handle({"seq": 1, "changes": [
    ...     {"side": "both", "field": "eye.iris_gap_mm", "value": 9}]})
    >>> page.controls.reply["errors"]
    {'both:eye.iris_gap_mm': 'Enter a number from -0.5 to 3 mm. You entered 9 mm.'}
    """

    path = "tissue"
    title = "Tissue"
    glance = Later(glance(at_a_glance))
    tabs: ClassVar[dict[str, tuple[str, ...]]] = {
        "Iris": ("iris", "rubbing", "along"),
        "Incision": ("wound", "warmth", "lip"),
        "Cutting": ("cutting", "power", "drives"),
        "All compared": ("compare",),
    }
    description = (
        "What two needles do to iris, incision and lens: how often the iris touches, how warm the "
        "incision gets, how fast the opening cuts, and how little of it is known."
    )
    skip = "To the iris"
    layout = _HERE / "page.css"

    State = TissueState
    groups = (
        *POWER,
        Group("Iris", ("eye.iris_gap_mm",)),
        Group("Equal cutting", ("equal",), open=False, apart=False),
        *MOTION,
        Group(
            "Iris: kind, place and side",
            (
                *("iris", "eye.iris_modulus_kpa", FLUTTER),
                *("eye.iris_place_mm", "eye.iris_side_deg"),
            ),
            open=False,
        ),
        Group(
            "Incision and flow",
            (
                *("incision.insertion_mm", "incision.length_mm", "incision.follow"),
                *("eye.wound_width_mm", "outside.kind", "ready", "flow.occlusion_percent"),
                *("flow.aspiration_ml_min", "flow.bottle_height_cm", "flow.vacuum_limit_mmhg"),
                *("flow.leak_ml_min", "duration_s"),
            ),
            open=False,
        ),
        Group("Lens", ("lens", "lens.contact_percent"), open=False),
        Group(PULSES.title, PULSES.paths, open=False),
        SLEEVE,
        *(
            Group(
                f"Numbers behind {title}",
                tuple(
                    path
                    for path in inputs(Scenario)
                    if path.startswith(f"tissue.{part}.") and path != FLUTTER
                ),
                open=False,
                status=True,
            )
            for part, title in ASSUMED.items()
        ),
    )
    special: ClassVar = {"iris": iris_control, "ready": ready_control}
    views = (
        View("iris", Scene, "Iris", {"packet": Later(scene.packet, live=True)}),
        View(
            "rubbing", Text, "Iris in numbers",
            {"html": Later(_html("iris", iris.content), live=True)},
        ),
        View("along", Curves, "Rubbing along the needle", {"packet": Later(iris.along)}),
        View("wound", Text, "Incision", {"html": Later(_html("wound", wound.fit), live=True)}),
        View(
            "warmth", Text, "Temperature at the incision",
            {"html": Later(_html("warmth", wound.warmth))},
        ),
        View("lip", Curves, "Temperature and injury, charts", {"packet": Later(wound.lip)}),
        View(
            "cutting", Text, "Cutting",
            {"html": Later(_html("cutting", cutting.content), live=True)},
        ),
        View(
            "power", Curves, "Cutting over power, charts",
            {"packet": Later(cutting.curves, live=True)},
        ),
        View("drives", Text, "Drives and studies", {"html": Later(_html("drives", cutting.swept))}),
        View(
            "compare", Text, "Heat, iris and cutting compared",
            {"html": Later(_html("compare", compare.content))},
        ),
        methods_view(used),
        sources_view(compare.origins),
    )  # fmt: skip
