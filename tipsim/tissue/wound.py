"""The wound's lip on the sleeve: how tight it sits, how warm it gets, what that does.

The lip is a slab between the sleeve's outside, whose temperature comes from the heat model, and
the eye's outside. The heat model does not know that the lip draws heat here, so a lip around a
bench in air is warmer than the same lip in an eye; a bench with a wound has it counted.
"""

from dataclasses import replace

import numpy as np

from tipsim.flow.balance import balance
from tipsim.heat.cells import in_incision
from tipsim.heat.dose import cem43, collagen
from tipsim.heat.limits import Judgement, judge
from tipsim.heat.timeline import HeatRun
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.tissue.bands import Band, Floats, Values, bands, ranges
from tipsim.tissue.conduction import Slab, Warming, graded, slab, warm

CELLS, GROWTH = 24, 1.1
"""Cells through the lip, and how much each is wider than the one before."""
LOOSE, CLOSE, TIGHT = "loose", "close", "tight"


@described()
class Fit:
    """How the sleeve sits in the wound."""

    misfit: float = about(
        "Circumference of the sleeve over that of the opened wound, less 1; below 0 it leaks."
    )
    words: str = about('"loose", "close" or "tight".')
    pressure: Band = about(
        "Pressure of the lips on the sleeve [Pa], and the force that they press with [N]."
    )
    force: Band
    pinch: Band = about(
        "That pressure over what keeps the sleeve open; above 1 it is pressed flat."
    )


@described(eq=False)
class Lip:
    """Temperatures in the lip and what they do, with all numbers as set."""

    time: Floats = about("[s], shape (q,).")
    face: Floats = about(
        "Temperature of the lip's face and of the sleeve's outside there [K], shape (q,)."
    )
    sleeve: Floats
    depth: Floats = about("From the sleeve outwards [m], shape (n,).")
    course: Floats = about("Temperature over time at each depth, the face first [K], shape (q, n).")
    peak: Floats = about("Highest temperature at each depth [K], shape (n,).")
    dose: Floats = about("Cumulative equivalent minutes at 43 °C, shape (n,).")
    changed_low: Floats = about(
        "Share of collagen that has changed, between the published laws, shape (n,)."
    )
    changed_high: Floats
    validity: str = about("Where those laws say nothing or are carried on, in words.")


@described(eq=False)
class Wound:
    """The wound's lip."""

    fit: Fit
    lip: Lip
    peak: Band = about("Highest temperature of the lip's face [K].")
    dose: Band = about("Equivalent minutes at 43 °C there.")
    changed_low: Band = about(
        "Share of collagen changed there, by the law that says least and the one that says most."
    )
    changed_high: Band
    risk: Judgement = about("Colour and words for contracture.")
    counted: bool = about(
        "Whether the heat model counted a wound; if not, the lip is held to a bench without one."
    )


def wound(scenario: Scenario, heat: HeatRun) -> Wound:
    """Return fit, warmth and injury of the wound's lip, with bands over the assumed numbers.

    Parameters
    ----------
    heat : HeatRun
        Its temperatures over time.

    Examples
    --------
    >>> from tipsim.heat.timeline import heat_run
    >>> bench = Scenario.preset("counter-bent, torsional")
    >>> found = wound(bench, heat_run(bench, 5.0))
    >>> found.risk.colour, found.fit.words
    ('green', 'close')
    """
    near = sleeve_outside(scenario, heat)
    around = scenario.outside.temperature

    def results(v: Values) -> Values:
        face = warm(lip_slab(scenario, v), heat.time, near, around, around).face
        change = collagen(heat.time, face)
        warmth = {
            "peak": face.max(axis=0),
            "dose": cem43(heat.time, face)[-1],
            "low": change.low,
            "high": change.high,
        }
        return dict(zip(warmth, np.broadcast_arrays(*warmth.values()), strict=True))

    found = bands(results, ranges("wound", scenario.tissue.wound))
    return Wound(
        fit(scenario),
        _lip(lip_slab(scenario, {}), heat, near, around),
        found["peak"],
        found["dose"],
        found["low"],
        found["high"],
        contracture(found["peak"].usual, found["dose"].usual, float(heat.time[-1])),
        bool(heat.cells.wound.any()),
    )


def fit(scenario: Scenario) -> Fit:
    """Return how the sleeve sits in the wound: no temperatures are needed for it.

    Examples
    --------
    >>> fit(Scenario.preset("counter-bent, torsional")).words
    'close'
    """

    def results(v: Values) -> Values:
        pressed = squeeze(scenario, v)
        return dict(zip(pressed, np.broadcast_arrays(*pressed.values()), strict=True))

    found = bands(results, ranges("wound", scenario.tissue.wound))
    misfit = sleeve_misfit(scenario)
    return Fit(misfit, _words(scenario, misfit), **found)


