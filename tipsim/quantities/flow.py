"""Outputs of flow: at rest, and through an occlusion and its break."""

from tipsim.quantities.declare import Quantity
from tipsim.setup.units import ML_MIN, MMHG, MPS, SECOND, UL

FLOW = (
    Quantity(
        "flow.bottle", "bottle_mmhg", "Bottle", lambda r: r.flow.bottle_pressure,
        "Pressure of the bottle at the eye's height.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.chamber", "chamber_mmhg", "Chamber", lambda r: r.flow.chamber_pressure,
        "Pressure above the room's: the bottle's (0.7356 mmHg per cm) less what the line, the gap "
        "in the sleeve and the ports take.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.vacuum", "vacuum_mmhg", "Vacuum at the pump", lambda r: r.flow.vacuum,
        "Below the room's pressure. Less than 0: the bottle alone would push the set flow "
        "through. The pump is taken to stand at the eye's height.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.irrigation", "irrigation_ml_min", "Irrigation flow",
        lambda r: r.flow.flows.irrigation,
        "From the bottle: what leaves by opening, bypass hole and incision.",
        unit=ML_MIN, decimals=1,
    ),
    Quantity(
        "flow.aspiration", "mouth_ml_min", "Aspiration flow", lambda r: r.flow.flows.mouth,
        "Into the opening. The pump gives its set flow as long as its vacuum stays within the "
        "limit. Bore: laminar flow in cones, and a loss at the opening.",
        unit=ML_MIN, decimals=1,
    ),
    Quantity(
        "flow.bypass", "bypass_ml_min", "Through the bypass hole", lambda r: r.flow.flows.bypass,
        "A short cut from the sleeve into the bore. It takes more when the opening is occluded, "
        "and cools the shaft then.", unit=ML_MIN, decimals=1,
    ),
    Quantity(
        "flow.leak", "leak_ml_min", "Leak through the incision", lambda r: r.flow.flows.leak,
        "A narrow slit: in proportion to the chamber's pressure (assumed); as set at 40 mmHg.",
        unit=ML_MIN, decimals=1,
    ),
    Quantity(
        "flow.limited", "limited", "Pump at its vacuum limit", lambda r: r.flow.limited,
        "Whether the pump holds its vacuum limit and gives less than its set flow.",
    ),
    Quantity(
        "flow.collapses", "falls_flat", "Chamber collapses", lambda r: r.flow.collapses,
        "Whether the chamber gets less than is drawn.",
    ),
    Quantity(
        "flow.vacuum_rise", "surge.vacuum_rise_s", "Vacuum at its limit after",
        lambda r: r.surge.rise_time,
        "From occlusion to 95 % of the limit. More flow makes it shorter, compliant tubing makes "
        "it longer.", unit=SECOND, digits=2,
    ),
    Quantity(
        "flow.highest_vacuum", "surge.highest_vacuum_mmhg", "Highest vacuum",
        lambda r: float(r.surge.vacuum.max()),
        "At the pump, during occlusion and after it.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.highest_chamber", "surge.highest_chamber_mmhg", "Chamber while occluded",
        lambda r: float(r.surge.chamber.max()),
        "With less flow the lines take less, so that nearly the bottle's pressure stands in the "
        "chamber.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.lowest_chamber", "surge.lowest_chamber_mmhg", "Lowest in the chamber",
        lambda r: r.surge.lowest,
        "After the occlusion breaks. At the room's pressure the chamber would collapse: what iris "
        "and lens do then is not modelled.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.dip", "surge.dip_mmhg", "Fall of the chamber's pressure", lambda r: r.surge.depth,
        "Below what it was before the occlusion.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.lost", "surge.lost_ul", "Volume that the chamber loses", lambda r: r.surge.lost,
        "Fall of pressure times the chamber's compliance.", unit=UL, decimals=0,
    ),
    Quantity(
        "flow.fastest", "surge.fastest_ml_min", "Fastest surge flow", lambda r: r.surge.fastest,
        "Up the bore when the occlusion breaks: the vacuum in the line, over what bore, opening "
        "and half of the line resist.", unit=ML_MIN, decimals=0,
    ),
    Quantity(
        "flow.surge_collapses", "surge.falls_flat", "Chamber collapses in the surge",
        lambda r: r.surge.flat_at is not None,
        "Whether the chamber's pressure falls to the room's.",
    ),
    Quantity(
        "flow.port_speed", "", "Jets at the sleeve ports", lambda r: r.flow.port_speed,
        "Mean speed in the two ports; the jets slow down as they spread. A study in pig eyes saw "
        "0.34 ± 0.13 m/s at the fastest place of the chamber (Kaji et al. 2012).", unit=MPS,
        digits=2,
    ),
)  # fmt: skip
