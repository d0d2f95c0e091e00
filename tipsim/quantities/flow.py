"""Outputs of flow: at rest, and through an occlusion and its break."""

from tipsim.flow.transient import collapse_time
from tipsim.quantities.declare import Quantity
from tipsim.setup.units import ML_MIN, MMHG, MPS, PERCENT, SECOND, UL

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
        "Below the room's pressure; 0 where the chamber's pressure alone pushes the set flow "
        "through. The pump is taken to stand at the eye's height.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.pushes", "chamber_pushes", "Chamber pushes fluid out", lambda r: r.flow.pushes,
        "Whether the chamber's pressure alone would push the set flow through needle and line, so "
        "that the pump holds it back and shows no vacuum.",
    ),
    Quantity(
        "flow.irrigation", "irrigation_ml_min", "Irrigation flow",
        lambda r: r.flow.flows.irrigation,
        "From the bottle: what leaves by opening, bypass hole and incision.",
        unit=ML_MIN, decimals=1,
    ),
    Quantity(
        "flow.aspiration", "mouth_ml_min", "Aspiration flow", lambda r: r.flow.flows.mouth,
        "Into the opening. A flow-controlled pump gives its set flow as long as its vacuum stays "
        "within the limit; with a vacuum-controlled one the flow follows the resistance. Bore: "
        "laminar flow in cones, and a loss at the opening.",
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
        "flow.leak_share", "leak_share_percent", "Leak, of the irrigation",
        lambda r: r.flow.leak_share,
        "Now, as set. Over 105 operations 67 ± 11 % of the irrigation leaked (Liyanage et al. "
        "2009): incisions there leak more than a matched one on the bench, and fluid also runs "
        "while the pump rests.", unit=PERCENT, decimals=0,
    ),
    Quantity(
        "flow.limited", "limited", "Pump at its vacuum limit", lambda r: r.flow.limited,
        "Whether a flow-controlled pump holds its vacuum limit and gives less than its set flow.",
    ),
    Quantity(
        "flow.collapses", "falls_flat", "Chamber collapses", lambda r: r.flow.collapses,
        "Whether the chamber gets less than is drawn.",
    ),
    Quantity(
        "flow.time_to_flat", "flat_without_irrigation_s", "Flat without irrigation after",
        lambda r: collapse_time(r.scenario),
        "From the moment the irrigation line kinks or the bottle is empty, with the pump on and "
        "the opening as set, until the chamber has no volume left. First its pressure goes, then "
        "its walls come in (at the room's pressure: assumed).", unit=SECOND, digits=2,
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
        "After the occlusion breaks, or from the moment the irrigation stops. At 0 the walls of "
        "the chamber come in.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.dip", "surge.dip_mmhg", "Fall of the chamber's pressure", lambda r: r.surge.depth,
        "Below what it was before the event.", unit=MMHG, decimals=0,
    ),
    Quantity(
        "flow.lost", "surge.lost_ul", "Volume that the chamber loses", lambda r: r.surge.lost,
        "Fall of pressure times the chamber's compliance, and what goes at no pressure.", unit=UL,
        decimals=0,
    ),
    Quantity(
        "flow.lost_share", "surge.lost_percent", "Share of its volume that the chamber loses",
        lambda r: r.surge.share_lost, "Of what it holds before the event.", unit=PERCENT,
        decimals=0,
    ),
    Quantity(
        "flow.fastest", "surge.fastest_ml_min", "Fastest surge flow", lambda r: r.surge.fastest,
        "Up the bore when the occlusion breaks: the vacuum in the line, over what bore, opening "
        "and half of the line resist.", unit=ML_MIN, decimals=0,
    ),
    Quantity(
        "flow.surge_collapses", "surge.falls_flat", "Chamber collapses in the event",
        lambda r: r.surge.flat_at is not None,
        "Whether the chamber loses all its volume; what iris and lens do then is not modelled.",
    ),
    Quantity(
        "flow.pressure_gone", "surge.pressure_gone_s", "Chamber without pressure after",
        lambda r: r.surge.empties_after,
        "From the event until the chamber's pressure is the room's.", unit=SECOND, digits=2,
    ),
    Quantity(
        "flow.flat_after", "surge.flat_s", "Chamber flat after", lambda r: r.surge.flat_after,
        "From the event until the chamber has no volume left.", unit=SECOND, digits=2,
    ),
    Quantity(
        "flow.port_speed", "", "Jets at the sleeve ports", lambda r: r.flow.port_speed,
        "Mean speed in the two ports; the jets slow down as they spread. A study in pig eyes saw "
        "0.34 ± 0.13 m/s at the fastest place of the chamber (Kaji et al. 2012).", unit=MPS,
        digits=2,
    ),
)  # fmt: skip
