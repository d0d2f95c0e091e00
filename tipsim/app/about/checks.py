"""What the model was held against: outside values, beside the model's own where that is cheap.

The automatic tests in ``tests/published`` hold every row here, and more; a few rows are worked
out again when the page is built, so that a reader sees both numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tipsim.app.about.results import defaults
from tipsim.motion import Frame
from tipsim.motion.sections import Floats, cowper
from tipsim.motion.water import annulus_factor
from tipsim.setup.material import Material
from tipsim.setup.sourced import number

METAL = Material(name="handbook metal", young=113.8e9, poisson=0.3, density=4430.0)
"""Poisson's ratio 0.3 makes the ratio of twisting to bending stiffness of a rod 1/1.3."""
LENGTH = 20e-3
RADIUS = LENGTH / 1000
"""So thin [m] that slender-beam theory holds."""

STRAIGHT = (1.8751041, 4.6940911, 7.8547574)
ELBOW = (4.687, 12.764, 63.018)
BENT = (3.5335, 21.848, 56.981)
ANNULUS = {(0.45, 0.65): 2.841, (0.45, 0.85): 1.779}
COWPER = {0.0: 0.886, 0.5: 0.620, 1.0: 0.531}


@dataclass(frozen=True)
class Check:
    """One row of the table.

    Attributes
    ----------
    what, source : str
        What is compared; where the outside value comes from.
    theirs, ours : tuple of float
        Outside values and the model's; both are empty where only the tests work them out.
    allowed : str
        How far apart they may be, in words.
    low, high : float
        The same as factors on `theirs`.
    fitted : str
        What was fitted, when this row is no test of the model; else empty.
    decimals : int
        To how many the values are written.
    instead : str
        What stands in place of outside values that are too many to show.
    """

    what: str
    source: str
    theirs: tuple[float, ...]
    ours: tuple[float, ...]
    allowed: str
    low: float = 0.0
    high: float = 0.0
    fitted: str = ""
    decimals: int = 3
    instead: str = ""

    @property
    def holds(self) -> bool | None:
        """Whether every value lies within what is allowed; None when it is not worked out here."""
        if not self.ours:
            return None
        pairs = zip(self.ours, self.theirs, strict=True)
        return all(self.low * b <= a <= self.high * b for a, b in pairs)

    @property
    def theirs_text(self) -> str:
        """Outside values as text."""
        return self._text(self.theirs) or self.instead

    @property
    def ours_text(self) -> str:
        """The model's values as text; empty where only the tests work them out."""
        return self._text(self.ours)

    def _text(self, values: Sequence[float]) -> str:
        return ", ".join(f"{v:.{self.decimals}f}" for v in values)


def legs(second: float, angle: float, steps: int = 80) -> Floats:
    """Return nodes of two straight legs that are 20 mm long together.

    Parameters
    ----------
    second : float
        Length of the second leg over both.
    angle : float
        How far the line turns between them [rad].
    steps : int
        Segments in all.

    Returns
    -------
    (steps + 1, 3) array
        Nodes [m].

    Examples
    --------
    >>> (legs(0.5, np.pi / 2, 2) * 1e3).round(6).tolist()
    [[0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [10.0, 10.0, 0.0]]
    """
    along = np.linspace(0, LENGTH, steps + 1)
    corner = LENGTH * (1 - second)
    first, rest = np.minimum(along, corner), np.maximum(along - corner, 0)
    way = np.array([np.cos(angle), np.sin(angle), 0])
    return np.outer(first, [1.0, 0, 0]) + np.outer(rest, way)


def frequency_numbers(points: Floats, sideways: Sequence[int], count: int) -> Floats:
    """Return w L² sqrt(rho A / EI) of the lowest modes of a thin clamped rod [no unit].

    Parameters
    ----------
    points : (n, 3) array
        Nodes, the clamp first [m].
    sideways : sequence of int
        Directions (0 x, 1 y, 2 z) in which a mode must mostly move to count.
    count : int
        How many.

    Examples
    --------
    A straight one: 3.516, the square of 1.8751.

    >>> round(float(frequency_numbers(legs(0.5, 0.0), [2], 1)[0]), 2)
    3.52
    """
    rod = Frame(points, RADIUS, 0.0, METAL, shear=False, rotary=False)
    modes = rod.modes(2 * count + 1, fixed=[0])
    square = (modes.shape[:, :, :3] ** 2).sum(axis=1)
    chosen = square[:, list(sideways)].sum(axis=1) > square.sum(axis=1) / 2
    w = 2 * np.pi * modes.frequency[chosen][:count]
    return np.asarray(w * LENGTH**2 * np.sqrt(METAL.density / METAL.young) * 2 / RADIUS)


