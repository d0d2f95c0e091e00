"""What the camera bench is set to: a bench, one of its needles, a camera; all of it in the link."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from decimal import Decimal, InvalidOperation
from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.motion.camera import Camera, examples
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import from_plain, key, to_plain
from tipsim.setup.scenario import Scenario

PREFIX = "view.film."
"""Before every item of the link that belongs to the camera; the bench leaves "view." alone."""
SIDES = ("a", "b")
_KEYS = {key(f): f for f in fields(Camera)}


@dataclass(frozen=True)
class CameraState:
    """Everything that is set on the page.

    Attributes
    ----------
    bench : BenchState
        Both needles, as on the bench.
    side : str
        Which is filmed, "a" or "b".
    camera : Camera

    Examples
    --------
    >>> state = CameraState.from_items({"power": "40"})
    >>> state.change("frame_rate_per_s", 35200).to_query()
    'a.needle=single-bend&b.needle=counter-bent&drive=torsional&power=40&view.film.frame_rate_per_s=35200'
    """

    bench: BenchState
    side: str
    camera: Camera

    def __post_init__(self) -> None:
        """Refuse an aim at a marker that this needle has not."""
        if self.side not in SIDES:
            raise BadInput("side", f'"{self.side}"', "a, b")
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

    @classmethod
    def first(cls, bench: BenchState | None = None, side: str = "a") -> CameraState:
        """Give what a fresh page shows."""
        bench = bench or BenchState.first()
        return cls(bench, side, first_camera(bench.b if side == "b" else bench.a))

    @classmethod
    def from_items(cls, items: Mapping[str, str]) -> CameraState:
        """Read the state from the items of a link.

        Raises
        ------
        BadInput
            Naming the item, its value and what is allowed.
        """
        bench = BenchState.from_items(items)
        own = {k.removeprefix(PREFIX): v for k, v in items.items() if k.startswith(PREFIX)}
        side = own.pop("side", "a")
        try:
            state = cls.first(bench, side)
            plain = to_plain(state.camera) | {k: _raw(k, v) for k, v in own.items()}
            return replace(state, camera=from_plain(Camera, plain))
        except BadInput as bad:
            raise BadInput(f"link: {PREFIX}{bad.field}", bad.value, bad.allowed) from None

    def to_query(self, kept: Mapping[str, str] | None = None) -> str:
        """Write the state as the query of a link, with `kept` items of how the bench is seen."""
        extra = dict(kept or {})
        if self.side != "a":
            extra[f"{PREFIX}side"] = self.side
        first = to_plain(first_camera(self.scenario))
        for name, value in to_plain(self.camera).items():
            if value != first[name]:
                extra[PREFIX + name] = f"{value:f}" if isinstance(value, Decimal) else value
        return self.bench.to_query({k.removeprefix("view."): v for k, v in extra.items()})

    def change(self, field: str, value: Any) -> CameraState:
        """Give the state with one thing changed.

        Parameters
        ----------
        field : str
            "side", "example", "again" (another draw of the noise) or a camera's field with its
            unit, such as "pixel_um".
        value : Any
            As a control gives it, in the unit of the field.

        Raises
        ------
        BadInput
            For an impossible value; the state stays as it was.
        """
        if field == "side":
            return self._to_side(str(value))
        if field == "example":
            known = examples(self.scenario.drive.frequency)
            if value not in known:
                raise BadInput("example", f'"{value}"', ", ".join(known))
            return replace(self, camera=known[str(value)].on(self.camera))
        if field == "again":
            return replace(self, camera=replace(self.camera, seed=(self.camera.seed + 1) % 10_000))
        if field not in _KEYS:
            raise BadInput(field, "not here", "a field of the camera")
        plain = to_plain(self.camera) | {field: _raw(field, value)}
        if field == "frame_rate_per_s" and isinstance(plain[field], Decimal) and plain[field] > 0:
            # As on a camera: a faster rate leaves no time for a longer exposure.
            longest = 1_000_000 / plain[field]
            if plain["exposure_us"] > longest:
                plain["exposure_us"] = longest.quantize(Decimal("0.0001"), "ROUND_FLOOR")
        return replace(self, camera=from_plain(Camera, plain))

    def _to_side(self, side: str) -> CameraState:
        """Film the other needle, from where its own drive is seen, if that was so before."""
        other = CameraState.first(self.bench, side)
        camera = self.camera
        if camera.view == first_camera(self.scenario).view:
            camera = replace(camera, view=other.camera.view)
        if camera.aim != "end" and int(camera.aim) > len(other.scenario.markers):
            camera = replace(camera, aim="end")
        return replace(other, camera=camera)


def first_camera(scenario: Scenario) -> Camera:
    """Give a camera that sees a drive well: its motion in the picture's plane, fast enough.

    >>> first_camera(Scenario.preset("straight, axial")).view
    'flat'
    """
    view = "edge-on" if scenario.drive.has_twist else "flat"
    return examples(scenario.drive.frequency)["fast"].on(Camera(view=view))


def _raw(name: str, value: Any) -> Any:
    """Turn what a control or a link gives into what the field's file form is."""
    f = _KEYS.get(name)
    if f is None or f.metadata["kind"] != "quantity":
        return str(value)
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        number = Decimal("nan")
    if not number.is_finite():
        raise BadInput(name, f'"{str(value)[:40]}"', "a number")
    return number
