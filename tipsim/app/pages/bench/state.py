"""What the bench page is set to: both needles, how the stage is looked at, what is open."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, ClassVar, Self

from tipsim.app.framework.stage.stage import StageState
from tipsim.app.pages.bench.sections import SECTIONS
from tipsim.setup.errors import BadInput

MOST_MODES = 40
"""More natural modes than lie below 60 kHz in any needle."""


@dataclass(frozen=True)
class BenchPageState(StageState):
    """Everything that is set on the page.

    Attributes
    ----------
    mode : int
        Natural mode on the stage; 0 for the driven motion.
    open : frozenset of str
        Sections that are open.

    Examples
    --------
    >>> state = BenchPageState.first().change("both", "look.camera", "edge")
    >>> state.to_query().split("torsional&")[1]
    'view.camera=edge'
    """

    mode: int = 0
    open: frozenset[str] = frozenset()

    LOOKS: ClassVar[tuple[str, ...]] = ("look", "open")

    def change(self, side: str, path: str, value: Any) -> Self:
        """Return the state with one thing changed.

        Parameters
        ----------
        side : str
            "a", "b" or "both".
        path : str
            "swap", "mode" (a number), "open" (all sections that are open), or what
            `PageState.change` takes.
        value : Any

        Raises
        ------
        BadInput
            For an impossible value; the state stays as it was.
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
        return new if new.bench == self.bench else replace(new, mode=0)
