"""Outputs that say how far to believe the motion: limits passed, and bubbles."""

from tipsim.motion.ceilings import Ceiling
from tipsim.quantities.declare import Computed, Quantity
from tipsim.setup.units import MM, MPA, ONE, PERCENT


def _share(r: Computed, name: str) -> float:
    return next(c.share for c in r.limits if c.name == name)


def _passed(r: Computed) -> tuple[Ceiling, ...]:
    return tuple(c for c in r.limits if c.passed)


def _shown(c: Ceiling, value: float) -> float:
    return float(c.unit.show(value, 6).split(" ")[0])


PASSED = (
    Quantity("limit", "limit", "Limit", lambda c: c.name),
    Quantity("words", "words", "In words", lambda c: c.words),
    Quantity("value", "value", "Value", lambda c: _shown(c, c.value)),
    Quantity("most", "most", "At most", lambda c: _shown(c, c.limit)),
    Quantity("unit", "unit", "Unit", lambda c: c.unit.symbol),
)

LIMITS = (
    Quantity(
        "limits.within", "within", "Within the range of the linear model",
        lambda r: not _passed(r),
        "Whether tip speed, power in and swing inside the sleeve all stay below their limits. "
        "Beyond one, neither picture nor numbers of the motion are to be believed.",
    ),
    Quantity(
        "limits.passed", "passed", "Limits passed", _passed,
        "Each limit that the motion passes, with value and limit.",
        columns=PASSED,
    ),
    Quantity(
        "limits.speed", "speed_share", "Tip speed over its limit", lambda r: _share(r, "speed"),
        "Tip speed over the highest quoted for any needle.",
        unit=PERCENT, kept=ONE, decimals=0, source="published.top_speed",
    ),
    Quantity(
        "limits.power", "power_share", "Power over its limit", lambda r: _share(r, "power"),
        "Power in over the most that a handpiece is taken to put in "
        "({limits.power}, assumed).",
        unit=PERCENT, kept=ONE, decimals=0,
    ),
    Quantity(
        "limits.swing", "swing_share", "Swing in the sleeve over its limit",
        lambda r: _share(r, "swing"),
        "Largest sideways amplitude of the needle against its sleeve, as a share of the gap, over "
        "the share up to which the laws of the film are used ({limits.swing}, "
        "assumed).",
        unit=PERCENT, kept=ONE, decimals=0,
    ),
)  # fmt: skip

CAVITATION = (
    Quantity(
        "cavitation.film", "film_mpa", "Pressure between needle and sleeve",
        lambda r: r.cavitation.film,
        "Largest amplitude of the pressure that the needle's sideways motion makes in the fluid "
        "inside the sleeve, from potential flow.",
        unit=MPA, of="amplitude", digits=2, short="In the sleeve",
    ),
    Quantity(
        "cavitation.film_place", "film_from_end_mm", "Place of that pressure",
        lambda r: r.cavitation.film_place,
        "Distance from the tip.", unit=MM, decimals=1, of="from the tip", short="Place",
    ),
    Quantity(
        "cavitation.shaft", "shaft_mpa", "Pressure between shaft and sleeve",
        lambda r: r.cavitation.shaft,
        "The same behind the first bend only.",
        unit=MPA, of="amplitude", digits=2, short="Along the shaft",
    ),
    Quantity(
        "cavitation.film_share", "film_share", "Share of the sleeve with bubbles",
        lambda r: r.cavitation.film_share,
        "Share of the sleeve's length where the pressure passes what the fluid bears.",
        unit=PERCENT, kept=ONE, decimals=0,
    ),
    Quantity(
        "cavitation.tip", "tip_mpa", "Pressure at the tip", lambda r: r.cavitation.tip,
        "Amplitude beside the tip in open fluid, from potential flow around a long cylinder; at "
        "the rim itself about half of it is left.",
        unit=MPA, of="amplitude", digits=2, short="At the tip",
    ),
    Quantity(
        "cavitation.threshold", "threshold_mpa", "Pressure at which bubbles begin",
        lambda r: r.cavitation.threshold,
        "Static pressure ({cavitation.ambient}) and tension that the fluid bears "
        "({cavitation.tension}, assumed).",
        unit=MPA, of="amplitude", digits=2, short="Bubbles begin at",
    ),
    Quantity(
        "cavitation.film_onset", "film_onset_power", "Bubbles in the sleeve begin at a power of",
        lambda r: r.cavitation.film_onset,
        "Share of full power, the stroke growing in proportion; above 100 % full power does not "
        "reach it.",
        unit=PERCENT, kept=ONE, decimals=0, short="In the sleeve from a power of",
    ),
    Quantity(
        "cavitation.tip_onset", "tip_onset_power", "Bubbles at the tip begin at a power of",
        lambda r: r.cavitation.tip_onset,
        "The same at the tip. Published: first seen at 60 % longitudinal, 80 % torsional "
        "(Zacharias and Ohl 2013).",
        unit=PERCENT, kept=ONE, decimals=0, short="At the tip from a power of",
    ),
    Quantity(
        "cavitation.likely", "likely", "Bubbles likely",
        lambda r: r.cavitation.in_film or r.cavitation.at_tip,
        "Whether a pressure amplitude passes what the fluid bears. Where bubbles form, the law of "
        "the film is doubtful, and with it its heat.",
    ),
)  # fmt: skip
