"""The views of a page: what fills each is a function of the state, quick or slow."""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import panel as pn
from param.parameterized import batch_call_watchers, discard_events
from tornado.ioloop import IOLoop

from tipsim.app.framework.slow import AtOnce, Pool, workers
from tipsim.setup.errors import BadInput

log = logging.getLogger(__name__)
QUIET_MS = 100
"""How long nothing changes before slow work begins, so that a dragged slider starts it once."""
Fill = Callable[[Any], Any]
"""Computes what a param of a view holds from the page's state."""


@dataclass(frozen=True)
class Later:
    """A fill that takes long and runs beside the event loop.

    Attributes
    ----------
    full : callable
        Computes the value from a state; it runs in another process if it can be pickled.
    first : callable or None
        Computes a quick one to show until then; None: what was shown stays.
    live : bool
        For work of a tenth of a second, such as a picture that follows a dragged slider: it begins
        without waiting for a quiet moment, and what it gives is shown although the settings have
        moved on, until there is something newer.
    """

    full: Fill
    first: Fill | None = None
    live: bool = False


@dataclass(frozen=True)
class View:
    """A part of a page and what fills it.

    Attributes
    ----------
    name : str
        Of the part: its place in the page's layout and in `Views.parts`.
    make : callable
        Makes the component: a class, or a function that takes the same keywords.
    title : str
        What its section is called for screen readers, and where it is said to have failed.
    fills : mapping
        For each param of the component a function of the state, or a `Later`.
    fold : str
        What is pressed to see it, such as "All numbers"; "" for what is seen at once.
    """

    name: str
    make: Callable[..., Any]
    title: str
    fills: Mapping[str, Fill | Later]
    fold: str = ""


class Views:
    """The parts of one learner's page, filled anew after each change.

    Parameters
    ----------
    views : sequence of View
    pool : Pool or None
        Where slow work runs; None: beside the event loop, or at once where no browser waits.
    say : callable
        Takes a sentence about slow work that failed.

    Attributes
    ----------
    parts : dict
        Components by name.
    stamp : int
        Grows with each state that is shown. Slow work for another one is dropped.
    """

    def __init__(
        self, views: Sequence[View], pool: Pool | None, say: Callable[[str], None]
    ) -> None:
        self._views = views
        self._document: Any = pn.state.curdoc
        self._loop: Any = IOLoop.current() if self._document else None
        self._early: list[Callable[[], None]] | None = [] if self._document else None
        self._pool = pool or (workers() if self._document else AtOnce())
        self._say = say
        self._trouble: list[str] | None = None
        self._timer: Any = None
        self._shown: dict[str, int] = {}
        self.stamp = 0
        self.parts = {v.name: v.make(sizing_mode="stretch_width") for v in views}
        if self._document:
            pn.state.on_session_destroyed(lambda _: self._pool.forget(self))
            pn.state.onload(self._loaded)

    def show(self, state: Any) -> list[str]:
        """Fill all views from a state and begin slow work; return what failed, in sentences."""
        self.stamp += 1
        trouble = self._trouble = []
        slow: list[tuple[View, str, Later]] = []
        for view in self._views:
            values: dict[str, Any] = {}
            later = {name: f for name, f in view.fills.items() if isinstance(f, Later)}
            for name, fill in view.fills.items():
                quick = fill.first if isinstance(fill, Later) else fill
                try:
                    values |= {name: quick(state)} if quick else {}
                except Exception as error:
                    trouble.append(failure(view.title, error))
            slow += [(view, name, f) for name, f in later.items()]
            self._put(view, values, list(later))
        self._begin(state, [s for s in slow if s[2].live])
        self._begin_quietly(state, [s for s in slow if not s[2].live])
        # What fails from now on comes after the answer, and is said by itself.
        self._trouble = None
        return trouble

    def _begin(self, state: Any, slow: list[tuple[View, str, Later]]) -> None:
        for view, name, fill in slow:
            put = partial(self._arrived, view, name, self.stamp)
            work = partial(fill.full, state)
            self.later(f"{view.name}.{name}", work, put, view.title, fill.live)

    def _begin_quietly(self, state: Any, slow: list[tuple[View, str, Later]]) -> None:
        """Begin slow work: at once for a fresh page, else after a quiet moment."""

        def begin() -> None:
            self._timer = None
            self._begin(state, slow)

        if self._timer is not None:
            self._document.remove_timeout_callback(self._timer)
            self._timer = None
        if self._document and self.stamp > 1 and slow:
            self._timer = self._document.add_timeout_callback(begin, QUIET_MS)
        else:
            begin()

    def later(
        self,
        name: str,
        work: Callable[[], Any],
        put: Callable[[Any], None],
        title: str,
        live: bool = False,
    ) -> None:
        """Compute something beside the event loop and hand it to `put`.

        A call with the same name takes the place of one that has not begun. What arrives after
        another state was shown is dropped, unless it is `live` (see `Later`). `title` says what has
        failed.
        """
        stamp = self.stamp

        def deliver(outcome: Any) -> None:
            if stamp != self.stamp and not (live and stamp > self._shown.get(name, 0)):
                return
            self._shown[name] = stamp
            with pn.io.hold():
                if isinstance(outcome, Exception):
                    say = self._say if self._trouble is None else self._trouble.append
                    say(failure(title, outcome))
                else:
                    put(outcome)

        def done(outcome: Any) -> None:
            # From another thread: the document takes it on its own loop, under its lock.
            if self._document:
                self._loop.add_callback(self._hand, partial(deliver, outcome))
            else:
                deliver(outcome)

        self._pool.submit(self, name, work, done)

    def _hand(self, deliver: Callable[[], None]) -> None:
        """Hand over what arrived, once the browser has the page: changes before can be lost."""
        if self._early is None:
            self._document.add_next_tick_callback(deliver)
        else:
            self._early.append(deliver)

    def _loaded(self) -> None:
        early, self._early = self._early or [], None
        for deliver in early:
            deliver()

    def _arrived(self, view: View, name: str, stamp: int, value: Any) -> None:
        waits = getattr(self.parts[view.name], "waits", ())
        # With a value for an earlier setting, that for this one is still to come.
        self._put(view, {name: value}, [n for n in waits if n != name or stamp != self.stamp])

    def _put(self, view: View, values: dict[str, Any], waits: list[str]) -> None:
        part = self.parts[view.name]
        if "waits" in part.param:
            values["waits"] = waits
        put(part, values)


def put(part: Any, values: Mapping[str, Any]) -> None:
    """Set the params of a part that differ from what they are.

    Param compares old with new in Python, item by item, which took two thirds of an answer on the
    page of heat. So plain data are compared here, and emptied first, unheard: what is empty differs
    at a glance.
    """
    new = {name: value for name, value in values.items() if getattr(part, name) != value}
    with discard_events(part):
        for name, value in new.items():
            if value and isinstance(value, dict | list):
                setattr(part, name, type(value)())
    with batch_call_watchers(part):
        for name, value in new.items():
            setattr(part, name, value)


def failure(title: str, error: Exception) -> str:
    """Return what to say of a view that could not be computed."""
    if isinstance(error, BadInput):
        return f"{title}: {error}"
    log.error("%s failed", title, exc_info=error)
    return f"{title}: this could not be computed; the picture shows the settings before."
