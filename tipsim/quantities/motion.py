"""Outputs of motion, stress and sensitivity."""

from tipsim.motion.markers import Marker
from tipsim.motion.run import Motion
from tipsim.motion.sensitivity import Effect
from tipsim.motion.sleeve import mean_mobility
from tipsim.motion.travel import stroke
from tipsim.quantities.declare import N_MM, NEWTON, WATT, Computed, Quantity
from tipsim.setup.sourced import number
from tipsim.setup.units import DEG, HZ, KHZ, MM, MPA, MPS, ONE, PERCENT, UM

PP = "peak to peak"


def character_word(motion: Motion) -> str:
    """Return the character of a motion: "pendular", "whip-like" or without sideways motion."""
    share = motion.character.pendular_share
    if share is None:
        return "without sideways motion"
    return "pendular" if share > 0.5 else "whip-like"


def _over_free(r: Computed, what: str) -> float | None:
    """Return a loaded value over that of the free needle; None without load or motion."""
    free = r.motion.free
    if free is None:
        return None
    mine, other = (
        (r.motion.end_stroke, float(stroke(free.displacement[-1, :3])))
        if what == "stroke"
        else (r.motion.power, free.power_in)
    )
    return mine / other if other > 0 else None


def _effect(r: Computed, what: str) -> Effect:
    return next(e for e in r.sensitivity.effects if e.what == what)


MARKER = (
    Quantity("distance", "distance_mm", "From the tip", lambda k: k.distance, unit=MM, decimals=2),
    Quantity("stroke", "stroke_um_pp", "Stroke", lambda k: k.stroke, unit=UM, of=PP),
    Quantity("phase", "phase_deg", "Phase", lambda k: k.phase, unit=DEG, decimals=0),
    Quantity("direction", "direction", "Direction", lambda k: k.direction),
)


def _markers(r: Computed) -> tuple[Marker, ...]:
    return r.motion.markers


