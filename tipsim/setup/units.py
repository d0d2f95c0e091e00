"""Units at the door: SI inside, the trade's units in files, links and on screen.

Conversions are decimal, so a number that came from a file goes back to the same text and a
number read back is the same to the last bit.
"""

from decimal import Decimal, localcontext

from tipsim.setup.described import about, described
from tipsim.setup.errors import THOUSANDS

_PI = Decimal("3.14159265358979323846264338327950288419716939937510582")


@described()
class Unit:
    """A unit of the outside.

    Examples
    --------
    >>> MM.to_si(0.9)
    0.0009
    >>> str(DEG.from_si(DEG.to_si(20)))
    '20'
    >>> str(CELSIUS.from_si(298.15)), CELSIUS.to_si(25)
    ('25', 298.15)
    """

    symbol: str = about("As shown on screen.")
    suffix: str = about("As written behind a key in files; empty for pure numbers.")
    factor: Decimal = about("SI value of one such unit.")
    offset: Decimal = about(
        "Added before the factor (only degrees Celsius has one).", default=Decimal(0)
    )
    si: str = about("The SI unit inside, as packages of units write it.", default="dimensionless")

    def to_si(self, value: float | int | Decimal | str) -> float:
        """Return a number in this unit in SI."""
        with localcontext(prec=50):
            return float((_decimal(value) + self.offset) * self.factor)

    def from_si(self, value: float) -> Decimal:
        """Return the shortest decimal in this unit that turns back into exactly this SI value."""
        with localcontext(prec=50):
            exact = Decimal(repr(float(value))) / self.factor - self.offset
            for digits in range(1, 40):
                short = _round(exact, digits)
                if float((short + self.offset) * self.factor) == value:
                    return short
            return exact

    def show(self, value: float, digits: int = 4) -> str:
        """Write an SI value with this unit, to some significant digits.

        >>> MM.show(0.00145), ONE.show(0.25), DEG.show(0.3490658503988659)
        ('1.45 mm', '0.25', '20°')
        >>> HZ.show(64000), ONE.show(1e9), HZ.show(2.5e-7)
        ('64\u202f000 Hz', '1 × 10⁹', '2.5 × 10⁻⁷ Hz')
        """
        number = in_words(float(value) / float(self.factor) - float(self.offset), digits)
        if self.symbol in ("", "°"):
            return number + self.symbol
        return f"{number} {self.symbol}"


_RAISED = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


def in_words(value: float, digits: int = 4) -> str:
    """Write a number for a sentence: thousands apart, powers of ten raised."""
    front, _, power = f"{value:.{digits}g}".partition("e")
    if power and 1 <= abs(value) < 1e6:
        front, power = f"{float(front + 'e' + power):.0f}", ""
    if power:
        return f"{front} × 10{str(int(power)).translate(_RAISED)}"
    whole, point, rest = front.partition(".")
    if len(whole.lstrip("-")) > 4:
        whole = f"{int(whole):,}".replace(",", THOUSANDS)
    return whole + point + rest


def _decimal(value: float | int | Decimal | str) -> Decimal:
    return value if isinstance(value, Decimal) else Decimal(str(value))


def _round(value: Decimal, digits: int) -> Decimal:
    if value == 0:
        return Decimal(0)
    short = value.quantize(Decimal(1).scaleb(value.adjusted() - digits + 1)).normalize()
    return short.quantize(Decimal(1)) if short == short.to_integral_value() else short


