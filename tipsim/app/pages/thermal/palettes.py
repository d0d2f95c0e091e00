"""Colours of the pictures: palettes that are even to the eye, of general-purpose libraries."""

from __future__ import annotations

from functools import cache

import numpy as np
from bokeh.palettes import Cividis256, Inferno256, Magma256, Viridis256
from numpy.typing import NDArray

_GREY = tuple(f"#{k:02x}{k:02x}{k:02x}" for k in range(256))
_TABLES = {
    "inferno": Inferno256,
    "magma": Magma256,
    "viridis": Viridis256,
    "cividis": Cividis256,
    "grey": _GREY,
}


@cache
def table(name: str) -> NDArray[np.uint8]:
    """Return the 256 colours of a palette, red, green, blue, dark to light, shape (768,).

    >>> table("grey")[:6].tolist(), table("viridis")[:3].tolist()
    ([0, 0, 0, 1, 1, 1], [68, 1, 84])
    """
    return np.frombuffer(bytes.fromhex("".join(c[1:7] for c in _TABLES[name])), np.uint8)
