"""Outputs of tissue: iris, cutting, wound; a band wherever assumed numbers leave one open."""

from tipsim.quantities.declare import (
    CEM43,
    MILLINEWTON,
    MJ_MINUTE,
    MM2,
    NEWTON,
    PER_MINUTE,
    PER_SECOND,
    Computed,
    Quantity,
)
from tipsim.setup.units import CELSIUS, KPA, MM, MPS, MS, ONE, PERCENT, UM

IRIS = (
    Quantity(
        "iris.flutter", "flutter_um", "Flutter", lambda r: r.iris.spread,
        "Standard deviation of the gap. It grows with the flow and with a softer iris; how, is "
        "assumed.", unit=UM,
    ),
    Quantity(
        "iris.flutter_rate", "flutter_per_second", "Flutter, rate", lambda r: r.iris.rate,
        "How often the gap passes its mean, one way.", unit=PER_SECOND,
    ),
    Quantity(
        "iris.reach", "reach_um", "Swing towards the iris", lambda r: r.iris.reach,
        "Half of the stroke of the surface towards the iris, from the solved motion and the share "
        "that the silicone takes on.", unit=UM,
    ),
    Quantity(
        "iris.gap_to_close", "gap_to_close_um", "Gap left to flutter", lambda r: r.iris.closed,
        "Mean gap less the swing.", unit=UM,
    ),
    Quantity(
        "iris.speed", "rubbing_speed_m_s", "Rubbing speed", lambda r: r.iris.speed,
        "Mean speed of the surface along itself, over a cycle and over the touched patch, while "
        "the drive is on.", unit=MPS,
    ),
    Quantity(
        "iris.contacts", "contacts_per_minute", "Contacts",
        lambda r: r.iris.contacts_per_minute.over(60.0),
        "How often the gap closes: crossings of a level by a random gap (Rice 1944-45).",
        unit=PER_MINUTE,
    ),
    Quantity(
        "iris.contact_share", "contact_share_percent", "Time in contact",
        lambda r: r.iris.contact_share,
        "Share of time that the gap is closed, whether the drive is on or not.",
        unit=PERCENT,
    ),
    Quantity(
        "iris.contact_time", "contact_ms", "Length of a contact", lambda r: r.iris.contact_time,
        "Mean.", unit=MS,
    ),
    Quantity(
        "iris.work", "rubbing_work_mj_per_minute", "Rubbing work",
        lambda r: r.iris.work_per_minute.over(60.0),
        "Share of time in contact × speed × pressure × touched area × friction × share of time "
        "that the drive is on.", unit=MJ_MINUTE,
    ),
    Quantity(
        "iris.index", "pigment_teaching_index", "Pigment index", lambda r: r.iris.index,
        "Rubbing work over a reference. A teaching index: no measurement ties rubbing to pigment.",
    ),
)  # fmt: skip

CUTTING = (
    Quantity(
        "cutting.stroke", "mouth_stroke_um_pp", "Stroke of the opening",
        lambda r: r.cutting.stroke, "Travel of its centre, from the solved motion.", unit=UM,
        of="peak to peak",
    ),
    Quantity(
        "cutting.speed", "mouth_speed_m_s", "Speed of the opening", lambda r: r.cutting.speed,
        "Peak: π × frequency × stroke.", unit=MPS, of="peak",
    ),
    Quantity(
        "cutting.too_fast", "beyond_published_speed", "Beyond any published speed",
        lambda r: r.cutting.too_fast, "Then the model is not to be believed.",
    ),
    Quantity(
        "cutting.swept_normal", "swept_along_normal_mm2_per_cycle", "Area swept forwards",
        lambda r: r.cutting.swept_normal,
        "By the rim, in a cycle, from its orbit and the bevel.",
        unit=MM2, of="per cycle",
    ),
    Quantity(
        "cutting.swept_sideways", "swept_sideways_mm2_per_cycle", "Area swept sideways",
        lambda r: r.cutting.swept_sideways, "By the rim, in a cycle.", unit=MM2, of="per cycle",
    ),
    Quantity(
        "cutting.push", "push_mn", "Repulsion force", lambda r: r.cutting.push,
        "Push on the lens: it grows with the square of the speed along the opening's normal.",
        unit=MILLINEWTON,
    ),
    Quantity(
        "cutting.hold", "hold_mn", "Holding force", lambda r: r.cutting.hold,
        "Share of the vacuum limit on the open area of the opening.", unit=MILLINEWTON,
    ),
    Quantity(
        "cutting.contact", "contact_at_full_power_percent", "Time in contact at full power",
        lambda r: r.cutting.contact,
        "Share of time that the lens stays there: holding force over both forces; assumed.",
        unit=PERCENT,
    ),
    Quantity(
        "cutting.rate", "relative_cutting_rate", "Cutting rate", lambda r: r.cutting.rate,
        "Frequency × swept area × rim that touches × contact × softness × share of time on; 1 = "
        "straight needle, longitudinal, full power.",
    ),
    Quantity(
        "cutting.hardness_unexplained", "hardness_left_unexplained_sd", "Hardness unexplained",
        lambda r: r.cutting.hardness_unexplained,
        "Standard deviation of hardness that grade and age leave, over that of all lenses.",
    ),
)  # fmt: skip


