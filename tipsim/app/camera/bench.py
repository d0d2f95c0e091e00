"""The camera bench: settings, film, and what to believe of it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, ClassVar

import panel as pn
import param
from panel.custom import JSComponent
from panel.viewable import Viewer

from tipsim import store
from tipsim.app.answers import answer, bench_of, other_views, refusal, unusable
from tipsim.app.camera.reel import content, reel
from tipsim.app.camera.schema import form
from tipsim.app.camera.state import PREFIX, CameraState
from tipsim.app.framework.component import script, styles
from tipsim.app.framework.controls import Controls, structure
from tipsim.motion.camera import Camera, Film, Measurement, measure, shoot
from tipsim.setup.errors import BadInput
from tipsim.setup.scenario import Scenario

_FOLDER = Path(__file__).parent


def filmed(scenario: Scenario, camera: Camera) -> tuple[Film, Measurement]:
    """Return film and measurement of a needle, from the store that all share."""

    def shot() -> tuple[Film, Measurement]:
        film = shoot(store.result(scenario).motion, scenario.needle, camera)
        return film, measure(film)

    return store.keep(store.Key("film", store.key(scenario, "motion"), camera), shot)


class Reel(JSComponent):
    """The film: player, strip of slices, tracks over time, examples to start from."""

    packet = param.Bytes(default=b"", doc="Head and pictures, from `tipsim.app.camera.reel`.")

    _esm: ClassVar[str] = script(_FOLDER / "reel.js")
    _stylesheets: ClassVar[list[str]] = styles("player", _FOLDER / "reel.css")


class Outcome(JSComponent):
    """Measured beside true, and what follows from the settings."""

    content = param.Dict(default={}, doc="From `tipsim.app.camera.reel.content`.")

    _esm: ClassVar[str] = script(_FOLDER / "outcome.js")
    _stylesheets: ClassVar[list[str]] = styles(_FOLDER / "outcome.css")


class CameraBench(Viewer):
    """One learner's page.

    Parameters
    ----------
    items : mapping of str to str
        Items of the link's query; what cannot be used is left at its first value and said.

    Examples
    --------
    >>> page = CameraBench({"view.film.pixel_um": "20"})
    >>> page.state.camera.pixel
    2e-05
    >>> page.handle({"seq": 1, "changes": [{"field": "exposure_us", "value": 5}]})
    >>> page.controls.reply["errors"]
    {'both:exposure_us': 'Exposure is 5 µs; allowed: at most 2 µs, the time from one picture to the
    next at 500000 /s.'}
    """

    def __init__(self, items: Mapping[str, str] | None = None, **params: Any) -> None:
        super().__init__(**params)
        items = items or {}
        notice = ""
        self._kept = other_views(items, PREFIX)
        try:
            self.state = CameraState.from_items(items)
        except BadInput as bad:
            self.state = CameraState.first(bench_of(items))
            notice = unusable(bad)
        self.controls = Controls(
            actions=[{"field": "reset", "label": "Reset"}],
            name_of_form="Settings of the camera",
            sizing_mode="stretch_width",
        )
        self.reel = Reel(sizing_mode="stretch_width")
        self.outcome = Outcome(sizing_mode="stretch_width")
        self._show()
        self._answer(0, {}, notice)
        self.controls.on_msg(lambda event: self.handle(event.data))
        self.reel.on_msg(lambda event: self.handle(event.data))

    def handle(self, message: Mapping[str, Any]) -> None:
        """Take one message of the form or the film, change what can be changed, answer."""
        errors: dict[str, str] = {}
        notice = None
        before = self.state
        for change in message.get("changes", []):
            field, value = str(change.get("field")), change.get("value")
            if field == "reset":
                self.state = CameraState.first(self.state.bench)
                notice = "The camera is as on a fresh page; the needles stay."
                continue
            try:
                changed = self.state.change(field, value)
            except BadInput as bad:
                errors |= refusal(self.controls, "both", field, bad)
                continue
            if field == "frame_rate_per_s" and changed.camera.exposure < self.state.camera.exposure:
                notice = "The exposure was shortened to fit between two pictures."
            self.state = changed
        with pn.io.hold():
            if self.state != before:
                self._show()
            seq = message.get("seq")
            self._answer(None if seq is None else int(seq), errors, notice)

    def _show(self) -> None:
        """Film, track, and hand everything to the parts of the page."""
        film, measured = filmed(self.state.scenario, self.state.camera)
        self.reel.packet = reel(self.state, film, measured)
        self.outcome.content = content(film, measured)
        schema = form(self.state)
        if structure(schema) != structure(self.controls.schema):
            self.controls.schema = schema

    def _answer(self, seq: int | None, errors: dict[str, str], notice: str | None) -> None:
        link = self.state.to_query(self._kept)
        answer(self.controls, form(self.state), link, seq, errors, notice)
