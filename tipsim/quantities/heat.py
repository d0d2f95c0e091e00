"""Outputs of heat."""

from functools import partial

from tipsim.heat.sources import CAUSES
from tipsim.heat.state import flat_from
from tipsim.quantities.declare import MILLIGRAM, WATT, Computed, Quantity
from tipsim.setup.units import CELSIUS, PERCENT, SECOND

_CAUSE = {
    "metal": ("Heat from the metal's own losses", "In the metal"),
    "films_outside": ("Heat in the films outside", "Fluid outside"),
    "films_bore": ("Heat in the films of the bore", "Fluid in the lumen"),
    "lens": ("Heat in the lens", "Lens at the opening"),
    "unresolved": ("Lost in the hub, not assigned", ""),
    "rubbing": ("Heat from rubbing under load", "Rubbing"),
    "squeezing": ("Heat from squeezing the sleeve", "Squeezing"),
}
_WHY = {
    "metal": "The metal gives back a little less than what bends it; the rest warms it.",
    "films_outside": "The shaft shears the fluid around it, in the sleeve and beyond.",
    "films_bore": "The wall of the lumen shears the fluid that is drawn through it.",
    "lens": "Work done on the lens at the opening.",
    "unresolved": "What the motion loses beyond the other causes: thread, hub, and all that the "
    "loss factor stands for (assumed). It heats nothing here.",
    "rubbing": "A load makes the sleeve rub on the shaft: rubbing coefficient × load × mean "
    "sliding speed. The coefficient is fitted or assumed: see its own line.",
    "squeezing": "Under a load sideways motion squeezes the sleeve, which gives back less than it "
    "takes. The numbers of silicone at this frequency are assumed.",
}
_STEADY = "Solved for at once, with what is set at the start; events are left out."
_MEAN = "Mean over pulses and rests, with the load as set."


def _mean(cause: str, r: Computed) -> float:
    return r.heat.duty * r.heat.sources.total(cause)


def _in_sleeve(r: Computed) -> float:
    return r.heat.duty * r.heat.film_in_sleeve


def _beyond_sleeve(r: Computed) -> float:
    return _mean("films_outside", r) - _in_sleeve(r)


def _warming(r: Computed) -> float:
    outside = (_beyond_sleeve(r), _mean("unresolved", r))
    return sum(_mean(cause, r) for cause in CAUSES) - sum(outside)


