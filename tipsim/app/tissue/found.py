"""What the tissue page shows, computed once for each setting that it rests on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from tipsim import store
from tipsim.app.tissue import cutting, iris, trade, wound
from tipsim.app.tissue.packet import packet
from tipsim.heat.timeline import HeatRun
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result
from tipsim.store import Key
from tipsim.tissue.equal import EqualCut, Side, equal_cutting_power

Data = dict[str, Any]
T = TypeVar("T")


def _pair(name: Key, a: Scenario, b: Scenario, compute: Callable[[Result, Result], T]) -> T:
    return store.keep(name, lambda: compute(store.result(a), store.result(b)))


def _key(what: str, a: Scenario, b: Scenario, *parts: str) -> Key:
    return Key(what, *(store.key(s, part) for s in (a, b) for part in parts))


def iris_content(a: Scenario, b: Scenario) -> Data:
    """Return words and rows of the iris."""
    return _pair(_key("iris content", a, b, "iris"), a, b, iris.content)


def iris_packet(a: Scenario, b: Scenario, seed: int) -> bytes:
    """Return the iris's picture."""
    key = Key("iris packet", _key("", a, b, "iris"), seed)
    return _pair(key, a, b, lambda one, two: packet(one, two, seed))


def cutting_content(a: Scenario, b: Scenario) -> Data:
    """Return rows and curves of cutting."""
    return _pair(_key("cutting content", a, b, "cutting"), a, b, cutting.content)


def fit(a: Scenario, b: Scenario) -> Data:
    """Return how both sleeves sit in the wound."""
    return store.keep(_key("fit", a, b, "wound"), lambda: wound.fit(a, b))


def equal_of(a: Scenario, b: Scenario) -> EqualCut:
    """Return the power at which B cuts like A."""

    def compute(one: Result, two: Result) -> EqualCut:
        return equal_cutting_power(*(Side(r.scenario, r.motion) for r in (one, two)))

    return _pair(_key("equal cutting", a, b, "cutting"), a, b, compute)


def claims(a: Scenario, b: Scenario, wide: bool) -> list[Data]:
    """Return both halves of what practice claims, compared with two needles."""

    def compute(one: Result, two: Result) -> list[Data]:
        return [trade.claim_plain(c) for c in trade.claims(one, two, equal_of(a, b), wide)]

    key = Key("claims", _key("", a, b, "iris", "cutting"), wide)
    return _pair(key, a, b, compute)


def warmth(scenario: Scenario, heat: HeatRun) -> wound.Warmth:
    """Return the wound of a scenario whose temperatures are known."""
    key = Key("warmth", store.key(scenario, "wound"))
    return store.keep(key, lambda: wound.warmth(scenario, heat))
