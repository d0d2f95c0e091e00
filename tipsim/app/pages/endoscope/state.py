"""What the endoscope page is set to: two needles; and settings to start from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, ClassVar, Self

from tipsim import store
from tipsim.app.framework.belief import believed, outside
from tipsim.app.framework.state import PageState, one_of
from tipsim.setup.described import about, described
from tipsim.setup.endoscope import Endoscope
from tipsim.setup.scenario import Scenario
from tipsim.tissue.endoscope import Ratio, Study, glimpse, ratio, shoot
from tipsim.tissue.endoscope.film import Pictures
from tipsim.tissue.endoscope.measure import read

FRESH = Endoscope()


@described()
class Example:
    """Settings that teach something."""

    id: str = about("Short name, name on screen, and what it is.")
    title: str
    words: str
    changes: Mapping[str, Any] = about("Settings that differ from fresh ones [SI].")

    def on(self, setting: Endoscope) -> Endoscope:
        """Return an endoscope with these settings; region, mark and seed stay."""
        kept = {k: getattr(setting, k) for k in ("region_x", "region_y", "region_size", "seed")}
        return replace(FRESH, **kept, **self.changes)


EXAMPLES = {
    one.id: one
    for one in (
        Example("good", "Well set", "long film, short exposure, enough light", {}),
        Example(
            "short", "Ordinary video", "25 pictures a second: the film is over too soon",
            {"frame_rate": 25.0, "pictures": 75.0},
        ),
        Example("dark", "Too dark", "little light", {"light": 0.02}),
        Example(
            "bright", "Too bright", "long exposure in full light",
            {"light": 1.0, "exposure": 0.08},
        ),
        Example(
            "long", "Long exposure", "specks become streaks", {"exposure": 0.09, "light": 0.03}
        ),
        Example("focus", "Out of focus", "sharp far too near", {"focus": 0.5e-3}),
        Example(
            "wide", "Wide lens, far mark", "the mark lies where the scale is another",
            {"mark": 7e-3, "field": 2.2, "distortion": -0.1},
        ),
        Example(
            "close", "Close to the mark", "near and fine: for the mark's blur",
            {"distance": 1.5e-3, "columns": 240.0, "pictures": 48.0, "light": 1.0},
        ),
    )
}  # fmt: skip


@dataclass(frozen=True)
class EndoscopeState(PageState):
    """Both needles; the endoscope's settings belong to the scenarios.

    Examples
    --------
    >>> state = EndoscopeState.from_items({"power": "40"})
    >>> state.change("both", "endoscope.light_percent", 10).to_query().split("power")[1]
    '=40&endoscope.light_percent=10'
    """

    PREFIX: ClassVar[str] = "view.endoscope."

    @property
    def sides(self) -> tuple[Scenario, Scenario]:
        """Both scenarios."""
        return self.bench.a, self.bench.b

    @property
    def studies(self) -> tuple[Study, Study]:
        """Both films and what the program reads from them."""
        a, b = (_study(s) for s in self.sides)
        return a, b

    @property
    def glimpses(self) -> tuple[Pictures, Pictures]:
        """One picture of each with the drive off: what is there at once."""
        a, b = (glimpse(s, store.result(s).motion) for s in self.sides)
        return a, b

    @property
    def ratio(self) -> Ratio:
        """Specks of A over those of B."""
        return ratio(*self.studies)

    @property
    def held(self) -> tuple[str, ...]:
        """Why a needle is filmed at rest, in a sentence for each."""
        each = (
            outside(store.result(s), f"{k}'s motion") for k, s in zip("AB", self.sides, strict=True)
        )
        return tuple(f"{over} The needle is filmed at rest." for over in each if over)

    @property
    def example(self) -> str:
        """Which example the settings are, or ""."""
        now = self.bench.a.endoscope
        if self.bench.b.endoscope != now:
            return ""
        return next((e.id for e in EXAMPLES.values() if e.on(now) == now), "")

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed; see `PageState.change`.

        Besides what that takes, `path` is "example" (an example's id).
        """
        if path == "example":
            chosen = one_of(path, value, EXAMPLES)
            return self.on(side, lambda s: replace(s, endoscope=chosen.on(s.endoscope)))
        if path == "endoscope.frame_rate_per_s":
            # As on a camera: a faster rate leaves no time for a longer exposure.
            return self._faster(side, path, value)
        return super().change(side, path, value)

    def _faster(self, side: str, path: str, value: Any) -> Self:
        kept = {k: s.endoscope.exposure for k, s in zip("ab", self.sides, strict=True)}
        short = self.on("both", lambda s: s.with_(**{"endoscope.exposure": 5e-6}))
        new = super(EndoscopeState, short).change(side, path, value)

        for key, exposure in kept.items():
            new = new.on(key, partial(_exposed, exposure=exposure))
        return new


def _exposed(scenario: Scenario, exposure: float) -> Scenario:
    """Return a scenario with an exposure as long as its video rate leaves time for, at most."""
    longest = int(1e6 / scenario.endoscope.frame_rate) / 1e6
    return scenario.with_(**{"endoscope.exposure": min(exposure, longest)})


def _study(scenario: Scenario) -> Study:
    """Return the film of a needle, at rest where its motion is not to be believed."""
    result = store.result(scenario)
    if not outside(result):
        return result.endoscope
    key = store.Key("endoscope at rest", store.key(scenario, "endoscope"))
    return store.keep(key, lambda: read(shoot(scenario, believed(result))))
