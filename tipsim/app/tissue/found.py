"""What the page shows, found once for each setting that it rests on.

A scenario is stripped of what a result does not rest on before it is looked up, so that moving a
number of the iris computes no wound, and moving one of the wound no iris. All of it is frozen or
never written to, and the same for all, so learners may share it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache
from typing import Any

from tipsim.app.tissue import cutting, iris, trade, wound
from tipsim.app.tissue.packet import packet
from tipsim.app.workbench import solve
from tipsim.setup.eye import Eye
from tipsim.setup.scenario import Scenario
from tipsim.setup.tissue import Tissue
from tipsim.tissue.equal import EqualCut, Side, equal_cutting_power

Data = dict[str, Any]
_KEPT = 128


def only(scenario: Scenario, *parts: str) -> Scenario:
    """Give a scenario whose numbers of the tissue are as usual but for some parts.

    Parameters
    ----------
    scenario : Scenario
    *parts : str
        Of "iris", "wound", "cutting"; without any, the eye is as usual too: what is left decides
        motion and temperatures.

    Examples
    --------
    >>> bench = Scenario.preset("straight, axial")
    >>> wide = replace(bench, eye=Eye(wound_width=3e-3))
    >>> only(wide) == bench, only(wide, "wound") == wide, only(wide, "iris") == bench
    (True, True, True)
    """
    own = scenario.tissue
    tissue = replace(Tissue(), **{part: getattr(own, part) for part in parts})
    eye, usual = scenario.eye, Eye()
    if "wound" not in parts:
        eye = replace(eye, wound_width=usual.wound_width)
    if "iris" not in parts:
        eye = replace(usual, wound_width=eye.wound_width)
    return replace(scenario, eye=eye, tissue=tissue)


@lru_cache(_KEPT)
def _iris_content(a: Scenario, b: Scenario) -> Data:
    return iris.content(solve(a), solve(b))


@lru_cache(_KEPT)
def _iris_packet(a: Scenario, b: Scenario, seed: int) -> bytes:
    return packet(solve(a), solve(b), seed)


@lru_cache(_KEPT)
def _cutting_content(a: Scenario, b: Scenario) -> Data:
    return cutting.content(solve(a), solve(b))


@lru_cache(_KEPT)
def _fit(a: Scenario, b: Scenario) -> Data:
    return wound.fit(a, b)


@lru_cache(_KEPT)
def _equal(a: Scenario, b: Scenario) -> EqualCut:
    return equal_cutting_power(*(Side(r.scenario, r.motion) for r in (solve(a), solve(b))))


@lru_cache(_KEPT)
def _claims(a: Scenario, b: Scenario, wide: bool) -> list[Data]:
    found = trade.claims(solve(a), solve(b), equal_of(a, b), wide)
    return [trade.claim_plain(one) for one in found]


def iris_content(a: Scenario, b: Scenario) -> Data:
    """Give words and rows of the iris."""
    return _iris_content(only(a, "iris"), only(b, "iris"))


def iris_packet(a: Scenario, b: Scenario, seed: int) -> bytes:
    """Give the iris's picture."""
    return _iris_packet(only(a, "iris"), only(b, "iris"), seed)


def cutting_content(a: Scenario, b: Scenario) -> Data:
    """Give rows and curves of cutting."""
    return _cutting_content(only(a, "cutting"), only(b, "cutting"))


def fit(a: Scenario, b: Scenario) -> Data:
    """Give how both sleeves sit in the wound."""
    return _fit(only(a, "wound"), only(b, "wound"))


def equal_of(a: Scenario, b: Scenario) -> EqualCut:
    """Give the power at which B cuts like A."""
    return _equal(only(a, "cutting"), only(b, "cutting"))


def claims(a: Scenario, b: Scenario, wide: bool) -> list[Data]:
    """Give both halves of what practice claims, held against two benches."""
    return _claims(only(a, "iris", "cutting"), only(b, "iris", "cutting"), wide)


warmth: Callable[..., wound.Warmth] = lru_cache(_KEPT)(wound.warmth)
"""Wounds by `only(scenario, "wound")` and the heat run of the bench."""
