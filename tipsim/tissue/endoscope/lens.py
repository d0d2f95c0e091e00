"""The lens: from directions to places in the picture and back, with a published distortion model.

Kannala and Brandt 2006 (IEEE Trans Pattern Anal Mach Intell 28:1335-1340): a ray at an angle θ to
the axis meets the picture at a distance r = f (θ + k1 θ³ + k2 θ⁵ + …) from its middle. General
libraries of computer vision call it the fisheye model.
"""

import numpy as np

from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.endoscope import Endoscope

STEPS = 12
"""Newton steps back from a distance to an angle: far more than needed where r grows with θ."""
WIDEST = 1.75
"""Beyond this angle from the axis nothing is drawn [rad]."""


@described()
class Lens:
    """A lens before a sensor; x to the right, y down, z along the axis."""

    shape: tuple[int, int] = about("Rows and columns of a picture.")
    focal: float = about("Pixels per radian in the middle.")
    k: tuple[float, ...] = about("Coefficients of distortion k1, k2, …", default=())

    @property
    def middle(self) -> Floats:
        """Column and row of the middle, 0 in the middle of the first pixel."""
        return np.array([(self.shape[1] - 1) / 2, (self.shape[0] - 1) / 2])

    def bent(self, angle: Floats) -> Floats:
        """Return θ + k1 θ³ + k2 θ⁵ + … of angles [rad].

        >>> Lens((3, 3), 1.0, (0.1,)).bent(np.array([0.5])).round(6)
        array([0.5125])
        """
        square = angle**2
        sum = np.zeros_like(angle)
        for k in reversed(self.k):
            sum = (sum + k) * square
        return np.asarray(angle * (1 + sum))

    def slope(self, angle: Floats) -> Floats:
        """Return the derivative of `bent`: local scale away from the middle over that in it."""
        square = angle**2
        sum = np.ones_like(angle)
        power = np.ones_like(angle)
        for i, k in enumerate(self.k):
            power = power * square
            sum = sum + (2 * i + 3) * k * power
        return np.asarray(sum)

    def project(self, points: Floats) -> Floats:
        """Return columns and rows of points (..., 3) before the lens [any unit]; NaN behind it."""
        across = np.hypot(points[..., 0], points[..., 1])
        angle = np.arctan2(across, points[..., 2])
        # Near the axis r / across tends to 1 / z.
        scale = np.where(
            across > 1e-12,
            self.bent(angle) / np.maximum(across, 1e-12),
            1 / np.maximum(np.abs(points[..., 2]), 1e-12),
        )
        out = self.middle + self.focal * scale[..., None] * points[..., :2]
        return np.where(angle[..., None] < WIDEST, out, np.nan)

    def directions(self, places: Floats) -> Floats:
        """Return unit directions (..., 3) in which columns and rows (..., 2) look."""
        off = (places - self.middle) / self.focal
        r = np.hypot(off[..., 0], off[..., 1])
        angle = r.copy()
        for _ in range(STEPS):
            step = (self.bent(angle) - r) / np.maximum(self.slope(angle), 0.1)
            angle = np.clip(angle - step, 0.0, np.pi / 2)
        side = np.sin(angle) / np.maximum(r, 1e-12)
        return np.asarray(
            np.stack([off[..., 0] * side, off[..., 1] * side, np.cos(angle)], axis=-1)
        )


def lens(setting: Endoscope) -> Lens:
    """Return the lens of an endoscope: its field fills the picture from left to right.

    >>> one = lens(Endoscope(field=1.5, distortion=0.1))
    >>> x = np.tan(0.75)
    >>> float(one.project(np.array([x, 0.0, 1.0]))[0].round(6))
    127.5
    """
    k = (setting.distortion, setting.distortion_2)
    half = np.array([setting.field / 2])
    edge = float(Lens(setting.shape, 1.0, k).bent(half)[0])
    return Lens(setting.shape, setting.columns / 2 / edge, k)
