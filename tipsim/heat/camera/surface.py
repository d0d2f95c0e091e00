"""The surface that a camera looks at: sleeve and bare needle, all around, through time."""

import numpy as np
from numpy.typing import NDArray

from tipsim.heat.timeline import HeatRun
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

IN_AIR = ("air", "dry")
"""Surroundings that let infrared through; a tenth of a millimetre of fluid lets none pass."""


@described(eq=False)
class Skin:
    """Temperatures of a round body's surface, drawn out straight along its middle line."""

    edges: Floats = about("Edges of the slices, distance from the tip [m], rising. Shape (n+1,).")
    radius: Floats = about("Outer radius of each slice [m], shape (n,).")
    covered: NDArray[np.bool_] = about("Slices under the sleeve; the others are bare. Shape (n,).")
    angles: Floats = about(
        "Angles from the side under load, 0 to pi; the other half mirrors them. Shape (m,)."
    )
    time: Floats = about("Times [s], shape (q,).")
    temperature: Floats = about("Surface temperatures [K], shape (q, n, m).")
    film: float = about("Thickness of the fluid on bare metal [m]; 0 where it is dry.", default=0.0)

    def at(self, time: float) -> Floats:
        """Return the temperatures at a time [s], shape (n, m) [K]; the last ones after the end."""
        i = int(np.clip(np.searchsorted(self.time, time), 1, max(len(self.time) - 1, 1)))
        if len(self.time) == 1:
            return np.asarray(self.temperature[0])
        w = (time - self.time[i - 1]) / (self.time[i] - self.time[i - 1])
        w = min(max(w, 0.0), 1.0)
        return np.asarray((1 - w) * self.temperature[i - 1] + w * self.temperature[i])


def skin(run: HeatRun) -> Skin:
    """Return the outside of a heat run's bench: the sleeve's, and the metal's where it is bare.

    Examples
    --------
    >>> from tipsim.heat.timeline import heat_run
    >>> from tipsim.setup.scenario import Scenario
    >>> seen = skin(heat_run(Scenario.preset("straight, axial"), 1.0))
    >>> (seen.edges[[0, -1]] * 1e3).round(1).tolist()
    [0.0, 17.7]
    """
    cells, outside = run.cells, run.scenario.outside
    covered = cells.sleeved
    warm = np.where(covered[None, :, None], run.layer("outer"), run.layer("metal"))
    length = cells.edges[-1]
    return Skin(
        length - cells.edges[::-1],
        np.where(covered, cells.sleeve_outer, cells.wall)[::-1],
        covered[::-1],
        cells.angles(),
        run.time,
        warm[:, ::-1, :],
        outside.film if outside.kind == "air" else 0.0,
    )