HEAT = (
    Quantity(
        "heat.duration", "duration_s", "Run length", lambda r: float(r.heat.time[-1]),
        "Time that was computed.", unit=SECOND,
    ),
    Quantity(
        "heat.start", "start_temperature_c", "Temperature at the start",
        lambda r: float(r.heat.temperature[0, 0]), "Of everything.", unit=CELSIUS, decimals=1,
    ),
    Quantity(
        "heat.peak_sleeve", "peak_sleeve_temperature_c", "Sleeve, outside (bare: metal)",
        lambda r: r.heat.peak_sleeve,
        "Highest temperature of the sleeve's outer half anywhere, over the run; of the metal "
        "where there is no sleeve. Computed.", unit=CELSIUS, decimals=1, short="Sleeve",
    ),
    Quantity(
        "heat.peak_metal", "peak_metal_temperature_c", "Metal",
        lambda r: float(r.heat.metal_peak.max()),
        "Highest temperature of the metal anywhere, over the run. Computed.",
        unit=CELSIUS, decimals=1,
    ),
    Quantity(
        "heat.peak_wound", "peak_wound_temperature_c", "Tissue at the sleeve",
        lambda r: r.heat.peak_wound,
        "Highest temperature of the tissue layer next to the sleeve; only in a wound. Layer and "
        "place are assumed: {tissue.near} thick.", unit=CELSIUS, decimals=1,
        short="Tissue",
    ),
    Quantity(
        "heat.to_45", "seconds_to_45_c", "45 °C outside after",
        lambda r: r.heat.seconds_to(CELSIUS.to_si(45)),
        "When the sleeve's outside first reaches the {limit.bench:label}. {limit.bench:source}",
        unit=SECOND, digits=2, source="limit.bench",
    ),
    Quantity(
        "heat.to_60", "seconds_to_60_c", "60 °C outside after",
        lambda r: r.heat.seconds_to(CELSIUS.to_si(60)),
        "When it first reaches 60 °C, where collagen of the cornea shrinks: "
        "{limit.collagen_to:source}", unit=SECOND, digits=2, source="limit.collagen_to",
    ),
    Quantity(
        "heat.boiled", "boiled_after_s", "Fluid boils after", lambda r: r.heat.boiled,
        "When fluid first reaches 100 °C. What comes after is rough: fluid stays there while it "
        "turns into steam, its film is lost, and steam takes its heat out of the model.",
        unit=SECOND, digits=2,
    ),
    Quantity(
        "heat.chamber_flat", "chamber_flat_after_s", "Chamber flat after",
        lambda r: flat_from(r.scenario),
        "When the chamber is flat because its irrigation was lost while the pump went on; only in "
        "surroundings with a chamber.", unit=SECOND, digits=2,
    ),
    Quantity(
        "heat.evaporated", "evaporated_mg", "Fluid that has evaporated",
        lambda r: float(r.heat.steam[-1]),
        "Until the end of the run, in sleeve, lumen and chamber. Rough.", unit=MILLIGRAM, digits=2,
    ),
    Quantity(
        "heat.dry", "dry_percent", "Fluid boiled away",
        lambda r: float(r.heat.dry_share.max()),
        "Largest share of the fluid in sleeve and lumen that is gone during the run, and with it "
        "the heat of its film. Rough.", unit=PERCENT, digits=2,
    ),
    Quantity(
        "heat.steady_sleeve", "steady_sleeve_temperature_c", "Sleeve, outside, in the end",
        lambda r: r.steady.sleeve,
        "Highest temperature of the sleeve's outer half once nothing changes any more (bare: of "
        f"the metal). {_STEADY}", unit=CELSIUS, decimals=1, short="Sleeve in the end",
    ),
    Quantity(
        "heat.steady_metal", "steady_metal_temperature_c", "Metal, in the end",
        lambda r: r.steady.metal,
        f"Highest temperature of the metal once nothing changes any more. {_STEADY}",
        unit=CELSIUS, decimals=1,
    ),
    Quantity(
        "heat.steady_wound", "steady_wound_temperature_c", "Tissue at the sleeve, in the end",
        lambda r: r.steady.wound,
        "Highest temperature of the tissue next to the sleeve once nothing changes any more; only "
        f"in a wound. {_STEADY}", unit=CELSIUS, decimals=1, short="Tissue in the end",
    ),
    Quantity(
        "heat.steady_boils", "steady_boils", "Boils in the end", lambda r: r.steady.boils,
        f"Whether fluid boils once nothing changes any more. {_STEADY}",
    ),
    *(
        Quantity(
            f"heat.source_{cause}", f"sources_w.{cause}", label, partial(_mean, cause),
            f"{_WHY[cause]} {_MEAN}", unit=WATT, digits=2, short=short,
        )
        for cause, (label, short) in _CAUSE.items()
    ),
    Quantity(
        "heat.in_sleeve", "", "Heat in the film inside the sleeve", _in_sleeve,
        f"The shaft shears and pushes the fluid between itself and the sleeve. {_MEAN}",
        unit=WATT, digits=2, short="Fluid in the sleeve",
    ),
    Quantity(
        "heat.beyond_sleeve", "", "Heat in the film beyond the sleeve", _beyond_sleeve,
        "The bare tip shears the fluid around it. It warms that fluid, not the needle. " + _MEAN,
        unit=WATT, digits=2, short="Fluid beyond the sleeve",
    ),
    Quantity(
        "heat.warming", "", "Heats needle and sleeve", _warming,
        "Mean power that becomes heat in needle, sleeve and the fluid inside, at the settings of "
        "the start.", unit=WATT,
    ),
    Quantity(
        "heat.imbalance", "energy_balance_error", "Energy not accounted for",
        lambda r: r.heat.imbalance,
        "Energy that came in, less what went out and what is stored, over what is stored: the "
        "error of the calculation itself, not of the model.", digits=1,
    ),
)  # fmt: skip