def sleeve_outside(scenario: Scenario, heat: HeatRun) -> Floats:
    """Return the temperature over time of the hottest place of sleeve (or metal) in the wound [K].

    A needle too short to reach through the wound lies in it with its first slice.
    """
    inside = in_incision(scenario, heat.cells.middle)
    inside[0] |= not inside.any()
    surface = heat.layer("outer" if scenario.sleeve else "metal")[:, inside]
    course = surface.reshape(len(heat.time), -1)
    return np.asarray(course[:, course.max(axis=0).argmax()])


def _value(scenario: Scenario, v: Values, name: str) -> Floats:
    own = getattr(scenario.tissue.wound, name)
    return np.atleast_1d(np.asarray(v.get(f"wound.{name}", own), dtype=np.float64))


def lip_slab(scenario: Scenario, v: Values) -> Slab:
    """Return the lip over the tunnel as a slab, sleeve side first."""
    share = _value(scenario, v, "lip_share")
    return slab(
        graded(share * _value(scenario, v, "thickness"), CELLS, GROWTH),
        scenario.thermal.cornea_conductivity,
        scenario.thermal.cornea_density * scenario.thermal.cornea_heat,
        _value(scenario, v, "contact_film"),
        _value(scenario, v, "outside_film"),
    )


def _lip(layers: Slab, heat: HeatRun, near: Floats, around: float) -> Lip:
    found: Warming = warm(layers, heat.time, near, around, around)
    inside = found.temperature[:, 0]
    # The face itself, as depth 0, with the cells behind it.
    course = np.concatenate([found.face, inside], axis=1)
    change = collagen(heat.time, course)
    return Lip(
        heat.time,
        found.face[:, 0],
        near,
        np.concatenate([[0.0], layers.depth[0]]),
        course,
        course.max(axis=0),
        cem43(heat.time, course)[-1],
        change.low,
        change.high,
        change.words,
    )


def outer_radius(scenario: Scenario) -> float:
    """Return the outer radius of what lies in the wound: sleeve, or bare shaft [m]."""
    return scenario.sleeve.outer_radius if scenario.sleeve else scenario.needle.outer_radius


def sleeve_misfit(scenario: Scenario) -> float:
    """Return the sleeve's circumference over that of the opened wound, less 1.

    A slit of width w opens to a circumference of 2 w at most; assumed.

    Examples
    --------
    >>> round(sleeve_misfit(Scenario.preset("counter-bent, torsional")), 3)
    0.214
    """
    return float(np.pi * outer_radius(scenario) / scenario.eye.wound_width - 1)


def _words(scenario: Scenario, misfit: float) -> str:
    if misfit < 0:
        return LOOSE
    return TIGHT if misfit > scenario.tissue.wound.give else CLOSE


def squeeze(scenario: Scenario, v: Values) -> dict[str, Floats]:
    """Return pressure and force of the lips on the sleeve, and the pinch, each (k,).

    The stretched lips press like a band around a ring: modulus x thickness / radius x stretch.
    What keeps the sleeve open is the pressure at which a long ring folds (Bresse; Timoshenko &
    Gere), E / (4 (1 - nu²)) (wall / mean radius)³, and the irrigation inside. Nothing of this
    acts back on flow or heat.
    """
    radius = outer_radius(scenario)
    stretch = np.maximum(sleeve_misfit(scenario) - _value(scenario, v, "give"), 0)
    thick = _value(scenario, v, "thickness")
    pressure = _value(scenario, v, "modulus") * thick / radius * stretch
    force = pressure * 2 * radius * scenario.incision.length
    if scenario.sleeve is None:  # Metal does not fold.
        return {"pressure": pressure, "force": force, "pinch": np.zeros(1)}
    wall = scenario.sleeve.wall
    poisson = _value(scenario, v, "silicone_poisson")
    ring = (wall / (radius - wall / 2)) ** 3 / (4 * (1 - poisson**2))
    folds = _value(scenario, v, "silicone_modulus") * ring
    inside = max(balance(scenario).chamber_pressure, 0.0)
    return {"pressure": pressure, "force": force, "pinch": pressure / (folds + inside)}


def contracture(peak: float, dose: float, seconds: float) -> Judgement:
    """Judge the lip's face: by its highest temperature, and by its dose where that says more.

    Parameters
    ----------
    peak : float
        Highest temperature [K].
    dose : float
        Equivalent minutes at 43 °C.
    seconds : float
        How long the lip was in contact [s].

    Examples
    --------
    >>> contracture(316.15, 90.0, 5400.0).colour, contracture(335.15, 1e4, 20.0).colour
    ('amber', 'red')
    """
    found = judge(peak, seconds)
    limit = number("wound.dose")
    if found.colour != "red" and dose >= limit.value:
        words = f"{found.words} Warm for long: {dose:.0f} equivalent minutes at 43 °C"
        return replace(found, colour="amber", words=f"{words} (corneas: from {limit.value:g}).")
    return found
