"""What the bench page is set to: both needles, how the stage is looked at, what is open."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self

from tipsim.app.framework.bench_state import change_scenario
from tipsim.app.framework.stage.stage import StageState
from tipsim.app.pages.bench.sections import SECTIONS
from tipsim.setup.catalogue import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.fields import choice
from tipsim.setup.scenario import Scenario
from tipsim.solve import Result
from tipsim.store import result

MOST_MODES = 40
"""More natural modes than lie below 60 kHz in any needle."""
MORE = ("c", "d")
"""Needles that can stand beside A and B: each is set as A, in a sleeve that fits it."""
NO_NEEDLE = "none"
_CHOICES = (NO_NEEDLE, *catalogue().needles)


@dataclass(frozen=True)
class BenchPageState(StageState):
    """Everything that is set on the page.

    Attributes
    ----------
    c, d : str
        Further needles of the catalogue, or "none"; D only where there is C.
    mode : int
        Natural mode on the stage; 0 for the driven motion.
    open : frozenset of str
        Sections that are open.

    Examples
    --------
    >>> state = BenchPageState.first().change("both", "look.camera", "edge")
    >>> state.to_query().split("torsional&")[1]
    'view.camera=edge'
    >>> three = state.change("both", "c", "straight-medium")
    >>> [r.scenario.needle.id for r in three.every][2:], three.change("both", "c", "none") == state
    (['straight-medium'], True)
    """

    c: str = choice(_CHOICES, "third needle beside A and B", NO_NEEDLE, label="Needle C")
    d: str = choice(_CHOICES, "fourth needle beside A and B", NO_NEEDLE, label="Needle D")
    mode: int = 0
    open: frozenset[str] = frozenset()

    LOOKS: ClassVar[tuple[str, ...]] = ("look", "open")

    @property
    def further(self) -> tuple[str, ...]:
        """Ids of the needles beside A and B."""
        return tuple(id for id in (self.c, self.d) if id != NO_NEEDLE)

    @property
    def more(self) -> tuple[Scenario, ...]:
        """The scenarios of the needles beside A and B: A's, with another needle.

        Raises
        ------
        BadInput
            Where a needle does not fit what is set for A.
        """
        out = []
        for key, id in zip(MORE, self.further, strict=False):
            try:
                out.append(change_scenario(self.bench.a, "needle", id))
            except BadInput as bad:
                raise bad.at(f"needle {key.upper()}: {bad.field}") from None
        return tuple(out)

    @property
    def every(self) -> tuple[Result, ...]:
        """Results of all needles, A first."""
        return (*self.results, *map(result, self.more))

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed; see `PageState.change`.

        Besides what that takes, `path` is "swap", "c" and "d" (a needle's id or "none"), "mode" (a
        number), "open" (all sections that are open).
        """
        if path == "swap":
            bench = replace(self.bench, a=self.bench.b, b=self.bench.a)
            return replace(self, bench=bench, mode=0)
        if path == "mode":
            if not str(value).isdecimal() or int(value) > MOST_MODES:
                raise BadInput("mode", f'"{str(value)[:40]}"', f"a number from 0 to {MOST_MODES}")
            return replace(self, mode=int(value))
        if path == "open":
            names = value if isinstance(value, list) else [value]
            unknown = next((n for n in names if n not in tuple(SECTIONS)), None)
            if unknown is not None:
                raise BadInput("section", f'"{str(unknown)[:40]}"', ", ".join(SECTIONS))
            return replace(self, open=frozenset(names))
        new = super().change(side, path, value)
        _ = new.more  # Refused where a needle beside A could not follow.
        if path in MORE:
            ids = (*new.further, NO_NEEDLE, NO_NEEDLE)
            return replace(new, c=ids[0], d=ids[1])
        return new if new.bench == self.bench else replace(new, mode=0)