def mechanics() -> list[Check]:
    """Return the checks on beams, sections and water."""
    straight = np.sqrt(frequency_numbers(legs(0.5, 0.0), [2], 3))
    elbow = frequency_numbers(legs(0.5, np.pi / 2), [0, 1], 3)
    bent = frequency_numbers(legs(0.2, np.radians(20)), [2], 3)
    own = "Closed form of two slender legs, worked out for these tests; a second frame agrees"
    return [
        Check(
            "Straight beam, clamped and free: βL of the first three modes",
            "Thomson, Theory of Vibration with Applications, appendix D; the same in Rao and "
            "Timoshenko",
            STRAIGHT,
            _floats(straight),
            *_near("0.1 %", 0.001),
            decimals=4,
        ),
        Check(
            "Rods in length and in twist: frequencies c/4L, 3c/4L, c/2L",
            "Blevins, Formulas for Natural Frequency and Mode Shape (from memory)",
            (),
            (),
            "0.1 %",
            instead="three formulas",
        ),
        Check(
            "Right-angle elbow, equal legs, in its plane: ω(2L)²√(ρA/EI)",
            own,
            ELBOW,
            _floats(elbow),
            *_near("0.2 %", 0.002),
        ),
        Check(
            "One bend of 20° at 80 % of the length, out of its plane: ωL²√(ρA/EI)",
            own,
            BENT,
            _floats(bent),
            *_near("0.2 %", 0.002),
        ),
        Check(
            "Shear coefficient of a hollow circle, bore 0, half, all of the diameter",
            "Cowper 1966, J Appl Mech 33:335 (formula from memory)",
            tuple(COWPER.values()),
            _floats(cowper(list(COWPER), METAL.poisson)),
            *_near("half of the last digit", 0.001),
        ),
        Check(
            "Water around a needle of 0.9 mm in a still sleeve of 1.3 and 1.7 mm, over the water "
            "that it displaces",
            "Stokes, as in Encyclopaedia Britannica 1911; Fritz 1972, J Eng Ind 94:167 "
            "(from memory)",
            tuple(ANNULUS.values()),
            tuple(float(annulus_factor(a, b)) for a, b in ANNULUS),
            *_near("1 %", 0.01),
        ),
        Check(
            "Viscous films: drag of a cylinder that swings, slides or turns in open water, 32 kHz",
            "Stokes 1851, exact for small motion (from memory)",
            (),
            (),
            "0.7 %; turning 2 %",
            instead="the exact solution",
        ),
    ]


def needles() -> list[Check]:
    """Return the checks on the default needles at full power."""
    d = defaults()
    single, counter = d.single.motion, d.counter.motion
    ends, fifth = number("published.end_ratio"), number("practice.fifth_marker_ratio")
    stroke, speed = number("published.counter_bent_end_stroke"), number("published.top_speed")
    chosen = "the pair was chosen on it"
    return [
        Check(
            "End stroke, counter-bent over single-bend, torsional",
            ends.source.split(". ")[0],
            (ends.value,),
            (counter.end_stroke / single.end_stroke,),
            f"{ends.low:g} to {ends.high:g}",
            ends.low / ends.value,
            ends.high / ends.value,
            chosen,
            2,
        ),
        Check(
            "End stroke of the counter-bent needle, µm peak to peak",
            "The same; peak or peak to peak is not stated there",
            (stroke.value,),
            (counter.end_stroke * 1e6,),
            *_near("30 %", 0.3),
            chosen,
            0,
        ),
        Check(
            "Motion 4 mm behind the end, single-bend over counter-bent, torsional",
            fifth.source,
            (fifth.value,),
            (single.markers[4].stroke / counter.markers[4].stroke,),
            f"{fifth.low:g} to {fifth.high:g}",
            fifth.low / fifth.value,
            fifth.high / fifth.value,
            chosen,
            2,
        ),
        Check(
            "Speed of the faster end, m/s",
            "Trade article 2008, for any needle",
            (speed.value,),
            (max(single.end_speed, counter.end_speed),),
            f"{speed.low:g} to {speed.high:g}",
            speed.low / speed.value,
            speed.high / speed.value,
            "it follows from fitted strokes",
            1,
        ),
        Check(
            "Strokes when the nodes stand closer: to 0.02 mm, above 900 nodes",
            "Our own; and the error falls with the square of the spacing, as it must",
            (),
            (),
            "1 %",
            instead="the finest nodes",
        ),
    ]


def _floats(values: Floats) -> tuple[float, ...]:
    return tuple(float(v) for v in values)


def _near(words: str, within: float) -> tuple[str, float, float]:
    return words, 1 - within, 1 + within
