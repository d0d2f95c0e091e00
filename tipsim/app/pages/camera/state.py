"""What the camera page is set to: a bench, one of its needles, a camera; all of it in the link."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self

from tipsim import store
from tipsim.app.framework.belief import believed, outside
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.framework.state import PageState, one_of
from tipsim.motion.camera import (
    Camera,
    Film,
    Measurement,
    Take,
    examples,
    measure,
    preview,
    shoot,
    take,
)
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import choice, part
from tipsim.setup.scenario import Scenario

RATE = "camera.frame_rate_per_s"
_FIRST = ("view.film.side", "view.film.frame_rate_per_s")
"""Items of a link that others rest on, so they are read before them."""


@dataclass(frozen=True)
class CameraState(PageState):
    """Everything that is set on the page.

    Attributes
    ----------
    side : str
        Which needle is filmed, "a" or "b".
    camera : Camera

    Examples
    --------
    >>> state = CameraState.from_items({"power": "40"})
    >>> state.change("both", RATE, 35200).to_query()
    'a.needle=single-bend&b.needle=counter-bent&drive=torsional&power=40&view.film.frame_rate_per_s=35200'
    """

    side: str = choice(("a", "b"), "which needle is filmed", "a", label="Needle")
    camera: Camera = part(Camera, "the camera", default=Camera())

    PREFIX: ClassVar[str] = "view.film."

    def __post_init__(self) -> None:
        """Refuse an aim at a marker that this needle has not."""
        super().__post_init__()
        markers = len(self.scenario.markers)
        if self.camera.aim != "end" and int(self.camera.aim) > markers:
            allowed = f"end, or a marker from 1 to {markers}"
            raise BadInput("aim", f"marker {self.camera.aim}", allowed)

    @property
    def scenario(self) -> Scenario:
        """The needle that is filmed, with its drive."""
        return self.bench.b if self.side == "b" else self.bench.a

    @property
    def example(self) -> str:
        """Which example the settings are, or ""."""
        known = examples(self.scenario.drive.frequency).values()
        return next((e.id for e in known if e.on(self.camera) == self.camera), "")

    @property
    def ahead(self) -> tuple[Take, Measurement]:
        """What the film should show, before it is rendered."""

        def expected() -> tuple[Take, Measurement]:
            now = take(believed(store.result(self.scenario)), self.scenario.needle, self.camera)
            return now, preview(now)

        return store.keep(self._key("preview"), expected)

    @property
    def film(self) -> tuple[Film, Measurement]:
        """The film, and what it shows."""

        def filmed() -> tuple[Film, Measurement]:
            now = shoot(believed(store.result(self.scenario)), self.scenario.needle, self.camera)
            return now, measure(now)

        return store.keep(self._key("film"), filmed)

    @property
    def held(self) -> str:
        """Why the needle is filmed at rest, in a sentence; "" where it moves as computed."""
        over = outside(store.result(self.scenario), f"{self.side.upper()}'s motion")
        return f"{over} The needle is filmed at rest." if over else ""

    def _key(self, name: str) -> store.Key:
        return store.Key(name, store.key(self.scenario, "limits"), self.camera)

    @classmethod
    def first(cls, bench: BenchState | None = None) -> Self:
        """Return what a fresh page shows, with the needles of a bench."""
        bench = bench or BenchState.first()
        return cls(bench, "a", first_camera(bench.a))

    def usual(self) -> Self:
        """Return the state that a link is compared with: a fresh camera before this needle."""
        return replace(self, side="a", camera=first_camera(self.scenario))

    @classmethod
    def read(cls, items: Mapping[str, str]) -> tuple[Self, list[BadInput]]:
        """Return the state of a link's items as far as they can be used, and what cannot."""
        first = {name: items[name] for name in _FIRST if name in items}
        return super().read(first | dict(items))

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed; see `PageState.change`.

        Besides what that takes, `path` is "example" (an example's id).
        """
        camera = self.camera
        if path == "example":
            known = examples(self.scenario.drive.frequency)
            return replace(self, camera=one_of(path, value, known).on(camera))
        if path == "side":
            return self._to_side(str(value))
        if path != RATE:
            return super().change(side, path, value)
        # As on a camera: a faster rate leaves no time for a longer exposure.
        shortest = replace(self, camera=replace(camera, exposure=0.05e-6))
        new = super(CameraState, shortest).change(side, path, value)
        exposure = min(camera.exposure, longest_exposure(new.camera))
        return replace(new, camera=replace(new.camera, exposure=exposure))

    def _to_side(self, side: str) -> Self:
        """Film the other needle: as fresh, or from where its drive is seen, if that was so."""
        scenario = {"a": self.bench.a, "b": self.bench.b}.get(side, self.scenario)
        camera, fresh = self.camera, first_camera(scenario)
        if camera == first_camera(self.scenario):
            camera = fresh
        if camera.view == first_camera(self.scenario).view:
            camera = replace(camera, view=fresh.view)
        if camera.aim != "end" and int(camera.aim) > len(scenario.markers):
            camera = replace(camera, aim="end")
        return replace(self, side=side, camera=camera)


def longest_exposure(camera: Camera) -> float:
    """Return the longest exposure at a camera's frame rate, in whole tenths of a nanosecond [s]."""
    return math.floor(1e10 / camera.frame_rate) / 1e10


def first_camera(scenario: Scenario) -> Camera:
    """Return a camera that sees a drive well: its motion in the picture's plane, fast enough.

    >>> first_camera(Scenario.preset("straight, axial")).view
    'flat'
    """
    view = "edge-on" if scenario.drive.has_twist else "flat"
    return examples(scenario.drive.frequency)["fast"].on(Camera(view=view))
