"""What an output is: declared once, with everything that any text, table or file says of it."""

import math
import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np

from tipsim.flow.balance import Balance
from tipsim.flow.surge import Surge
from tipsim.heat.camera import Thermogram
from tipsim.heat.steady import SteadyHeat
from tipsim.heat.timeline import HeatRun
from tipsim.motion.cavitation import Cavitation
from tipsim.motion.ceilings import Ceiling
from tipsim.motion.run import Motion
from tipsim.motion.sensitivity import Sensitivity
from tipsim.motion.stress import Stress
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.units import ONE, Unit
from tipsim.setup.units import WATT as WATT
from tipsim.tissue.bands import Band
from tipsim.tissue.iris import Iris
from tipsim.tissue.nucleus import Cutting
from tipsim.tissue.wound import Wound

if TYPE_CHECKING:
    from tipsim.tissue.endoscope import Study

MILLIGRAM = Unit("mg", "mg", Decimal("1e-6"))
NEWTON = Unit("N", "n", Decimal(1))
MILLINEWTON = Unit("mN", "mn", Decimal("1e-3"))
N_MM = Unit("N mm", "n_mm", Decimal("1e-3"))
MM2 = Unit("mm²", "mm2", Decimal("1e-6"))
PER_SECOND = Unit("/s", "per_second", Decimal(1))
PER_MINUTE = Unit("/min", "per_minute", 1 / Decimal(60))
MJ_MINUTE = Unit("mJ/min", "mj_per_minute", Decimal("1e-3") / 60)
CEM43 = Unit("min", "cem43_min", Decimal(1))
"""Equivalent minutes at 43 °C: minutes inside too, as everywhere in the literature."""
NONE = "–"
_SOURCED = re.compile(r"{([a-z_.]+):?([a-z]*)}")


class Computed(Protocol):
    """What outputs are read from: `tipsim.solve.Result`."""

    @property
    def scenario(self) -> Scenario: ...  # noqa: D102
    @property
    def motion(self) -> Motion: ...  # noqa: D102
    @property
    def limits(self) -> tuple[Ceiling, ...]: ...  # noqa: D102
    @property
    def cavitation(self) -> Cavitation: ...  # noqa: D102
    @property
    def stress(self) -> Stress: ...  # noqa: D102
    @property
    def sensitivity(self) -> Sensitivity: ...  # noqa: D102
    @property
    def heat(self) -> HeatRun: ...  # noqa: D102
    @property
    def steady(self) -> SteadyHeat: ...  # noqa: D102
    @property
    def thermogram(self) -> Thermogram | None: ...  # noqa: D102
    @property
    def flow(self) -> Balance: ...  # noqa: D102
    @property
    def surge(self) -> Surge: ...  # noqa: D102
    @property
    def iris(self) -> Iris: ...  # noqa: D102
    @property
    def cutting(self) -> Cutting: ...  # noqa: D102
    @property
    def wound(self) -> Wound: ...  # noqa: D102
    @property
    def endoscope(self) -> "Study": ...  # noqa: D102


