"""A bench with every part on it, and a way to move each of its settings."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from tipsim.setup.drive import Duty
from tipsim.setup.event import Event
from tipsim.setup.hub import Hub
from tipsim.setup.load import LensLoad, Support
from tipsim.setup.needle import Piece
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press


def everything_on() -> Scenario:
    """A bench with every part on it: both motions, pulses, cones, loads, events."""
    base = Scenario.preset("counter-bent, elliptical")
    *front, last = base.needle.pieces
    cone = replace(last, outer_radius=0.48e-3, inner_radius=0.36e-3)
    needle = replace(
        base.needle,
        pieces=(*front, Piece(0.5e-3, 0.05), cone),
        bypass_diameter=0.15e-3,
        bypass_distance=15e-3,
    )
    return replace(
        base,
        needle=needle,
        drive=replace(base.drive, phase=0.7, power=0.8, holds="power"),
        duty=Duty("pulsed", 10e-3, 20e-3),
        hub=Hub("springs"),
        lens=LensLoad("medium", 100e3, 0.4),
        support=Support(7e-3),
        press=Press(0.3, 6e-3),
        duration=3.5,
        events=(
            Event(1.0, "occlusion", share=0.5),
            Event(2.0, "load", share=0.5, force=0.2, place=5e-3),
            Event(3.0, "flow lost", share=0.5, flow=1e-8),
        ),
    )


def settings(obj: Any, place: str = "") -> Iterator[str]:
    """Paths of every number and choice on a bench: dots for parts, brackets in tuples."""
    for f in fields(obj):
        kind, value = f.metadata["kind"], getattr(obj, f.name)
        path = f"{place}{f.name}"
        if kind in ("quantity", "choice") and value is not None:
            yield path
        elif kind == "numbers":
            yield from (f"{path}[{i}]" for i in range(len(value)))
        elif kind == "part" and value is not None:
            yield from settings(value, f"{path}.")
        elif kind == "parts":
            for i, each in enumerate(value):
                yield from settings(each, f"{path}[{i}].")


def changed(obj: Any, path: str) -> Any:
    """The same object with the setting at a path moved a little, within its limits."""
    head, _, rest = path.partition(".")
    name, _, index = head.rstrip("]").partition("[")
    f = next(f for f in fields(obj) if f.name == name)
    value = getattr(obj, name)
    if index:
        i = int(index)
        one = changed(value[i], rest) if is_dataclass(value[i]) else moved(f, value[i])
        return replace(obj, **{name: (*value[:i], one, *value[i + 1 :])})
    return replace(obj, **{name: changed(value, rest) if rest else moved(f, value)})


WHOLE = ("columns", "pictures", "seed")
"""Numbers that are whole."""


def moved(f: Any, value: Any) -> Any:
    if f.name in WHOLE:
        return value + 1
    if f.metadata["kind"] == "choice":
        return next(o for o in reversed(f.metadata["options"]) if o != value)
    low, high = (f.metadata["unit"].to_si(f.metadata[k]) for k in ("low", "high"))
    step = min(0.02 * abs(value), (high - low) / 4) or 1e-3 * (high - low)
    return value + step if value + step <= high else value - step