MOTION = (
    Quantity(
        "motion.frequency", "frequency_hz", "Frequency", lambda r: r.motion.frequency,
        "Frequency of the drive.",
        unit=KHZ, kept=HZ, alias="frequency_hz",
    ),
    Quantity(
        "motion.end_stroke", "end_stroke_um_pp", "Tip stroke", lambda r: r.motion.end_stroke,
        "Travel of the opening's centre, solved by the shaft model. Hub motion at 100 % was set "
        "once per drive so that one needle does its published stroke (fitted: straight, "
        "longitudinal, 90 µm; single-bend 20°, torsional, 130 µm). Every other stroke is "
        "predicted.",
        unit=UM, of=PP, short="Stroke", source="published.counter_bent_end_stroke",
        alias="end_stroke_um_pp",
    ),
    Quantity(
        "motion.rigid_stroke", "rigid_end_stroke_um_pp", "Tip stroke if the needle were rigid",
        lambda r: float(r.motion.parts.rigid_stroke[-1]),
        "Travel of the same needle's tip if nothing could bend, twist or stretch and the hub moved "
        "as it does. A tip on the axis hardly moves then; what it does beyond that is vibration.",
        unit=UM, of=PP, short="If rigid",
    ),
    Quantity(
        "motion.end_speed", "end_speed_m_s", "Tip speed", lambda r: r.motion.end_speed,
        "π × frequency × stroke (peak to peak).",
        unit=MPS, of="peak", short="Speed", source="published.top_speed", alias="end_speed_m_s",
    ),
    Quantity(
        "motion.edge_stroke", "mouth_edge_stroke_um_pp", "Edge of the opening",
        lambda r: r.motion.edge_stroke,
        "Largest travel on the rim of the opening: the centre's motion plus what the tip's "
        "rotation adds at the outer radius and bevel.",
        unit=UM, of=PP, alias="edge_stroke_um_pp",
    ),
    Quantity(
        "motion.shaft_stroke", "shaft_stroke_um_pp", "Shaft, largest sideways stroke",
        lambda r: r.motion.character.shaft_stroke,
        "Largest sideways stroke between the hub's taper and the first bend.",
        unit=UM, of=PP, short="Sideways, largest", alias="shaft_stroke_um_pp",
    ),
    Quantity(
        "motion.shaft_rms", "shaft_sideways_um_rms", "Shaft, sideways motion",
        lambda r: r.motion.character.shaft_rms,
        "Root mean square over that stretch and over time.",
        unit=UM, of="rms", short="Sideways", alias="shaft_rms_um",
    ),
    Quantity(
        "motion.turning", "shaft_surface_turning_um_pp", "Surface motion from twist",
        lambda r: r.motion.character.shaft_turning,
        "Largest peak-to-peak travel of the shaft's surface by turning alone, behind the first "
        "bend. It is alike in both shapes.",
        unit=UM, of=PP,
    ),
    Quantity(
        "motion.character", "", "Character", lambda r: character_word(r.motion),
        "Pendular (the shaft swings): more than half of the sideways kinetic energy (metal and "
        "water) lies between hub and first bend. Whip-like (the tip whips): more than half lies "
        "beyond the first bend. The definition is ours.",
    ),
    Quantity(
        "motion.pendular_share", "pendular_share", "Sideways energy in the shaft",
        lambda r: r.motion.character.pendular_share,
        "Share of the sideways kinetic energy (metal and water) between hub and first bend.",
        unit=PERCENT, kept=ONE, decimals=0, alias="pendular_share",
    ),
    Quantity(
        "motion.whip_share", "whip_share", "Sideways energy beyond the first bend",
        lambda r: r.motion.character.whip_share,
        "Share of the sideways kinetic energy (metal and water) beyond the first bend.",
        unit=PERCENT, kept=ONE, decimals=0, alias="whip_share",
    ),
    Quantity(
        "motion.sleeve_coupling", "sleeve_coupling", "Sleeve coupling",
        lambda r: mean_mobility(r.scenario) if r.scenario.sleeve else None,
        "How far the sleeve follows the needle sideways, on average from the hub's taper to the "
        "sleeve's end: 0 held still, 1 would move with the needle. Computed place by place from "
        "the masses of fluid, silicone and what is outside, unless it is set.",
    ),
    Quantity(
        "motion.still_points", "nodes_mm", "Still points, from the tip",
        lambda r: r.motion.still_points,
        "Places where the sideways stroke is lowest and below a tenth of the largest.",
        unit=MM, decimals=1, short="Still points",
    ),
    Quantity(
        "motion.markers", "markers", "Tracked points", _markers,
        "Stroke, phase and direction of points on the centreline, compared with the tip's.",
        columns=MARKER,
    ),
    Quantity(
        "motion.hub_torque", "hub_torque_n_mm", "Torque at the hub",
        lambda r: r.motion.hub_torque,
        "Half of the swing of the torque that turns the hub.",
        unit=N_MM, of="amplitude", short="Torque",
    ),
    Quantity(
        "motion.hub_force", "hub_force_n", "Force at the hub", lambda r: r.motion.hub_force,
        "Half of the swing of the force that pushes the hub along its axis.",
        unit=NEWTON, of="amplitude", short="Force",
    ),
    Quantity(
        "motion.hub_side_force", "hub_side_force_n", "Sideways force on the hub",
        lambda r: r.motion.hub_side_force,
        "Half of the swing of the force with which the needle shakes the hub across its axis.",
        unit=NEWTON, of="amplitude", short="Sideways force",
    ),
    Quantity(
        "motion.hub_moment", "hub_moment_n_mm", "Rocking moment on the hub",
        lambda r: r.motion.hub_moment,
        "Half of the swing of the moment with which the needle rocks the hub about an axis across "
        "its own.",
        unit=N_MM, of="amplitude", short="Rocking moment",
    ),
    Quantity(
        "motion.hub_shift", "hub_shift_um_pp", "Sideways motion of the hub",
        lambda r: r.motion.hub_shift,
        "How far the needle shakes the hub sideways; 0 for a rigid hub. It rests on the hub's "
        "assumed sideways stiffness ({hub.side_stiffness}).",
        unit=UM, of=PP, short="Sideways motion",
    ),
    Quantity(
        "motion.hub_tilt", "hub_tilt_deg_pp", "Rocking of the hub",
        lambda r: r.motion.hub_tilt,
        "By how much the needle rocks the hub; 0 for a rigid hub. It rests on the hub's assumed "
        "rocking stiffness ({hub.tilt_stiffness}).",
        unit=DEG, of=PP, short="Rocking",
    ),
    Quantity(
        "motion.power", "power_w", "Power in", lambda r: r.motion.power,
        "Mean power over a cycle that the hub puts in; it equals what films and losses take up. "
        "It rests on the assumed loss factor ({motion.loss_factor}), so read it "
        "as an order of magnitude.",
        unit=WATT, of="while on", alias="power_w",
    ),
    Quantity(
        "motion.mean_power", "mean_power_w", "Mean power in", lambda r: r.motion.mean_power,
        "The same over pulses and rests; build-up and dying down of the vibration left out.",
        unit=WATT, of="with rests", alias="mean_power_w",
    ),
    Quantity(
        "motion.lost_hysteresis", "lost_w.hysteresis", "Lost in the metal",
        lambda r: float(r.motion.vibration.lost_in_segments.sum()),
        "Power that the loss factor takes up while the drive is on.",
        unit=WATT,
    ),
    Quantity(
        "motion.lost_films", "lost_w.films", "Lost in fluid films",
        lambda r: float(r.motion.vibration.lost_in_film.sum()),
        "Power that the films of fluid on the metal take up while the drive is on.",
        unit=WATT,
    ),
    Quantity(
        "motion.lost_load", "lost_w.load", "Lost in lens and support",
        lambda r: float(r.motion.vibration.lost_in_dampers.sum()),
        "Power that lens and support take up while the drive is on.",
        unit=WATT,
    ),
    Quantity(
        "motion.loaded_stroke", "under_load.end_stroke_over_free", "Stroke, loaded over free",
        lambda r: _over_free(r, "stroke"),
        "Tip stroke with lens and support over that of the free needle.",
    ),
    Quantity(
        "motion.loaded_power", "under_load.power_over_free", "Power, loaded over free",
        lambda r: _over_free(r, "power"),
        "Power in with lens and support over that of the free needle.",
    ),
    Quantity(
        "motion.first_still_point", "nodes_mm[0]", "Still point nearest to the tip",
        lambda r: r.motion.still_points[0] if r.motion.still_points else None,
        "Place without sideways motion that is nearest to the tip.",
        unit=MM, decimals=1, alias="first_node_mm",
    ),
)  # fmt: skip