@described()
class Quantity:
    """One output."""

    name: str = about('Part and name, such as "motion.end_stroke".')
    key: str = about(
        "Key in the part's JSON, unit behind it; dots lead into tables, brackets name an item "
        "of a list that another output writes. Empty: not in JSON."
    )
    label: str = about("Words on screen.")
    get: Callable[[Any], Any] = about(
        "From a result (for a column: from a row) to the value in SI: a number, a `Band`, "
        "words, yes or no, a tuple of these, or None where it has no value."
    )
    words: str = about(
        "`meaning`, where {id} and {id:source} stand for a sourced number and where it is from.",
        default="",
    )
    unit: Unit = about("In which it is shown.", default=ONE)
    kept: Unit | None = about("In which JSON has it; as shown when absent.", default=None)
    of: str = about('What follows the unit, such as "peak to peak".', default="")
    digits: int = about("Significant digits in texts.", default=3)
    decimals: int | None = about("Instead of `digits`: digits after the point.", default=None)
    short: str = about("Label where there is little room; `label` when empty.", default="")
    source: str = about(
        "Id of the published or practised value that it is compared with, if any.", default=""
    )
    alias: str = about("Short name in expressions of lessons.", default="")
    columns: tuple["Quantity", ...] = about(
        "For a value that is a table: one row for each item.", default=()
    )

    @property
    def meaning(self) -> str:
        """One or two sentences: what it is, and how it is worked out."""
        return _SOURCED.sub(lambda m: getattr(number(m[1]), m[2] or "text"), self.words)

    @property
    def part(self) -> str:
        """Part of the result that it belongs to."""
        return self.name.partition(".")[0]

    @property
    def units(self) -> str:
        """Unit and what follows it, such as "µm peak to peak"."""
        return f"{self.unit.symbol} {self.of}".strip()

    @property
    def kept_units(self) -> str:
        """The same as JSON and lessons have it."""
        return f"{(self.kept or self.unit).symbol} {self.of}".strip()

    @property
    def heading(self) -> str:
        """Label and unit, for a table whose cells have none."""
        return f"{self.label}, {self.units}" if self.units else self.label

    @property
    def short_heading(self) -> str:
        """The same with the short label."""
        return replace(self, label=self.short or self.label).heading

    @property
    def path(self) -> tuple[str | int, ...]:
        """Way to the value in the JSON of a whole result."""
        name, _, index = self.key.partition("[")
        return (self.part, *name.split("."), *([int(index.rstrip("]"))] if index else []))

    def plain(self, value: Any) -> Any:
        """Return a value for JSON: in the unit that the key names, to six significant digits."""
        unit = self.kept or self.unit
        if self.columns:
            return [{c.key: c.plain(c.get(row)) for c in self.columns} for row in value]
        if isinstance(value, Band):
            return band_dict(value, unit)
        if isinstance(value, tuple):
            return [self.plain(v) for v in value]
        if value is None or isinstance(value, str | bool | np.bool_):
            return bool(value) if isinstance(value, np.bool_) else value
        return rounded(in_unit(value, unit))

    def number(self, value: Any) -> str:
        """Return a value as text without its unit."""
        if isinstance(value, Band):
            low, high = (self.number(v) for v in value.inner)
            return f"{self.number(value.usual)} ({low} to {high})"
        if isinstance(value, tuple):
            return ", ".join(self.number(v) for v in value) or "none"
        if isinstance(value, bool | np.bool_):
            return "yes" if value else "no"
        if value is None or isinstance(value, str):
            return NONE if value is None else value
        return figures(in_unit(value, self.unit), self.digits, self.decimals)

    def text(self, value: Any) -> str:
        """Return a value as text with its unit."""
        number, numeric = (
            self.number(value),
            not (value is None or (isinstance(value, tuple) and not value)),
        )
        if not numeric or not self.units or isinstance(value, str | bool):
            return number
        close = self.unit.symbol in ("°",)
        return f"{number}{self.units}" if close else f"{number} {self.units}"


def in_unit(value: float, unit: Unit) -> float:
    """Return an SI value in a unit."""
    return float(value) / float(unit.factor) - float(unit.offset)


def rounded(value: float) -> float:
    """Round to six significant digits: more would be noise in a file."""
    return float(f"{value:.6g}")


def figures(value: float, digits: int = 3, decimals: int | None = None) -> str:
    """Write a number to some significant digits, or digits after the point.

    Examples
    --------
    >>> figures(129.95), figures(1.75353), figures(0.9453, 2), figures(-0.04, decimals=1)
    ('130', '1.75', '0.95', '0.0')
    >>> figures(64321.0), figures(4.2e-7, 2), figures(2.1e7)
    ('64\u202f300', '4.2 × 10⁻⁷', '2.10 × 10⁷')
    """
    if not math.isfinite(value):
        return NONE
    if decimals is None and value:
        size = int(f"{value:.{digits - 1}e}".partition("e")[2])
        if not -4 <= size < 7:
            front = f"{value / 10.0**size:.{digits - 1}f}"
            return _minus(f"{front} × 10{str(size).translate(_RAISED)}")
        value = round(value, digits - 1 - size)
        decimals = max(0, digits - 1 - size)
    text = f"{value:,.{decimals or 0}f}" if abs(value) >= 1e4 else f"{value:.{decimals or 0}f}"
    if not float(text.replace(",", "")):
        text = text.lstrip("-")
    return _minus(text.replace(",", "\N{NARROW NO-BREAK SPACE}"))


def _minus(text: str) -> str:
    return text.replace("-", "\N{MINUS SIGN}")


_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def band_dict(band: Band, unit: Unit = ONE) -> dict[str, Any]:
    """Return a band as plain data in a unit, with the number that matters most.

    Examples
    --------
    >>> from tipsim.setup.units import MM
    >>> band = Band(0.001, 0.002, 0.008, (0.001, 0.004), {"iris.friction": (0.001, 0.004)})
    >>> band_dict(band, MM)
    {'low': 1.0, 'usual': 2.0, 'high': 8.0, 'inner': [1.0, 4.0], 'matters_most': 'iris.friction'}
    """
    return {
        **{k: rounded(in_unit(getattr(band, k), unit)) for k in ("low", "usual", "high")},
        "inner": [rounded(in_unit(v, unit)) for v in band.inner],
        "matters_most": band.most,
    }