ONE = Unit("", "", Decimal(1))
PERCENT = Unit("%", "percent", Decimal("1e-2"))
MM = Unit("mm", "mm", Decimal("1e-3"), si="m")
UM = Unit("µm", "um", Decimal("1e-6"), si="m")
DEG = Unit("°", "deg", _PI / 180, si="rad")
KHZ = Unit("kHz", "khz", Decimal("1e3"), si="Hz")
HZ = Unit("Hz", "hz", Decimal(1), si="Hz")
MS = Unit("ms", "ms", Decimal("1e-3"), si="s")
GPA = Unit("GPa", "gpa", Decimal("1e9"), si="Pa")
KG_M3 = Unit("kg/m³", "kg_m3", Decimal(1), si="kg/m**3")
MPA_S = Unit("mPa s", "mpa_s", Decimal("1e-3"), si="Pa*s")
PA_S = Unit("Pa s", "pa_s", Decimal(1), si="Pa*s")
PER_S = Unit("1/s", "per_s", Decimal(1), si="1/s")
PER_SECOND = Unit("/s", "per_s", Decimal(1), si="1/s")
"""Of pictures, which are counted."""
MK = Unit("mK", "mk", Decimal("1e-3"), si="K")
UOHM_M = Unit("µΩ m", "uohm_m", Decimal("1e-6"), si="ohm*m")
KELVIN = Unit("K", "k", Decimal(1), si="K")
CELSIUS = Unit("°C", "c", Decimal(1), Decimal("273.15"), si="K")

KPA = Unit("kPa", "kpa", Decimal("1e3"), si="Pa")
MPA = Unit("MPa", "mpa", Decimal("1e6"), si="Pa")
ML = Unit("mL", "ml", Decimal("1e-6"), si="m**3")
MMHG = Unit("mmHg", "mmhg", Decimal("133.322387415"), si="Pa")
CM = Unit("cm", "cm", Decimal("1e-2"), si="m")
CM_WATER = Unit("cmH2O", "cmh2o", Decimal("98.0665"), si="Pa")
UL = Unit("µL", "ul", Decimal("1e-9"), si="m**3")
UL_MMHG = Unit("µL/mmHg", "ul_mmhg", Decimal("1e-9") / Decimal("133.322387415"), si="m**3/Pa")
ML_MIN = Unit("mL/min", "ml_min", Decimal("1e-6") / 60, si="m**3/s")
GRAM = Unit("g", "g", Decimal("9.80665e-3"), si="N")
MJ = Unit("mJ", "mj", Decimal("1e-3"), si="J")
SECOND = Unit("s", "s", Decimal(1), si="s")
MINUTE = Unit("min", "min", Decimal(60), si="s")
KJ_MOL = Unit("kJ/mol", "kj_mol", Decimal("1e3"), si="J/mol")
J_MOLK = Unit("J/mol·K", "j_molk", Decimal(1), si="J/mol/K")
W_MK = Unit("W/m·K", "w_mk", Decimal(1), si="W/m/K")
J_KGK = Unit("J/kg·K", "j_kgk", Decimal(1), si="J/kg/K")
KJ_KG = Unit("kJ/kg", "kj_kg", Decimal("1e3"), si="J/kg")
W_M2K = Unit("W/m²·K", "w_m2k", Decimal(1), si="W/m**2/K")
W_K = Unit("W/K", "w_k", Decimal(1), si="W/K")
MPS = Unit("m/s", "m_s", Decimal(1), si="m/s")
N_M_RAD = Unit("N m/rad", "n_m_rad", Decimal(1), si="N*m")
WATT = Unit("W", "w", Decimal(1), si="W")
N_UM = Unit("N/µm", "n_um", Decimal("1e6"), si="N/m")

UNITS = {
    u.symbol: u
    for u in (
        *(ONE, PERCENT, MM, UM, DEG, KHZ, HZ, MS, SECOND, GPA, KPA, MPA, KG_M3, MPA_S, CELSIUS),
        *(PA_S, PER_S, PER_SECOND),
        *(MJ, ML, ML_MIN, GRAM, W_MK, J_KGK, KJ_KG, W_M2K, W_K, MPS),
        *(N_M_RAD, N_UM, WATT),
        *(MINUTE, KJ_MOL, J_MOLK),
        *(MMHG, CM, CM_WATER, UL, UL_MMHG),
        *(MK, KELVIN, UOHM_M),
    )
}
"""Every unit by its symbol."""