def _depth(r: Computed) -> float:
    lip = r.wound.lip
    return float(lip.depth[lip.changed_high >= 0.5].max(initial=0.0))


WOUND = (
    Quantity(
        "wound.counted", "counted_in_heat", "Wound in the heat model", lambda r: r.wound.counted,
        "Whether the heat model counted a wound around the sleeve.",
    ),
    Quantity(
        "wound.fit", "fit", "Sleeve in the incision", lambda r: r.wound.fit.words,
        "Loose: fluid leaks past it. Tight: the lips press on it.",
    ),
    Quantity(
        "wound.misfit", "misfit_percent", "Sleeve's excess over the incision",
        lambda r: r.wound.fit.misfit,
        "Circumference of the sleeve over that of the opened incision, less 1.",
        unit=PERCENT, decimals=0,
    ),
    Quantity(
        "wound.pressure", "lip_pressure_kpa", "Incision pressure on the sleeve",
        lambda r: r.wound.fit.pressure,
        "Stretched lips as a band around a ring. Nothing of it acts back on flow or heat.",
        unit=KPA,
    ),
    Quantity(
        "wound.force", "lip_force_n", "Incision force on the sleeve", lambda r: r.wound.fit.force,
        "What the lips press with.", unit=NEWTON,
    ),
    Quantity(
        "wound.pinch", "pinch", "Ratio to sleeve-collapse pressure", lambda r: r.wound.fit.pinch,
        "That pressure over what keeps the sleeve open; above 1 it is pressed flat.",
    ),
    Quantity(
        "wound.peak", "peak_lip_temperature_c", "Incision lip, warmest", lambda r: r.wound.peak,
        "Highest temperature of the lip's face: a slab between the sleeve's hottest place in the "
        "incision and the eye's outside.", unit=CELSIUS, decimals=0,
    ),
    Quantity(
        "wound.dose", "thermal_dose_cem43_min", "Thermal dose", lambda r: r.wound.dose,
        "Equivalent time at 43 °C at the lip's face.", unit=CEM43, of="at 43 °C", digits=2,
    ),
    Quantity(
        "wound.changed_least", "collagen_changed_least_percent", "Collagen changed, least",
        lambda r: r.wound.changed_low,
        "By the published law that predicts least, among those that apply at this temperature.",
        unit=PERCENT, decimals=0,
    ),
    Quantity(
        "wound.changed_most", "collagen_changed_most_percent", "Collagen changed, most",
        lambda r: r.wound.changed_high,
        "By the law that predicts most. The laws differ more than a hundredfold in time.",
        unit=PERCENT, decimals=0,
    ),
    Quantity(
        "wound.depth", "depth_half_changed_mm", "Depth to which half is changed", _depth,
        "By the law that predicts most.", unit=MM, digits=2,
    ),
    Quantity(
        "wound.laws", "laws", "Laws of injury", lambda r: r.wound.lip.validity,
        "Where they do not apply or are extrapolated.",
    ),
    Quantity(
        "wound.risk_colour", "risk.colour", "Risk of contracture, colour",
        lambda r: r.wound.risk.colour, "Green, amber or red.",
    ),
    Quantity(
        "wound.risk", "risk.words", "Risk of contracture", lambda r: r.wound.risk.words,
        "Judged by temperature and collagen.", kept=ONE,
    ),
)  # fmt: skip