def _share_of_strength(r: Computed) -> tuple[float, float]:
    smooth = number("fatigue.smooth")
    low, high = (smooth.unit.to_si(v) for v in (smooth.low, smooth.high))
    return (r.stress.peak / high, r.stress.peak / low)


STRESS = (
    Quantity(
        "stress.peak", "peak_mpa", "Highest stress", lambda r: r.stress.peak,
        "Largest equivalent stress anywhere on the needle over a cycle.",
        unit=MPA, alias="peak_stress_mpa",
    ),
    Quantity(
        "stress.peak_place", "peak_distance_from_end_mm", "Place of the highest stress",
        lambda r: r.scenario.needle.length - r.stress.peak_place,
        "Distance from the tip.",
        unit=MM, decimals=1, of="from the tip",
    ),
    Quantity(
        "stress.bending", "bending_mpa", "Bending stress", lambda r: float(r.stress.bending.max()),
        "Largest over needle and cycle.", unit=MPA,
    ),
    Quantity(
        "stress.axial", "axial_mpa", "Longitudinal stress", lambda r: float(r.stress.axial.max()),
        "Largest over needle and cycle.", unit=MPA,
    ),
    Quantity(
        "stress.torsion", "torsion_mpa", "Shear stress", lambda r: float(r.stress.torsion.max()),
        "Largest from twist over needle and cycle.", unit=MPA,
    ),
    Quantity(
        "stress.share_of_strength", "share_of_fatigue_strength", "Share of fatigue strength",
        lambda r: r.stress.peak / number("fatigue.smooth").si,
        "Highest stress over the fatigue strength of smooth samples at ten million cycles.",
        unit=PERCENT, kept=ONE, decimals=0, source="fatigue.smooth",
    ),
    Quantity(
        "stress.share_of_strength_range", "share_of_fatigue_strength_range",
        "Share of fatigue strength, over its scatter", _share_of_strength,
        "The same for the strongest and the weakest samples.",
        unit=PERCENT, kept=ONE, decimals=0, source="fatigue.smooth",
    ),
)  # fmt: skip

SENSITIVITY = (
    Quantity(
        "sensitivity.sensitive", "delicate", "Sensitive to small changes",
        lambda r: r.sensitivity.delicate,
        "Whether 1 % of frequency, stiffness or length changes the tip stroke by more than 5 %.",
    ),
    *(
        Quantity(
            f"sensitivity.{what}_{of}", f"{what}.{key}", f"{label}, {what} ∓ 1 %", get,
            f"Relative change for 1 % less and 1 % more {what}.",
            unit=PERCENT, kept=ONE, decimals=1,
        )
        for what in ("frequency", "stiffness", "length")
        for of, key, label, get in (
            ("end", "end_stroke_change", "Tip stroke",
             lambda r, what=what: _effect(r, what).end),
            ("shaft", "shaft_rms_change", "Shaft motion",
             lambda r, what=what: _effect(r, what).shaft),
        )
    ),
)  # fmt: skip
