"""What was set before and can be set again: steps back and forward."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

from tipsim.app.framework.state import PageState

S = TypeVar("S", bound=PageState)
MOST = 50
"""Steps that can be taken back."""


@dataclass(frozen=True)
class History(Generic[S]):
    """A state and the ways back and forward from it.

    Attributes
    ----------
    now : PageState
    past, future : tuple of PageState
        Nearest last.
    gesture : object
        What the last change belonged to, such as one drag of a slider: all of it is one step.
    count : int
        Steps ever made: the browser keeps a step of its own history for each.
    """

    now: S
    past: tuple[S, ...] = ()
    future: tuple[S, ...] = ()
    gesture: Any = None
    count: int = 0

    def then(self, new: S, gesture: Any = None) -> History[S]:
        """Return the history after a change."""
        if new == self.now:
            return self
        same = gesture is not None and gesture == self.gesture
        if same or _looking(self.now, new) == new:
            return replace(self, now=new, gesture=gesture)
        past = (*self.past, self.now)[-MOST:]
        return replace(self, now=new, past=past, future=(), gesture=gesture, count=self.count + 1)

    def step(self, way: str) -> History[S]:
        """Return the history one step back ("undo") or forward ("redo"), if there is one."""
        if way == "undo" and self.past:
            new = _looking(self.past[-1], self.now)
            future = (*self.future, self.now)
            return replace(self, now=new, past=self.past[:-1], future=future, gesture=None)
        if way == "redo" and self.future:
            new = _looking(self.future[-1], self.now)
            past = (*self.past, self.now)
            return replace(self, now=new, past=past, future=self.future[:-1], gesture=None)
        return replace(self, gesture=None)

    def at(self, state: S) -> History[S]:
        """Return the history at a state that the browser's own history went to."""
        new = _looking(state, self.now)
        for way, near in (("undo", self.past[-1:]), ("redo", self.future[-1:])):
            if any(_looking(one, self.now) == new for one in near):
                return self.step(way)
        return replace(self, now=new, gesture=None)


def _looking(state: S, like: S) -> S:
    """Return a state that is looked at like another."""
    return replace(state, **{name: getattr(like, name) for name in state.LOOKS})
