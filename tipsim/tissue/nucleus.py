"""Cutting at the mouth: swept area, contact, hold, push, power, hardness.

Cutting rate = frequency x (area swept along the normal + weight x area swept sideways) x share of
the rim that touches x share of time in contact x softness x share of time that the drive is on,
over that of a reference needle. The terms are geometry and mechanics; the weights are assumed, so
each result is a band. For an axial drive the published course with power takes the place of
proportion: it holds push and lost contact already, so these are taken at full power.
"""

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from tipsim.motion.run import Motion, run
from tipsim.setup.catalogue import LensGrade, drive, lens_grades
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import number
from tipsim.setup.tissue import CuttingNumbers
from tipsim.tissue.bands import Band, Floats, Range, Values, bands, ranges
from tipsim.tissue.mouth import Sweep, sweep

MEDIUM = "medium"
"""Grade of lens that counts as 1, and that is cut when the bench has none."""
EXPONENT = "cutting.hardness_exponent"
FAINT = 1e-6
"""At a power below this the motion is solved at full power instead of scaled up."""


@described()
class Cutting:
    """What the mouth does to lens material."""

    stroke: float = about(
        "Of the mouth's centre: peak to peak [m], peak speed pi f x stroke [m/s]."
    )
    speed: float
    too_fast: bool = about("Whether that speed is beyond any published one.")
    swept_normal: float = about("Area that the rim sweeps in a cycle [m²].")
    swept_sideways: float
    push: Band = about("Push on the lens [N] at the power that is set.")
    hold: Band = about("Hold by vacuum [N].")
    contact: Band = about("Share of time in contact at full power.")
    rate: Band = about("Cutting rate over that of the reference needle [no unit].")
    hardness_unexplained: float = about(
        "Standard deviation of hardness that grade and age leave, over that of all lenses."
    )


@described()
class Mouth:
    """What cutting needs of a solved needle, at full power."""

    scenario: Scenario
    sweep: Sweep = about("At full power.")
    flux: float = about(
        "Push at full power for a coefficient of 1, and hold if all of the vacuum held [N]."
    )
    pull: float
    modulus: float = about("Shear modulus of the lens, and the range of its grade [Pa].")
    low: float
    high: float


def mouth(scenario: Scenario, motion: Motion) -> Mouth:
    """Read off a solved needle what cutting needs; motion is in proportion to power."""
    power = scenario.drive.power
    if power >= FAINT:
        full, found = 1 / power, sweep(scenario, motion)
    else:
        whole = replace(scenario, drive=replace(scenario.drive, power=1.0))
        full, found = 1.0, sweep(whole, run(whole))
    found = Sweep(full * found.normal, full * found.sideways, full * found.normal_speed)
    grades = lens_grades()
    lens = scenario.lens
    grade = grades.get(lens.grade if lens else MEDIUM, grades[MEDIUM])
    modulus = lens.shear_modulus if lens else grade.modulus
    needle = scenario.needle
    outer, inner = (float(r[0]) for r in needle.radii_at([needle.length]))
    ring = np.pi * (outer**2 - inner**2)
    # A modulus of one's own keeps the spread of its grade, as a factor.
    return Mouth(
        scenario,
        found,
        0.5 * scenario.fluid.density * ring * found.normal_speed**2,
        scenario.flow.vacuum_limit * needle.mouth_area,
        modulus,
        modulus * grade.low / grade.modulus,
        modulus * grade.high / grade.modulus,
    )


def cutting_ranges(m: Mouth) -> tuple[Range, ...]:
    """Return the ranges of the numbers that cutting rests on."""
    over = ranges("cutting", m.scenario.tissue.cutting)
    if m.scenario.lens is not None:  # Then the bench says how much of the rim touches.
        over = tuple(r for r in over if r.id != "cutting.contact")
    return (*over, Range("lens.modulus", m.low, m.modulus, m.high))


def cutting(scenario: Scenario, motion: Motion) -> Cutting:
    """Return what the mouth does to lens material, with bands over the assumed numbers.

    Parameters
    ----------
    scenario : Scenario
        A bench without lens load is taken to cut lens of medium hardness.
    motion : Motion
        Its solution.

    Examples
    --------
    >>> bench = Scenario.preset("straight, axial")
    >>> found = cutting(bench, run(bench))
    >>> round(found.speed, 1), found.too_fast, found.rate.low < found.rate.usual < found.rate.high
    (11.3, False, True)
    """
    m = mouth(scenario, motion)
    power = scenario.drive.power

    def results(v: Values) -> Values:
        push = power**2 * full_push(m, v)
        contact, rate = in_contact(m, v), rate_at(m, power, v)
        found = np.broadcast_arrays(push, hold(m, v), contact, rate)
        return dict(zip(("push", "hold", "contact", "rate"), found, strict=True))

    found = bands(results, cutting_ranges(m))
    return Cutting(
        motion.end_stroke,
        motion.end_speed,
        motion.end_speed > number("published.top_speed").si,
        power * m.sweep.normal,
        power * m.sweep.sideways,
        found["push"],
        found["hold"],
        found["contact"],
        found["rate"],
        unexplained(),
    )


def _value(m: Mouth, v: Values, name: str) -> Floats:
    own = getattr(m.scenario.tissue.cutting, name)
    return np.atleast_1d(np.asarray(v.get(f"cutting.{name}", own), dtype=np.float64))


def full_push(m: Mouth, v: Values) -> Floats:
    """Return the push of the mouth on the lens at full power [N].

    Coefficient x density/2 x ring area x mean square of the speed along the normal.
    """
    return _value(m, v, "push") * m.flux


