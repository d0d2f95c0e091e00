"""What the tissue page is set to: both needles, equal cutting, and the random run of the iris."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self, TypeVar

from tipsim import store
from tipsim.app.framework.form import Control, on_side
from tipsim.app.framework.state import PageState, one_of, switch
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import quantity
from tipsim.setup.ready import READY
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import ONE
from tipsim.solve import Result
from tipsim.tissue.equal import EqualCut, Side, equal_cutting_power

T = TypeVar("T")
IRISES = {
    "floppy": "iris_kind.floppy",
    "usual": "eye.iris_modulus",
    "stiff": "iris_kind.stiff",
}
"""Kinds of iris by name: the number that is their stiffness."""
SEEDS = 999
"""Random seeds go from 1 to here."""


@dataclass(frozen=True)
class TissueState(PageState):
    """Everything that is set on the page.

    Attributes
    ----------
    equal : bool
        Whether B is shown at the power at which it cuts like A.
    seed : float
        Random seed of the iris's flutter, the same for A and B: a whole number.

    Examples
    --------
    >>> state = TissueState.from_items({"view.tissue.seed": "7"})
    >>> state.change("both", "tissue.iris.friction", 0.2).to_query().split("torsional&")[1]
    'tissue.iris.friction=0.2&view.tissue.seed=7'
    """

    equal: bool = switch(
        "On: B is shown at the power at which it cuts as fast as A, so that heat, iris and stress "
        "are compared at the same work. Its own power comes back when this is off.",
        label="Equal cutting: set B's power",
    )
    seed: float = quantity(ONE, 1, SEEDS, "random seed of the iris's flutter", default=1.0)

    PREFIX: ClassVar[str] = "view.tissue."

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed; see `PageState.change`.

        Besides what that takes, `path` is "ready" (flow and load of a ready setting), "iris" (one
        of `IRISES`).
        """
        if path == "ready":
            return self.on(side, one_of(path, value, READY).on)
        if path == "iris":
            stiffness = number(one_of(path, value, IRISES)).value
            return super().change(side, "eye.iris_modulus_kpa", stiffness)
        new = super().change(side, path, value)
        if new.seed % 1:
            raise BadInput(path, str(value), f"a whole number from 1 to {SEEDS}")
        return new

    # ---- what is computed ----

    def keep(self, name: str, compute: Callable[[Side, Side], T], *parts: str) -> T:
        """Return what is computed from both needles as they are set, once per setting.

        `parts` are those parts of a result that rest on the same inputs.
        """
        set_up = self.bench.a, self.bench.b
        key = store.Key(name, *(store.key(s, part) for s in set_up for part in parts))
        return store.keep(key, lambda: compute(*(Side(s, store.result(s).motion) for s in set_up)))

    @property
    def equal_cut(self) -> EqualCut:
        """The power at which B cuts like A."""
        return self.keep("equal cutting", equal_cutting_power, "cutting")

    @property
    def sides(self) -> tuple[Scenario, Scenario]:
        """Both scenarios as they are shown: B perhaps at the power for equal cutting."""
        a, b = self.bench.a, self.bench.b
        power = self.equal_cut.power if self.equal else None
        return a, b if power is None else replace(b, drive=replace(b.drive, power=power))

    @property
    def results(self) -> tuple[Result, Result]:
        """All that can be computed for both as they are shown."""
        a, b = map(store.result, self.sides)
        return a, b


# ---- controls of the page's own ----


def iris_of(scenario: Scenario) -> str:
    """Return the kind of iris that a scenario has, or "".

    >>> iris_of(TissueState.first().change("both", "iris", "floppy").bench.b)
    'floppy'
    """
    own = scenario.eye.iris_modulus
    return next((kind for kind, id in IRISES.items() if number(id).si == own), "")


def iris_control(state: PageState, side: str) -> Control:
    """Describe the choice of an iris."""
    kinds = {kind: number(id) for kind, id in IRISES.items()}
    moduli = ", ".join(f"{kind} {n.value:g} kPa ({n.status})" for kind, n in kinds.items())
    return {
        "kind": "choice",
        "label": "Iris",
        "value": iris_of(on_side(state, side)),
        "options": [{"value": k, "label": k.capitalize()} for k in IRISES],
        "help": f"Sets its stiffness: {moduli}. A floppy iris flutters more in the same stream.",
    }


def ready_control(state: PageState, side: str) -> Control:
    """Describe the choice of a ready setting."""
    scenario = on_side(state, side)
    ready = next((r.id for r in READY.values() if r.is_on(scenario)), "")
    options = [{"value": r.id, "label": r.title} for r in READY.values()]
    return {
        "kind": "select",
        "label": "Flow and load",
        "value": ready,
        "options": options if ready else [*options, {"value": "", "label": "As set here"}],
        "help": "Sets flow, load and events at once; the page Heat has the same.",
    }
