"""What the tissue page is set to: benches, equal cutting, a draw of chance; all in the link."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.setup.errors import BadInput
from tipsim.setup.ready import READY
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number

PREFIX = "view.tissue."
"""Before every item of the link that belongs to this page alone."""
SEEDS = 999
"""Draws of chance go from 1 to here."""
IRISES = {
    "floppy": number("iris_kind.floppy"),
    "usual": number("eye.iris_modulus"),
    "stiff": number("iris_kind.stiff"),
}
"""Kinds of iris by name: their moduli."""


@dataclass(frozen=True)
class TissueState:
    """Everything that is set on the page.

    Attributes
    ----------
    bench : BenchState
        Both needles with all around them.
    equal : bool
        Whether B is shown at the power at which it cuts like A.
    seed : int
        Which draw of chance the fluttering iris follows, the same for A and B.

    Examples
    --------
    >>> state = TissueState.from_items({"view.tissue.seed": "7"})
    >>> state.change("both", "tissue.iris.friction", 0.2).to_query().split("torsional&")[1]
    'tissue.iris.friction=0.2&view.tissue.seed=7'
    """

    bench: BenchState
    equal: bool = False
    seed: int = 1

    @classmethod
    def first(cls) -> TissueState:
        """Give what a fresh page shows."""
        return cls(BenchState.first())

    @classmethod
    def from_items(cls, items: Mapping[str, str]) -> TissueState:
        """Read the state from the items of a link.

        Raises
        ------
        BadInput
            Naming the item, its value and what is allowed.
        """
        state = cls(BenchState.from_items(items))
        own = {k.removeprefix(PREFIX): v for k, v in items.items() if k.startswith(PREFIX)}
        for name, text in own.items():
            item = f"link: {PREFIX}{name}"
            if name == "equal":
                if text not in ("0", "1"):
                    raise BadInput(item, f'"{text}"', "0, 1")
                state = replace(state, equal=text == "1")
            elif name == "seed":
                state = replace(state, seed=_seed(item, text))
            else:
                raise BadInput(item, "not here", "equal, seed")
        return state

    def to_query(self, kept: Mapping[str, str] | None = None) -> str:
        """Write the state as the query of a link, with `kept` items of other pages."""
        extra = dict(kept or {})
        if self.equal:
            extra[f"{PREFIX}equal"] = "1"
        if self.seed != 1:
            extra[f"{PREFIX}seed"] = str(self.seed)
        return self.bench.to_query({k.removeprefix("view."): v for k, v in extra.items()})

    def change(self, side: str, field: str, value: Any) -> TissueState:
        """Give the state with one thing changed.

        Parameters
        ----------
        side : str
            "a", "b" or "both".
        field : str
            "equal", "seed", "ready" (flow and load of a ready scenario), "iris" (one of `IRISES`),
            or a field of the bench.
        value : Any
            As a control gives it.

        Raises
        ------
        BadInput
            For an impossible value; the state stays as it was.
        """
        if field == "equal":
            return replace(self, equal=bool(value))
        if field == "seed":
            return replace(self, seed=_seed("seed", value))
        if field == "ready":
            if value not in READY:
                raise BadInput("ready", f'"{value}"', ", ".join(READY))
            on = READY[str(value)].on
            return replace(self, bench=replace(self.bench, a=on(self.bench.a), b=on(self.bench.b)))
        if field == "iris":
            if value not in IRISES:
                raise BadInput("iris", f'"{value}"', ", ".join(IRISES))
            kpa = IRISES[str(value)].value
            return self.change(side, "eye.iris_modulus_kpa", kpa)
        return replace(self, bench=self.bench.change(side, field, value))


def iris_of(scenario: Scenario) -> str:
    """Give the kind of iris that a bench has, or "".

    >>> iris_of(TissueState.first().change("both", "iris", "floppy").bench.b)
    'floppy'
    """
    own = scenario.eye.iris_modulus
    return next((kind for kind, n in IRISES.items() if n.si == own), "")


def _seed(item: str, value: Any) -> int:
    text = str(value)
    if not text.isdecimal() or not 1 <= int(text) <= SEEDS:
        raise BadInput(item, f'"{text[:40]}"', f"a whole number from 1 to {SEEDS}")
    return int(text)
