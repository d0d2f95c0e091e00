"""Events as the page's editor has them: read, in words, and what each needs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tipsim.setup.checks import check_count, count_allowed
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.inputs import inputs
from tipsim.setup.plain import from_plain, to_plain
from tipsim.setup.scenario import Scenario

Data = dict[str, Any]


@dataclass(frozen=True)
class Kind:
    """One kind of event in the editor.

    Attributes
    ----------
    id, words : str
        Name, and words on screen.
    fields : dict
        Paths of what it takes: words beside the field, and its first value; None may stay empty.
    what : str
        The event's own kind, where it is not the id.
    """

    id: str
    words: str
    fields: dict[str, tuple[str, float | None]]
    what: str = ""


MOVED = "moved"
"""A load of the same weight at another place."""
KINDS = (
    Kind("drive on", "drive on", {}),
    Kind("drive off", "drive off", {}),
    Kind("power", "power changes", {"share_percent": ("power", 50.0)}),
    Kind("occlusion", "opening occluded", {"share_percent": ("occluded", 100.0)}),
    Kind("flow lost", "flow lost", {"flow_ml_min": ("leak that is left", None)}),
    Kind("flow back", "flow back", {}),
    Kind("viscoelastic cleared", "viscoelastic cleared", {}),
    Kind(
        "load",
        "load on the sleeve",
        {"force_g": ("weight", None), "place_mm": ("from the tip", None)},
    ),
    Kind(MOVED, "needle moved in the incision", {"place_mm": ("from the tip", 4.0)}, "load"),
    Kind("load off", "load off", {}),
)


def kind_of(event: Event) -> str:
    """Return what an event is called in the editor.

    >>> kind_of(Event(2.0, "load", place=4e-3)), kind_of(Event(2.0, "load"))
    ('moved', 'load')
    """
    moved = event.what == "load" and event.place is not None and event.force is None
    return MOVED if moved else event.what


def plain(event: Event) -> Data:
    """Return an event as plain data in the units of a file, with its kind in the editor."""
    values = {k: v if isinstance(v, str) else float(v) for k, v in to_plain(event).items()}
    return {"kind": kind_of(event), "values": values}


def kinds() -> list[Data]:
    """Return what the editor offers, with units from the declarations."""
    known = inputs(Event)
    return [
        {
            "id": k.id,
            "what": k.what or k.id,
            "words": k.words,
            "fields": [
                {"path": path, "label": label, "unit": known[path].unit.symbol, "first": first}
                for path, (label, first) in k.fields.items()
            ],
        }
        for k in KINDS
    ]


def events_from(plain_: Any) -> tuple[Event, ...]:
    """Read a list of events from plain data, and put them in order of time.

    Raises
    ------
    BadInput
        Naming the event, counted from 1, the field, its value and what is allowed.

    Examples
    --------
    >>> events_from([{"time_s": 5, "what": "flow lost"}])
    (Event(time=5.0, what='flow lost', share=None, force=None, place=None, flow=None),)
    """
    declared = inputs(Scenario)["events"].field
    if not isinstance(plain_, list):
        raise BadInput("events", "not a list", count_allowed(declared))
    check_count(declared, "events", plain_)
    out = []
    for i, one in enumerate(plain_, 1):
        try:
            out.append(from_plain(Event, one))
        except BadInput as bad:
            raise bad.within(f"event {i}") from None
    return tuple(sorted(out, key=lambda e: e.time))
