"""What a way through tubes, gaps and holes costs in pressure.

Closed forms of laminar flow (any text on viscous flow: Poiseuille's tube; the concentric annulus)
and of holes: pressure R q + K q|q| for a flow q.
"""

import math
from collections.abc import Sequence

from tipsim.setup.described import about, described


@described()
class Path:
    """A way for fluid: pressure over it is ``linear * q + square * q * |q|``.

    Examples
    --------
    >>> way = Path(2.0, 1.0) + Path(1.0, 3.0)
    >>> way.drop(2.0), way.flow(22.0), way.flow(-22.0)
    (22.0, 2.0, -2.0)
    """

    linear: float = about("Laminar resistance [Pa s/m³].", default=0.0)
    square: float = about("Of jets and inlets [Pa s²/m⁶].", default=0.0)

    def __add__(self, other: "Path") -> "Path":
        """Put two ways one behind the other."""
        return Path(self.linear + other.linear, self.square + other.square)

    def drop(self, flow: float) -> float:
        """Return the pressure that a flow [m³/s] needs [Pa]."""
        return (self.linear + self.square * abs(flow)) * flow

    def slope(self, flow: float) -> float:
        """Return how the pressure grows with the flow [Pa s/m³]."""
        return self.linear + 2 * self.square * abs(flow)

    def flow(self, drop: float) -> float:
        """Return the flow that a pressure [Pa] drives [m³/s]."""
        return 2 * drop / (self.linear + math.sqrt(self.linear**2 + 4 * self.square * abs(drop)))


def tube(viscosity: float, length: float, start: float, end: float | None = None) -> Path:
    """Return the laminar resistance of a tube or cone (Poiseuille, slice by slice).

    Parameters
    ----------
    viscosity, length : float
        [Pa s], [m].
    start, end : float
        Radius at both ends [m]; `end` absent: the same.

    Examples
    --------
    >>> round(tube(1e-3, 0.1, 0.45e-3).linear / tube(1e-3, 0.1, 0.55e-3).linear, 2)
    2.23
    """
    a, b = start, start if end is None else end
    # The integral of r^-4 over a cone: (a² + ab + b²) / 3a³b³ per length.
    return Path(8 * viscosity / math.pi * length * (a * a + a * b + b * b) / (3 * (a * b) ** 3))


def annulus(viscosity: float, length: float, inner: float, outer: float) -> Path:
    """Return the laminar resistance of the gap between a rod and a tube around its middle.

    Notes
    -----
    8 μ L / π (b⁴ − a⁴ − (b² − a²)² / ln(b/a)). A rod that lies off the middle lets more through,
    up to 2.5 times where it touches (thin gap).

    Examples
    --------
    >>> gap = annulus(1e-3, 1.0, 10.0, 10.01).linear  # near 12 μ L / (2 π r h³)
    >>> round(gap / (12e-3 / (2 * math.pi * 10.005 * 0.01**3)), 4)
    1.0
    """
    a2, b2 = inner**2, outer**2
    clear = b2**2 - a2**2 - (b2 - a2) ** 2 / math.log(outer / inner)
    return Path(8 * viscosity * length / (math.pi * clear))


def hole(density: float, area: float, coefficient: float) -> Path:
    """Return the way through a hole: ½ρ (q / C A)², of which nothing comes back.

    Examples
    --------
    >>> v = hole(1000.0, 1e-6, 1.0).flow(9332.6) / 1e-6  # loss-free jet of 70 mmHg
    >>> round(v, 2)
    4.32
    """
    return Path(0.0, density / 2 / (coefficient * area) ** 2)


def profile(viscosity: float, places: Sequence[float], radii: Sequence[float]) -> Path:
    """Return the resistance of cones one behind the other; places [m] in order."""
    out = Path()
    for i in range(len(places) - 1):
        out += tube(viscosity, places[i + 1] - places[i], radii[i], radii[i + 1])
    return out
