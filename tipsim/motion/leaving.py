"""Where power leaves a vibrating needle, and by which way."""

import numpy as np

from tipsim.motion.assembly import coverage, film_parts
from tipsim.motion.lumped import Surroundings
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.setup.scenario import Scenario

WAYS = ("films_outside", "films_bore", "metal", "unresolved", "load")
"""Ways in the order in which they are shown. Metal: the alloy's own loss; what the loss factor of
the motion takes beyond it (hub, thread, all that is not modelled) is unresolved."""


def leaving(scenario: Scenario, motion: Motion, edges: Floats) -> dict[str, Floats]:
    """Return the mean power that leaves in each slice, by way [W].

    Together it is what the hub puts in.

    Parameters
    ----------
    motion : Motion
        Its solution.
    edges : (n+1,) array
        Edges of the slices, from the hub to the tip [m].

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> scenario = Scenario.preset("single-bend, torsional")
    >>> motion = run(scenario)
    >>> found = leaving(scenario, motion, np.linspace(0, scenario.needle.length, 19))
    >>> bool(abs(sum(w.sum() for w in found.values()) / motion.power - 1) < 1e-9)
    True
    """
    vibration, frame = motion.vibration, motion.frame
    middle = (frame.s[1:] + frame.s[:-1]) / 2
    outside, bore = film_parts(coverage(scenario, middle))
    hysteresis = shared_by_segments(vibration.lost_in_segments, frame.s, edges)
    own = own_share(scenario, motion)
    return {
        "films_outside": film_power(motion, outside, edges),
        "films_bore": film_power(motion, bore, edges),
        "metal": own * hysteresis,
        "unresolved": (1 - own) * hysteresis,
        "load": shared_by_nodes(vibration.lost_in_dampers, frame.s, edges),
    }


def own_share(scenario: Scenario, motion: Motion) -> float:
    """Return which share of the loss in the frame's segments is the alloy's own."""
    whole = motion.frame.loss_factor
    return min(scenario.needle.material.loss_factor, whole) / whole if whole else 0.0


def film_power(motion: Motion, around: Surroundings, edges: Floats) -> Floats:
    """Return the power lost in a film in each slice [W], from the motion at the nodes."""
    frame = motion.frame
    flat = frame.length.shape
    along, side, twist = (
        np.broadcast_to(np.asarray(c, float), flat)
        for c in (around.film_along, around.film_sideways, around.film_twist)
    )
    w = 2 * np.pi * motion.frequency
    resistance = np.sqrt(w) * frame.lumped(along, side, twist, np.zeros(flat))
    v = motion.vibration.velocity
    lost = 0.5 * np.einsum("ni,nij,nj->n", v.conj(), resistance, v).real
    return shared_by_nodes(lost, frame.s, edges)


def shared_by_segments(power: Floats, s: Floats, edges: Floats) -> Floats:
    """Share power of segments [W] among slices, keeping the sum."""
    running = np.concatenate([[0.0], np.cumsum(power)])
    return np.asarray(np.diff(np.interp(edges, s, running)))


def shared_by_nodes(power: Floats, s: Floats, edges: Floats) -> Floats:
    """Share power lumped at nodes [W] among slices: each node stands for half its neighbours."""
    borders = np.concatenate([[s[0]], (s[1:] + s[:-1]) / 2, [s[-1]]])
    return shared_by_segments(power, borders, edges)
