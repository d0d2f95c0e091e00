"""Whether the moving needle tears the fluid: pressure amplitude against what the fluid bears.

Bubbles are likely where the pressure amplitude passes the static pressure plus the tension that the
fluid's own nuclei bear. For a gas nucleus of radius R that is Blake's

    p0 + (8 s / 9) sqrt(3 s / (2 R³ (p0 + 2 s / R)))

(Leighton 1994, The Acoustic Bubble, from memory) with the surface tension s: 0.4 bar above p0 for
1 µm, 2.6 bar for 0.2 µm. The pressure itself comes from potential flow (`annulus`), so it says
where bubbles begin and nothing of what follows.
"""

import numpy as np

from tipsim.motion.annulus import stirred, wall_pressure
from tipsim.motion.character import SAME_PLACE, lengthwise_stroke, sideways_stroke
from tipsim.motion.run import Motion
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario

STILL = 1e-12
"""Share of the threshold below which pressure is rounding."""


@described()
class Cavitation:
    """Pressure amplitudes beside what the fluid bears."""

    film: float | None = about(
        "Largest amplitude between needle and sleeve [Pa], and where, from the tip [m]; None "
        "without a sleeve."
    )
    film_place: float | None
    shaft: float | None = about(
        "The largest between needle and sleeve behind the first bend [Pa]; None likewise."
    )
    film_share: float = about("Share of the sleeve's length where bubbles are likely [no unit].")
    tip: float = about("Amplitude at the tip [Pa]; see `tip_pressure`.")
    threshold: float = about("What the fluid bears: static pressure and tension [Pa].")
    power: float = about("Share of full power that the drive runs at [no unit].")

    @property
    def in_film(self) -> bool:
        """Whether bubbles are likely between needle and sleeve."""
        return self.film is not None and self.film > self.threshold

    @property
    def at_tip(self) -> bool:
        """Whether bubbles are likely at the tip."""
        return self.tip > self.threshold

    @property
    def film_onset(self) -> float | None:
        """Share of full power where bubbles begin in the film [no unit]; None where never."""
        return self._onset(self.film)

    @property
    def tip_onset(self) -> float | None:
        """Share of full power where bubbles begin at the tip [no unit]; above 1: not reached."""
        return self._onset(self.tip)

    def _onset(self, pressure: float | None) -> float | None:
        if pressure is None or pressure <= STILL * self.threshold:
            return None
        return self.power * self.threshold / pressure


def cavitation(scenario: Scenario, motion: Motion) -> Cavitation:
    """Compare the pressure amplitudes of a motion with what the fluid bears.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> bench = Scenario.preset("single-bend, torsional")
    >>> cavitation(bench, run(bench)).in_film
    True
    """
    film = stirred(scenario, motion.vibration)
    threshold = scenario.ceilings.pressure + scenario.ceilings.tension
    tip, power = tip_pressure(scenario, motion), scenario.drive.power
    if not len(film.pressure):
        return Cavitation(None, None, None, 0.0, tip, threshold, power)
    worst = int(np.argmax(film.pressure))
    bend = scenario.needle.length - scenario.needle.first_bend
    behind = film.pressure[film.from_tip >= bend - SAME_PLACE]
    return Cavitation(
        float(film.pressure[worst]),
        float(film.from_tip[worst]),
        float(behind.max(initial=0.0)),
        float(film.length[film.pressure > threshold].sum() / film.length.sum()),
        tip,
        threshold,
        power,
    )


def tip_pressure(scenario: Scenario, motion: Motion) -> float:
    """Return the pressure amplitude at the tip in open fluid [Pa].

    The larger of two: rho w² x a at the side of a cylinder of radius a that moves sideways by x,
    and rho w² y t/2 in the middle of a strip as wide as the wall t, the rim of the opening, that
    moves lengthwise by y (phi = V sqrt(c² - z²) on a plate of half width c; Lamb, Hydrodynamics,
    section 71, from memory). Both for ends that are far away: at the very end fluid escapes and the
    pressure is lower; a lumen closed by a fragment makes the lengthwise one higher, up to
    2/pi rho w² y a for a disc (Lamb, section 102).
    """
    needle, v = scenario.needle, motion.vibration
    outer, inner = (float(r[0]) for r in needle.radii_at(np.array([needle.length])))
    x, y = sideways_stroke(v)[-1] / 2, lengthwise_stroke(v)[-1] / 2
    rho, w = scenario.fluid.density, v.angular
    aside = float(wall_pressure(rho, w, x, outer, 1e3 * outer))
    return max(aside, float(rho * w**2 * y * (outer - inner) / 2))
