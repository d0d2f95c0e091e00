"""How the stage is looked at, in the link: only what differs from a first look."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tipsim.app.stage import FIRST_VIEW, checked_view


def first_view() -> dict[str, Any]:
    """Give the view of a fresh page."""
    return dict(FIRST_VIEW)


def view_items(view: Mapping[str, Any]) -> dict[str, str]:
    """Give the items of a link for a view.

    While it plays the phase runs, so it is written only for a picture that stands still.

    Examples
    --------
    >>> view_items({**first_view(), "play": False, "phase_deg": 90.0, "camera": "edge"})
    {'camera': 'edge', 'play': '0', 'phase_deg': '90'}
    """
    out = {}
    for name, value in view.items():
        if value == FIRST_VIEW.get(name) or (name == "phase_deg" and view.get("play")):
            continue
        if isinstance(value, bool):
            out[name] = str(int(value))
        else:
            out[name] = f"{value:g}" if isinstance(value, float | int) else str(value)
    return out


def view_from_items(items: Mapping[str, str]) -> tuple[dict[str, Any], str]:
    """Read the view from a link's items; gives the view and a complaint, empty when all is well.

    Examples
    --------
    >>> view_from_items({"view.speed": "1", "view.play": "0", "power": "3"})[0]["play"]
    False
    >>> view_from_items({"view.speed": "fast"})[1]
    "The link's view.speed is 'fast'; a number is allowed there."
    """
    given: dict[str, Any] = {}
    for key, text in items.items():
        side, _, name = key.partition(".")
        if side != "view" or name not in FIRST_VIEW:
            continue
        first = FIRST_VIEW[name]
        if isinstance(first, bool):
            given[name] = text == "1"
        elif isinstance(first, float):
            try:
                given[name] = float(text)
            except ValueError:
                return first_view(), f"The link's {key} is {text!r}; a number is allowed there."
        else:
            given[name] = text
    try:
        return checked_view(given), ""
    except ValueError as error:
        return first_view(), f"The link's view could not be used: {error}."
