"""Numbers as people type them: decimal comma, units of the same kind."""

import math
import re

from tipsim.setup.errors import BadInput

FAMILIES: dict[str, tuple[str, float]] = {
    "times": ("count", 1),
    "cycles": ("count", 1),
    "pictures": ("count", 1),
    "needles": ("count", 1),
    "µm": ("length", 1e-6),
    "mm": ("length", 1e-3),
    "cm": ("length", 1e-2),
    "m": ("length", 1),
    "Hz": ("frequency", 1),
    "kHz": ("frequency", 1e3),
    "MHz": ("frequency", 1e6),
    "°C": ("temperature", 1),
    "K": ("warming", 1),
    "%": ("share", 0.01),
    "W": ("power", 1),
    "mW": ("power", 1e-3),
    "m/s": ("speed", 1),
    "mm/s": ("speed", 1e-3),
    "mL/min": ("flow", 1),
    "L/min": ("flow", 1e3),
    "mmHg": ("pressure", 133.322387),
    "kPa": ("pressure", 1e3),
    "Pa": ("pressure", 1),
    "cmH2O": ("pressure", 98.0665),
    "MPa": ("pressure", 1e6),
    "µs": ("time", 1e-6),
    "ms": ("time", 1e-3),
    "s": ("time", 1),
    "min": ("time", 60),
    "°": ("angle", 1),
    "N": ("force", 1),
    "mN": ("force", 1e-3),
    "g": ("load", 1),
    "per s": ("rate", 1),
}
"""Kind of quantity and size of each unit that an item may ask for."""
_SPELLED = {
    "um": "µm", "μm": "µm", "micron": "µm", "microns": "µm", "micrometre": "µm",
    "micrometres": "µm", "micrometer": "µm", "micrometers": "µm", "us": "µs", "μs": "µs",
    "hz": "Hz", "khz": "kHz", "mhz": "MHz", "c": "°C", "ºc": "°C", "°c": "°C", "deg": "°",
    "degrees": "°", "percent": "%", "per cent": "%", "ml/min": "mL/min", "l/min": "L/min",
    "mmhg": "mmHg", "kpa": "kPa", "pa": "Pa", "mpa": "MPa", "cmh2o": "cmH2O", "w": "W",
    "n": "N", "x": "times", "×": "times", "fold": "times", "sec": "s", "seconds": "s",
    "second": "s", "k": "K", "/s": "per s", "1/s": "per s", "fps": "per s",
}  # fmt: skip
_NUMBER = re.compile(r"([+-]?(?:\d[\d.,]*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*(.*)", re.DOTALL)
_SAYS_PP = re.compile(r"\s*\(?(peak[\s-]*to[\s-]*peak|p[\s-]?p|pp)\)?$", re.IGNORECASE)
_LONGEST = 80
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+")


def read_number(text: str, unit: str) -> float:
    """Read a typed number in an item's unit.

    Parameters
    ----------
    text : str
        A number, with a decimal point or comma, and maybe a unit of the same kind.
    unit : str
        The item's unit, one of `FAMILIES`.

    Returns
    -------
    float
        In the item's unit.

    Raises
    ------
    BadInput
        For what is no number, a unit of another kind, or "1,300", which may mean two things.

    Examples
    --------
    >>> read_number("130,5", "µm"), read_number("0.13 mm peak to peak", "µm")
    (130.5, 130.0)
    >>> read_number("32 000", "Hz"), read_number("32 kHz", "Hz"), read_number("−4", "°C")
    (32000.0, 32000.0, -4.0)
    >>> read_number("1,300", "Hz")
    Traceback (most recent call last):
    tipsim.setup.errors.BadInput: answer is "1,300"; allowed: 1300 or 1.3, without a comma that
    may mean either.
    """
    clean = re.sub(r"(?<=\d)[\s'\u00a0\u202f](?=\d{3}(?!\d))", "", text.strip())
    found = _NUMBER.fullmatch(clean.replace("−", "-").replace("–", "-"))
    if found is None or len(clean) > _LONGEST:
        raise BadInput("answer", f'"{text[:40]}"', f"a number{_in(unit)}")
    value = _plain_number(found.group(1), text)
    size = _size(_SAYS_PP.sub("", found.group(2)).strip(), unit)
    # Twelve digits: what was typed, without the rounding of the conversion.
    return float(f"{value * size:.12g}")


def _in(unit: str) -> str:
    return f" in {unit}" if FAMILIES[unit][0] != "count" else ""


def _plain_number(digits: str, text: str) -> float:
    if _THOUSANDS.fullmatch(digits):
        small = digits.replace(",", ".", 1).replace(",", "").rstrip("0").rstrip(".")
        allowed = f"{digits.replace(',', '')} or {small}, without a comma that may mean either"
        raise BadInput("answer", f'"{text[:40]}"', allowed)
    last = max(digits.rfind(","), digits.rfind("."))
    if last >= 0 and digits.count(digits[last]) == 1:
        whole, rest = digits[:last], digits[last + 1 :]
        digits = f"{whole.replace(',', '').replace('.', '')}.{rest}"
    try:
        value = float(digits)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise BadInput("answer", f'"{text[:40]}"', "one number")
    return value


def _size(typed: str, unit: str) -> float:
    """Return the factor from a typed unit to the item's; none typed is the item's."""
    if not typed:
        return 1.0
    known = typed if typed in FAMILIES else _SPELLED.get(typed.lower(), "")
    family, size = FAMILIES[unit]
    if not known or FAMILIES[known][0] != family:
        others = [u for u, (f, _) in FAMILIES.items() if f == family]
        raise BadInput("answer's unit", f'"{typed[:20]}"', ", ".join(others) or "none")
    return FAMILIES[known][1] / size
