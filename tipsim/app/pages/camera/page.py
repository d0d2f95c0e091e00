"""The camera page: settings, film, and what to believe of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any, ClassVar

import param

from tipsim.app.framework.article import STYLE as TEXT
from tipsim.app.framework.article import Article, written
from tipsim.app.framework.chart import STYLE, room
from tipsim.app.framework.component import Part, script, styles
from tipsim.app.framework.form import Control, Group, declared
from tipsim.app.framework.glance import glance
from tipsim.app.framework.methods import methods_view
from tipsim.app.framework.page import Later, Page, View
from tipsim.app.framework.readout import sources_view
from tipsim.app.pages.camera import outcome, packet
from tipsim.app.pages.camera.charts import MARKS, TRACK
from tipsim.app.pages.camera.glance import expected, filmed
from tipsim.app.pages.camera.saving import used
from tipsim.app.pages.camera.state import RATE, CameraState, longest_exposure

_HERE = Path(__file__).parent
_OUTCOME = _HERE / "outcome.html"


class Film(Part):
    """The film: player, slices and tracks over time, examples to start from."""

    packet = param.Bytes(default=b"", doc="From `packet.contents`; pictures once there are any.")

    _esm: ClassVar[str] = script(_HERE / "film.js")
    _stylesheets: ClassVar[list[str]] = [
        *styles("player", STYLE, _HERE / "film.css"),
        *room((TRACK, MARKS)),
    ]


class Outcome(Article):
    """What the film shows and what is true, and what follows from the settings."""

    _stylesheets: ClassVar[list[str]] = styles(TEXT, _HERE / "outcome.css")


def _needle(state: CameraState, _: str) -> Control:
    sides = (("a", state.bench.a), ("b", state.bench.b))
    return {
        "kind": "select",
        "label": "Needle",
        "value": state.side,
        "options": [{"value": s, "label": f"{s.upper()}: {one.needle.title}"} for s, one in sides],
        "help": "A and B as they are set to be compared. The sleeve is left out, as if it were "
        "clear; fluid bends no light here.",
    }


def _aim(state: CameraState, _: str) -> Control:
    markers = range(1, len(state.scenario.markers) + 1)
    return {
        "kind": "select",
        "label": "Aimed at",
        "value": state.camera.aim,
        "options": [
            {"value": "end", "label": "The last 6 mm"},
            *({"value": str(n), "label": f"Marker {n}, close"} for n in markers),
        ],
    }


def _of_noise(path: str) -> Any:
    def control(state: CameraState, side: str) -> Control | None:
        return declared(state, path, side) if state.camera.noise == "on" else None

    return control


_NOISE = ("camera.signal_to_noise", "camera.read_noise", "camera.seed")


class CameraPage(Page[CameraState]):
    """One learner's page.

    Examples
    --------
    >>> page = CameraPage({"view.film.pixel_um": "20"})
    >>> page.state.camera.pixel
    2e-05
    >>> page.handle({"changes": [{"field": "camera.exposure_us", "value": 5}]})
    >>> print(*page.controls.reply["errors"].values())
    Enter at most 2 µs, the time from one picture to the next at 500...000 /s. You entered 5 µs.
    """

    path = "camera"
    title = "High-speed camera"
    glance = Later(glance(filmed), first=glance(expected))
    description = (
        "Film the moving needle with a camera of your choice, follow the marks, and compare what "
        "is seen with what is true."
    )
    skip = "To the film"
    layout = _HERE / "page.css"
    form_name = "Settings of the camera"
    reset_words = "The camera is as on a fresh page; the needles stay."

    State = CameraState
    groups = (
        Group("In front of the camera", ("side",)),
        Group("Time", (RATE, "camera.exposure_us")),
        Group("Picture", ("camera.view", "camera.aim", "camera.pixel_um"), open=False),
        Group("Light", ("camera.noise", *_NOISE), open=False, status=True),
        Group(
            "Marks, start and length",
            ("camera.marks", "camera.mark_radius_mm", "camera.trigger_deg", "camera.frames"),
            open=False,
            status=True,
        ),
    )
    special: ClassVar[dict[str, Any]] = {
        "side": _needle,
        "camera.aim": _aim,
        **{path: _of_noise(path) for path in _NOISE},
    }
    views = (
        View("film", Film, "Film", {"packet": Later(packet.filmed, packet.expected)}),
        View(
            "outcome",
            Outcome,
            "Measured and true",
            {"html": Later(written(_OUTCOME, outcome.filmed), written(_OUTCOME, outcome.expected))},
            fold="Can this film be believed? All numbers",
        ),
        methods_view(used),
        sources_view(outcome.origins),
    )

    def fresh(self) -> CameraState:
        """Return a fresh camera before the same needles."""
        return CameraState.first(self.state.bench)

    def remark(self, before: CameraState) -> str:
        """Return a sentence where a faster rate has shortened the exposure."""
        was, now = before.camera, self.state.camera
        shorter = was.exposure > now.exposure == longest_exposure(now)
        if was.frame_rate < now.frame_rate and shorter:
            return "The exposure was shortened to fit between two pictures."
        return ""
