"""Steady vibration over many frequencies, of planar frames all of them at once."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import ArrayLike

from tipsim.motion import band
from tipsim.motion.elimination import fold
from tipsim.motion.hub import Ways
from tipsim.motion.lumped import Complexes, Lumped
from tipsim.motion.sections import Floats
from tipsim.motion.steady import base_motion, solve_system
from tipsim.motion.system import System
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput

MOST_GROWTH = 1e3
"""Growth up to which a sweep needs no pivots: its motion is then good to about 1e-10."""


@described(eq=False)
class Sweep:
    """Steady motion at each of many frequencies."""

    frame: Lumped
    frequency: Floats = about("Frequencies [Hz], shape (f,).")
    displacement: Complexes = about(
        "Amplitudes [m, rad]; see `tipsim.motion.steady.Vibration`. Shape (f, n, 6)."
    )
    reaction: Complexes = about("Force [N] and moment [N m] that drive the base, shape (f, 6).")

    @property
    def power_in(self) -> Floats:
        """Mean power that the base puts in at each frequency [W], shape (f,)."""
        speed = 2j * np.pi * self.frequency[:, None] * self.displacement[:, 0]
        return np.asarray(0.5 * np.real(np.sum(self.reaction * speed.conj(), axis=1)))


def sweep(
    frame: Lumped, frequencies: ArrayLike, base: Mapping[str, complex], fixed: Sequence[int] = (0,)
) -> Sweep:
    """Solve the steady vibration at many frequencies, driven at the base.

    The cost is linear in nodes and in frequencies, and least for a frame bent in one plane, of
    which it takes all frequencies at once; `tipsim.motion.steady.respond` is quicker for a few.

    Parameters
    ----------
    frequencies : (f,) array_like
        Frequencies [Hz], above 0.
    base : mapping
        Imposed motion of the first fixed node; see `tipsim.motion.steady.base_motion`.
    fixed : sequence of int
        Nodes whose motion is imposed; the first one is driven, the others stand still.

    Raises
    ------
    BadInput
        For frequencies that are not above 0, or no fixed node.

    Examples
    --------
    >>> from tipsim.motion.assembly import assemble
    >>> from tipsim.setup.scenario import Scenario
    >>> frame = assemble(Scenario.preset("single-bend, torsional"))
    >>> curve = sweep(frame, [31e3, 32e3], {"twist": 0.05})
    >>> one = frame.respond(32e3, base={"twist": 0.05})
    >>> bool(np.allclose(curve.displacement[1], one.displacement, rtol=1e-9))
    True
    """
    f = np.atleast_1d(np.asarray(frequencies, dtype=np.float64))
    if not len(f) or not np.isfinite(f).all() or f.min() <= 0:
        raise BadInput("frequencies", f"lowest {f.min(initial=np.inf):g} Hz", "numbers above 0")
    if not len(fixed):
        raise BadInput("fixed", "no node", "at least one node")
    driven, *others = (frame.freedoms(fixed)[::6] // 6).tolist()
    still = sorted(set(others) - {driven})
    motion = base_motion(frame, driven, base)
    u = np.zeros((frame.n, 6, len(f)), dtype=np.complex128)
    reaction = np.zeros((len(f), 6), dtype=np.complex128)
    for system in frame.systems:
        which = system.freedoms[: system.width]
        if motion[which].any():
            ways = frame.hub_ways(system) if driven == 0 else None
            u[:, which], reaction[:, which] = _solve(
                system, 2 * np.pi * f, motion[which], driven, still, ways
            )
    return Sweep(frame, f, u.transpose(2, 0, 1), reaction)


def _solve(
    system: System,
    angular: Floats,
    motion: Complexes,
    driven: int,
    still: list[int],
    ways: Ways | None,
) -> tuple[Complexes, Complexes]:
    """Return motion (n, w, f) of a system and the force (f, w) at its driven node.

    A symmetric system of three freedoms a node is solved at all frequencies at once. The others,
    and frequencies that would lose digits so, are solved one at a time with pivots.
    """
    parts = system.parts(angular)
    blocks = [band.blocks(stored) for stored, _ in parts]
    own = np.array([block for block, _ in blocks])
    if len(motion) == 3 and np.array_equal(own[1:], own[1:].swapaxes(2, 3)):
        lossy = 1 + 1j * system.loss_factor
        factors = np.array([np.broadcast_to(c, angular.shape) for _, c in parts]) / lossy
        factors[0] = 1  # Exactly, as for the couplings.
        u, force, growth = _together(own, blocks[0][1], factors, motion, driven, still, ways, lossy)
    else:
        u = np.empty((own.shape[1], len(motion), len(angular)), dtype=np.complex128)
        force = np.empty((len(angular), len(motion)), dtype=np.complex128)
        growth = np.full(len(angular), np.inf)
    for i in np.flatnonzero(~(growth < MOST_GROWTH)):
        u[:, :, i], force[i] = _alone(system, angular[i], motion, [driven, *still], ways)
    return u, force


def _together(
    own: Floats,
    coupling: Floats,
    factors: Complexes,
    motion: Complexes,
    driven: int,
    still: list[int],
    ways: Ways | None,
    lossy: complex,
) -> tuple[Complexes, Complexes, Floats]:
    """Return motion (n, 3, f), force (f, 3) and growth (f,), from the driven node both ways."""
    ahead = np.arange(driven, min((k for k in still if k > driven), default=own.shape[1]))
    back = np.arange(driven, max((k for k in still if k < driven), default=-1), -1)
    u = np.zeros((own.shape[1], 3, factors.shape[1]), dtype=np.complex128)
    chains = [
        (nodes, fold(own[:, nodes], beside, factors))
        for nodes, beside in (
            (ahead, coupling[ahead[:-1]]),
            (back, coupling[back[1:]].transpose(0, 2, 1)),
        )
        if len(nodes) > 1
    ]
    growth = np.zeros(factors.shape[1])
    stiffness = np.einsum("kab,kf->fab", own[:, driven], factors)
    for _, chain in chains:
        stiffness = stiffness + chain.stiffness
        # Not fmax: what is no number must stay so.
        growth = np.maximum(growth, chain.growth)
    stiffness *= lossy
    base = np.broadcast_to(motion, (len(growth), 3))
    if ways is not None:
        force = np.where(np.isfinite(growth)[:, None], stiffness @ motion, 0)
        seen = np.where(np.isfinite(growth)[:, None, None], stiffness @ ways.free, 0)
        base = base + ways.settle(seen, force) @ ways.free.T
    for nodes, chain in chains:
        u[nodes] = chain.motion(base.T)
    u[driven] = base.T
    return u, (stiffness @ base[..., None])[..., 0], growth


def _alone(
    system: System, angular: float, motion: Complexes, held: list[int], ways: Ways | None
) -> tuple[Complexes, Complexes]:
    """Return motion (n, w) and force (w,) at one frequency; the first held node is driven."""
    w = len(motion)
    dynamic = system.dynamic(angular)
    places = (w * np.array(held)[:, None] + np.arange(w)).ravel()
    imposed = np.zeros(len(places), dtype=np.complex128)
    imposed[:w] = motion
    nothing = np.zeros(dynamic.shape[1], dtype=np.complex128)
    x, force = solve_system(system, dynamic, nothing, places, imposed, ways)
    return x.reshape(-1, w), force[:w]
