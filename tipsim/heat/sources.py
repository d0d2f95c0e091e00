"""Where the needle's motion becomes heat: watts by place and cause.

Metal: the alloy's own loss factor. Films: Stokes layers outside and in the bore. Rubbing:
friction coefficient x force x mean sliding speed, where something presses the sleeve onto the
shaft. Squeezing: the silicone there is pressed and let go by sideways motion, as the motion itself
says. What the motion's
loss factor takes beyond the alloy's own (hub thread, all that is not modelled) is named and
heats nothing here.
"""

import numpy as np

from tipsim.motion.leaving import leaving, shared_by_nodes
from tipsim.motion.lumped import Complexes
from tipsim.motion.press import press_directions
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.motion.travel import at
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.setup.thermal import Press

CAUSES = ("metal", "films_outside", "films_bore", "lens", "unresolved", "rubbing", "squeezing")
"""Causes in the order in which they are shown."""
IN_MOTION = ("metal", "films_outside", "films_bore", "lens", "unresolved", "squeezing")
"""Causes that the solved motion itself pays for: their sum is the power that the hub puts in."""
PHASES = 48


@described(eq=False)
class Sources:
    """Heat put in along the needle while the drive is on."""

    edges: Floats = about("Edges of the slices, from the hub [m], shape (n+1,).")
    watts: dict[str, Floats] = about(
        'Mean power in each slice [W]; "unresolved" is given as the hub\'s first slice. Shape (n,).'
    )

    def total(self, cause: str) -> float:
        """Power of one cause, all slices [W]."""
        return float(self.watts[cause].sum())


def heat_sources(scenario: Scenario, motion: Motion, edges: Floats) -> Sources:
    """Return the watts by slice and cause.

    Parameters
    ----------
    motion : Motion
        Its solution.
    edges : (n+1,) array
        Edges of the slices, from the hub to the mouth [m].

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> scenario = Scenario.preset("single-bend, torsional")
    >>> motion = run(scenario)
    >>> found = heat_sources(scenario, motion, np.linspace(0, scenario.needle.length, 81))
    >>> bool(abs(sum(found.total(c) for c in IN_MOTION) / motion.power - 1) < 1e-9)
    True
    """
    frame = motion.frame
    left = leaving(scenario, motion, edges)
    zero = np.zeros(len(edges) - 1)
    squeezed = np.zeros(frame.n) if motion.squeezed is None else motion.squeezed
    squeezing = shared_by_nodes(squeezed, frame.s, edges)
    unresolved = zero.copy()
    unresolved[0] = left["unresolved"].sum()
    watts = {
        "metal": left["metal"],
        "films_outside": left["films_outside"],
        "films_bore": left["films_bore"],
        "lens": left["load"] - squeezing,
        "unresolved": unresolved,
        "rubbing": zero,
        "squeezing": squeezing,
    }
    if scenario.press is not None and scenario.sleeve is not None:
        watts["rubbing"] = rubbing(scenario, motion, scenario.press, edges)
    return Sources(edges, watts)


def pressed(scenario: Scenario, press: Press, edges: Floats) -> Floats:
    """Return the length of each slice that is pressed [m]; only what the sleeve covers can be."""
    low, high = (scenario.needle.length - edge for edge in reversed(press.span(scenario.incision)))
    high = min(high, scenario.sleeve_end)
    shared = np.minimum(edges[1:], high) - np.maximum(edges[:-1], low)
    return np.asarray(np.clip(shared, 0, None))


def _surface(scenario: Scenario, motion: Motion, s: Floats) -> tuple[Complexes, Floats, Floats]:
    """Return displacement (n, 6), tangents (n, 3) and outer radii at places from the hub."""
    frame = motion.frame
    u = at(frame, motion.displacement, s)
    tangent = np.stack([np.interp(s, frame.s, frame.node_tangent[:, k]) for k in range(3)], 1)
    tangent /= np.linalg.norm(tangent, axis=1)[:, None]
    return u, tangent, scenario.needle.radii_at(s)[0]


def rubbing(scenario: Scenario, motion: Motion, press: Press, edges: Floats) -> Floats:
    """Return the power of rubbing in each slice [W]: coefficient x force x mean sliding speed.

    The pressed sleeve stands still; the shaft's surface slides under it by turning, sideways and
    along. Speeds are averaged over a cycle and over the arc.
    """
    covered = pressed(scenario, press, edges)
    middle = (edges[1:] + edges[:-1]) / 2
    u, tangent, outer = _surface(scenario, motion, middle)
    normal = press_directions(press, tangent)
    lever = outer[:, None] * normal
    v = 2j * np.pi * motion.frequency * (u[None, :, :3] + np.cross(u[None, :, 3:], lever))
    slide = v - (v * normal).sum(axis=2, keepdims=True) * normal
    turn = np.exp(2j * np.pi * np.arange(PHASES) / PHASES)
    speed = np.linalg.norm((slide[..., None] * turn).real, axis=2).mean(axis=(0, 2))
    share = covered / covered.sum() if covered.any() else covered
    return np.asarray(scenario.rubbing.coefficient * press.force * share * speed)