def hold(m: Mouth, v: Values) -> Floats:
    """Return the hold by vacuum on a blocked mouth [N]: share x vacuum x open area."""
    return _value(m, v, "hold_share") * m.pull


def in_contact(m: Mouth, v: Values) -> Floats:
    """Return the share of time in contact at full power: hold over hold and push, assumed."""
    held, pushed = hold(m, v), full_push(m, v)
    both = held + pushed
    return np.divide(held, both, out=np.zeros_like(both), where=both > 0)


def efficiency(
    power: Floats, share_at_knee: ArrayLike, jump: ArrayLike, low: float, knee: float
) -> Floats:
    """Return the cutting of an axial drive over that at full power.

    Parameters
    ----------
    power : array
        Share of full stroke, 0 to 1.
    share_at_knee, jump : array
        Value at the knee; gain from below the jump to the knee.
    low, knee : float
        Powers below and above the jump, as `power`.

    Returns
    -------
    array
        Straight lines through 0, `low`, `knee` and full power: the jump from 10 to 20 % and the
        line from 20 to 100 % are published, the value at 20 % and the course below 10 % assumed.

    Examples
    --------
    >>> e = [float(efficiency(np.array(p), 0.2, 5.0, 0.1, 0.2)) for p in (0.1, 0.2, 0.6, 1.0)]
    >>> [round(x, 12) for x in e]
    [0.04, 0.2, 0.6, 1.0]
    """
    p, top, below = np.broadcast_arrays(power, share_at_knee, np.asarray(share_at_knee) / jump)
    return np.asarray(
        np.where(
            p >= knee,
            top + (1 - top) * (p - knee) / (1 - knee),
            np.where(p >= low, below + (top - below) * (p - low) / (knee - low), below * p / low),
        )
    )


def efficiency_range(power: Floats, own: CuttingNumbers) -> tuple[Floats, Floats, Floats]:
    """Return the least, the usual and the most of `efficiency` over its two assumed numbers.

    Examples
    --------
    >>> from tipsim.setup.tissue import Tissue
    >>> [round(float(e[0]), 9) for e in efficiency_range(np.array([1.0]), Tissue().cutting)]
    [1.0, 1.0, 1.0]
    """
    over = {r.id: r for r in ranges("cutting", own)}
    knee, jump = over["cutting.share_at_knee"], over["cutting.jump"]
    tried = [
        efficiency(power, np.asarray(k), np.asarray(j), own.jump_low, own.knee)
        for k in (knee.usual, knee.low, knee.high)
        for j in (jump.usual, jump.low, jump.high)
    ]
    return np.min(tried, axis=0), tried[0], np.max(tried, axis=0)


def softness(modulus: ArrayLike, exponent: ArrayLike) -> Floats:
    """Return cutting by hardness over that of medium lens: (G / G of medium)^-exponent, assumed.

    Parameters
    ----------
    modulus : array
        Shear modulus G of the lens [Pa].
    exponent : array
        How much hardness counts [no unit].
    """
    medium = lens_grades()[MEDIUM].modulus
    return np.asarray((np.asarray(modulus) / medium) ** -np.asarray(exponent))


def softness_band(grade: LensGrade, own: CuttingNumbers) -> Band:
    """Return that of a grade, over the range of its stiffness and over the assumed exponent.

    Examples
    --------
    >>> from tipsim.setup.tissue import Tissue
    >>> softness_band(lens_grades()[MEDIUM], Tissue().cutting).usual
    1.0
    """
    exponent = next(r for r in ranges("cutting", own) if r.id == EXPONENT)
    modulus = Range("lens.modulus", grade.low, grade.modulus, grade.high)

    def results(v: Values) -> Values:
        found = softness(v.get(modulus.id, modulus.usual), v.get(EXPONENT, exponent.usual))
        return {"softness": np.atleast_1d(found)}

    return bands(results, (modulus, exponent))["softness"]


def unexplained() -> float:
    """Return what grade and age leave of the standard deviation of hardness: sqrt(1 - R²).

    >>> round(unexplained()**2 + number("cutting.explained").si, 12)
    1.0
    """
    return float(np.sqrt(1 - number("cutting.explained").si))


def rate_at(m: Mouth, power: float, v: Values) -> Floats:
    """Return the cutting rate at a power, over the reference needle's (k,)."""
    scenario = m.scenario
    own = scenario.tissue.cutting
    published = efficiency(
        np.asarray(power),
        _value(m, v, "share_at_knee"),
        _value(m, v, "jump"),
        own.jump_low,
        own.knee,
    )
    # The course with power was measured with axial drive; twist is assumed in proportion.
    kind = scenario.drive.kind
    along = published if scenario.drive.has_axial else power
    aside = published if kind == "axial" else power
    area = along * m.sweep.normal + aside * _value(m, v, "sideways_weight") * m.sweep.sideways
    touch = scenario.lens.contact if scenario.lens else _value(m, v, "contact")
    modulus = np.atleast_1d(np.asarray(v.get("lens.modulus", m.modulus), dtype=np.float64))
    soft = softness(modulus, _value(m, v, "hardness_exponent"))
    per_second = scenario.drive.frequency * area * touch * in_contact(m, v) * soft
    return np.asarray(per_second * scenario.duty.on_fraction / reference())


def reference() -> float:
    """Return the area that the reference needle sweeps in a second [m²/s].

    >>> round(reference() * 1e6)
    10179
    """
    around = np.pi * number("cutting.reference_diameter").si
    stroke = number("drive.full_end_stroke_axial").si
    return float(around * stroke * drive("axial").frequency)
