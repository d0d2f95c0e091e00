"""The stage: two needles side by side in slow motion, drawn in the browser on its own clock.

The server sends one packet (see `tipsim.app.packet`) per change and nothing while it moves.
The script is written as several small modules under ``stage/`` and joined here into one, since
a Panel component carries one script.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any, ClassVar

import param
from panel.custom import JSComponent

from tipsim.app.framework.component import script

_FOLDER = Path(__file__).parent / "stage"

CAMERAS = ("free", "flat", "edge", "end")
ZOOMS = ("whole", "end")

#: How the stage first looks. Angles in degrees, ``speed`` in cycles per second on the screen.
FIRST_VIEW: Mapping[str, Any] = MappingProxyType(
    {
        "camera": "free",
        "yaw": 28.0,
        "pitch": 42.0,
        "zoom": "whole",
        "play": True,
        "phase_deg": 0.0,
        "speed": 0.5,
        "exaggeration": 12.0,
        "trails": True,
        "envelope": True,
        "nodes_shown": True,
        "sleeve_shown": False,
        "twist_lines": True,
        "arrows": False,
    }
)
_CHOICES = {"camera": CAMERAS, "zoom": ZOOMS}
_LIMITS = {
    "yaw": (-180.0, 180.0),
    "pitch": (-180.0, 180.0),
    "phase_deg": (0.0, 360.0),
    "speed": (0.1, 2.0),
    "exaggeration": (1.0, 40.0),
}


def checked_view(view: Mapping[str, Any]) -> dict[str, Any]:
    """A whole view of the stage from a part of one, such as a link holds.

    Parameters
    ----------
    view : mapping
        Any of the names in `FIRST_VIEW`; what is left out is as there.

    Returns
    -------
    dict
        All names, numbers as float.

    Raises
    ------
    ValueError
        A name, a choice or a number that the stage does not know; one sentence says which.

    Examples
    --------
    >>> checked_view({"camera": "edge", "speed": 1})["speed"]
    1.0
    >>> checked_view({"zoom": "tip"})
    Traceback (most recent call last):
    ValueError: view zoom is 'tip'; allowed are whole, end
    """
    whole = dict(FIRST_VIEW)
    for name, value in view.items():
        if name not in whole:
            raise ValueError(f"view has no {name!r}; allowed are {', '.join(whole)}")
        whole[name] = _checked(name, value)
    return whole


def _checked(name: str, value: object) -> object:
    """One entry of a view, or a sentence about what is wrong with it."""
    if name in _CHOICES:
        if value not in _CHOICES[name]:
            raise ValueError(f"view {name} is {value!r}; allowed are {', '.join(_CHOICES[name])}")
        return value
    if name in _LIMITS:
        low, high = _LIMITS[name]
        number = isinstance(value, int | float) and not isinstance(value, bool)
        if not number or not math.isfinite(value) or not low <= value <= high:  # type: ignore[arg-type, operator]
            raise ValueError(f"view {name} is {value!r}; allowed is {low:g} to {high:g}")
        return float(value)  # type: ignore[arg-type]
    if not isinstance(value, bool):
        raise ValueError(f"view {name} is {value!r}; allowed are true and false")
    return value


class Stage(JSComponent):
    """Two needles in slow motion.

    Give it a packet; read or set ``view`` to know or choose how it is looked at. The browser
    writes ``view`` back shortly after the person has changed something, never while it only plays.

    Parameters
    ----------
    view : mapping, optional
        Part of a view; see `checked_view`, which also says what is refused.

    Examples
    --------
    >>> Stage(view={"camera": "end"}).view["zoom"]
    'whole'
    """

    packet = param.Bytes(default=b"", doc="Both needles and their motion, from `packet.encode`.")
    view = param.Dict(default=dict(FIRST_VIEW), doc="How the stage is looked at; see `FIRST_VIEW`.")

    _esm: ClassVar[str] = script(_FOLDER / "stage.js")
    _stylesheets: ClassVar[list[str]] = [(_FOLDER / "stage.css").read_text(encoding="utf-8")]

    def __init__(self, view: Mapping[str, Any] | None = None, **params: Any) -> None:
        super().__init__(view=checked_view(view or {}), **params)
