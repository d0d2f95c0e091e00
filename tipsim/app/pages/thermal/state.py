"""What the page of the thermal camera is set to: both benches, and how each picture is coloured."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self
from urllib.parse import parse_qsl

from tipsim import store
from tipsim.app.framework.belief import outside
from tipsim.app.framework.bench_state import BenchState
from tipsim.app.framework.state import PageState, one_of
from tipsim.app.pages.thermal.examples import CURSORS, EXAMPLES, Example
from tipsim.heat.camera import Thermogram
from tipsim.heat.camera.surface import IN_AIR
from tipsim.heat.legs import Model
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import choice
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result

FULL = Model()
ROUGH = Model(slices=32, sectors=6, tolerance=1.0)
"""For the first picture after a change: within a kelvin or two of the full one."""
PALETTES = ("inferno", "magma", "viridis", "cividis", "grey")
SCALES = ("both", "own", "20 to 40", "20 to 60", "20 to 100")
"""Range of the colours: fit to both pictures, to the picture itself, or fixed [°C]."""
_SAID = {"both": "Fits both pictures", "own": "Fits this picture"} | {
    one: f"{one} °C" for one in SCALES[2:]
}
_USUAL = ("single-bend, torsional, bench load", "counter-bent, torsional, bench load")


@dataclass(frozen=True)
class ThermalState(PageState):
    """Everything that is set on the page.

    Examples
    --------
    >>> state = ThermalState.from_items({"outside": "air"})
    >>> state.change("both", "scale_b", "own").to_query().split("torsional&")[1]
    'outside=air&view.thermal.scale_b=own'
    """

    palette_a: str = choice(PALETTES, "colours of A's picture", "inferno", label="Colours of A")
    palette_b: str = choice(PALETTES, "colours of B's picture", "inferno", label="Colours of B")
    scale_a: str = choice(
        SCALES, "range of the colours of A's picture", "both", label="Scale of A", said=_SAID
    )
    scale_b: str = choice(
        SCALES, "range of the colours of B's picture", "both", label="Scale of B", said=_SAID
    )

    PREFIX: ClassVar[str] = "view.thermal."
    LOOKS: ClassVar[tuple[str, ...]] = ("palette_a", "palette_b", "scale_a", "scale_b")

    @classmethod
    def first(cls, bench: BenchState | None = None) -> Self:
        """Return what a fresh page shows: both needles under a load, in air, as bench studies."""
        if bench is None:
            a, b = (Scenario.preset(name) for name in _USUAL)
            bench = BenchState(a, b)
        return cls(bench)

    @classmethod
    def read(cls, items: Mapping[str, str]) -> tuple[Self, list[BadInput]]:
        """Return the state of a link's items as far as they can be used, and what cannot.

        A link without a bench begins with one that gets warm.
        """
        if all(name.startswith("view.") for name in items):
            items = dict(parse_qsl(cls.first().bench.to_query())) | dict(items)
        return super().read(items)

    @property
    def sides(self) -> tuple[Scenario, Scenario]:
        """Both scenarios as they are filmed: in air."""
        return in_air(self.bench.a), in_air(self.bench.b)

    @property
    def results(self) -> tuple[Result, Result]:
        """All that can be computed for both, in air."""
        a, b = (store.result(s) for s in self.sides)
        return a, b

    @property
    def films(self) -> tuple[Thermogram | None, Thermogram | None]:
        """What is filmed of both; None where the motion is outside the range of the model."""
        a, b = (None if outside(r) else r.thermogram for r in self.results)
        return a, b

    @property
    def moved(self) -> str:
        """Which needles had to be taken out of fluid or eye, in a sentence; "" for none."""
        kinds = {key: s.outside.kind for key, s in (("A", self.bench.a), ("B", self.bench.b))}
        under = [key for key, kind in kinds.items() if kind not in IN_AIR]
        if not under:
            return ""
        return (
            f"{' and '.join(under)} filmed in air: a thermal camera sees through no fluid, and "
            f"through no cornea. Everything else is as set."
        )

    @property
    def example(self) -> str:
        """Id of the example that is set, or ""."""
        return next((e.id for e in EXAMPLES.values() if self._on(e) == self), "")

    def _on(self, e: Example) -> Self:
        def changed(scenario: Scenario) -> Scenario:
            now = scenario.thermal_camera
            kept = {name: getattr(now, name) for name in CURSORS}
            return replace(scenario, thermal_camera=replace(e.camera, **kept))

        return replace(self.on("both", changed), scale_a=e.scale_a, scale_b=e.scale_b)

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed; see `PageState.change`.

        Besides what that takes, `path` is "example" (its id).
        """
        if path == "example":
            return self._on(one_of(path, value, EXAMPLES))
        return super().change(side, path, value)


def in_air(scenario: Scenario) -> Scenario:
    """Return a scenario in air, where a thermal camera sees it.

    >>> in_air(Scenario.preset("straight, axial")).outside.kind
    'air'
    """
    return scenario if scenario.outside.kind in IN_AIR else scenario.with_(outside="air")
