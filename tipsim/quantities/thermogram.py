"""Outputs of the thermal camera: what it shows, and what is true."""

from collections.abc import Callable
from typing import Any

from tipsim.heat.camera import Thermogram
from tipsim.heat.camera.causes import Causes
from tipsim.quantities.declare import Computed, Quantity
from tipsim.setup.units import CELSIUS, KELVIN

_AIR = "None where fluid or tissue hides the needle."
_END = "In the last picture of the film."


def _of(get: Callable[[Thermogram], Any]) -> Callable[[Computed], Any]:
    """Return a getter that has no value where nothing can be filmed."""

    def value(r: Computed) -> Any:
        film = r.thermogram
        return None if film is None else get(film)

    return value


def _warm(name: str, label: str, get: Callable[[Thermogram], Any], words: str) -> Quantity:
    key = f"{name}_temperature_c"
    return Quantity(
        f"thermogram.{name}", key, label, _of(get), f"{words} {_AIR}", unit=CELSIUS, decimals=1
    )


def _apart(
    name: str, key: str, label: str, get: Callable[[Thermogram], Any], words: str
) -> Quantity:
    return Quantity(
        f"thermogram.{name}", key, label, _of(get), f"{words} {_AIR}", unit=KELVIN, decimals=1
    )


_CAUSES = {
    "emissivity": "Emissivity",
    "water": "Film of water",
    "angle": "Angle of view",
    "reflection": "Reflection",
    "blur": "Blur and pixels",
    "lag": "Time lag",
    "noise": "Noise",
}


def _cause(name: str, label: str) -> Quantity:
    def get(film: Thermogram) -> Any:
        return getattr(film.why[0], name)

    words = Causes.__dataclass_fields__[name].metadata["doc"]
    more = "Its part in the error of the highest reading."
    return _apart(name, f"causes.{name}_k", label, get, f"{words} {more}")


THERMOGRAM = (
    _warm(
        "seen_max", "Highest reading", lambda f: f.seen_max,
        "Hottest pixel of the whole film, as the program works it out.",
    ),
    _warm(
        "true_max", "Truth, side that is seen", lambda f: f.true_max,
        "Highest temperature on the side that faces the camera, while it films.",
    ),
    _warm(
        "hidden_max", "Truth, all around", lambda f: f.hidden_max,
        "Highest temperature of the surface, seen or not, while the camera films.",
    ),
    _apart(
        "error", "error_k", "Reading less truth", lambda f: f.seen_max - f.true_max,
        "Highest reading less the highest temperature on the side that is seen.",
    ),
    _apart(
        "bar", "error_bar_k", "Error bar, 95 %", lambda f: f.bar,
        "Of the highest reading: noise, and doubts about emissivity ({thermography."
        "emissivity_doubt}) and mirrored temperature ({thermography.mirrored_doubt}), as a root "
        "of squares. It knows nothing of angle, blur, water or lag.",
    ),
    _warm(
        "region_mean", "Region, mean reading", lambda f: float(f.in_region.mean[-1]),
        f"Mean of all pixels of the region. {_END}",
    ),
    _warm(
        "region_true", "Region, true mean", lambda f: float(f.in_region.true_mean[-1]),
        f"Mean over the surface of the region that faces the camera. {_END}",
    ),
    _warm(
        "region_max", "Region, highest reading", lambda f: float(f.in_region.hottest[-1]),
        f"Hottest pixel of the region. {_END}",
    ),
    _warm("line_max", "Line, highest reading", lambda f: float(f.profile[0].max()),
        f"Hottest pixel on the line along the needle. {_END}",
    ),
    _warm("point_seen", "Point, reading", lambda f: f.point[0], f"Pixel at the point. {_END}"),
    _warm("point_true", "Point, truth", lambda f: f.point[1],
        f"Temperature of the surface there. {_END}",
    ),
    *(_cause(name, label) for name, label in _CAUSES.items()),
)  # fmt: skip
