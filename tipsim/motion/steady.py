"""Steady vibration of a frame at one frequency, by one banded factorisation."""

from collections.abc import Mapping, Sequence
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tipsim.motion import band
from tipsim.motion.hub import Ways
from tipsim.motion.lumped import Complexes, Lumped
from tipsim.motion.sections import Floats
from tipsim.motion.system import System
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput, nearest

Numbers = NDArray[np.intp]
BASE_KEYS = ("axial", "twist", "x", "y", "z", "rx", "ry", "rz")


@described(eq=False)
class Vibration:
    """Steady motion of a frame, time as exp(+i w t)."""

    frame: Lumped = about("What vibrates.")
    frequency: float = about("Frequency [Hz].")
    displacement: Complexes = about(
        "Amplitude (half of the stroke) of three displacements [m] and three rotations [rad], "
        "shape (n, 6)."
    )
    reaction: Complexes = about(
        "Force [N] and moment [N m] that the outside puts on each node: what was applied, and "
        "at fixed nodes what holds or drives them, the hub's springs included, shape (n, 6)."
    )

    @property
    def angular(self) -> float:
        """Angular frequency [rad/s]."""
        return 2 * np.pi * self.frequency

    @property
    def velocity(self) -> Complexes:
        """Velocity amplitude, shape (n, 6) [m/s, rad/s]."""
        return 1j * self.angular * self.displacement

    @property
    def power_in(self) -> float:
        """Mean power that the outside puts in [W]: half the real part of force times velocity."""
        return float(0.5 * np.real(np.sum(self.reaction * self.velocity.conj())))

    def scaled(self, factor: float) -> "Vibration":
        """Return the vibration times a factor: the equations are linear."""
        return Vibration(
            self.frame, self.frequency, factor * self.displacement, factor * self.reaction
        )

    @cached_property
    def lost_in_segments(self) -> Floats:
        """Mean power lost by hysteresis in each segment [W], shape (n-1,)."""
        u = self.displacement
        ends = np.concatenate([u[:-1], u[1:]], axis=1)
        k = self.frame.segment_stiffness
        strain = np.einsum("mi,mij,mj->m", ends.conj(), k, ends).real
        return np.asarray(0.5 * self.angular * self.frame.loss_factor * strain)

    @cached_property
    def lost_in_film(self) -> Floats:
        """Mean power lost in the Stokes layers, lumped at nodes [W], shape (n,)."""
        return self._viscous(self.frame.node_film * np.sqrt(self.angular))

    @cached_property
    def lost_in_dampers(self) -> Floats:
        """Mean power lost in dampers at nodes [W], shape (n,)."""
        return self._viscous(self.frame.node_dampers)

    @property
    def power_lost(self) -> float:
        """Mean power lost, all causes [W]; equals `power_in`."""
        parts = (self.lost_in_segments, self.lost_in_film, self.lost_in_dampers)
        return float(sum(p.sum() for p in parts))

    def _viscous(self, resistance: Floats) -> Floats:
        v = self.velocity
        return np.asarray(0.5 * np.einsum("ni,nij,nj->n", v.conj(), resistance, v).real)


def base_motion(frame: Lumped, node: int, base: Mapping[str, complex]) -> Complexes:
    """Return six amplitudes in space axes from named base motion.

    Parameters
    ----------
    frame : Lumped
        Gives the tangent at the base.
    node : int
        The driven node.
    base : mapping
        Amplitudes (half of the stroke), complex for a phase: ``axial`` [m] and ``twist`` [rad]
        along the tangent; ``x y z`` [m] and ``rx ry rz`` [rad] in space.

    Raises
    ------
    BadInput
        For a name that is not one of these.
    """
    out = np.zeros(6, dtype=np.complex128)
    t = frame.node_tangent[node]
    for key, value in base.items():
        if key not in BASE_KEYS:
            raise BadInput("base", key, f"one of {', '.join(BASE_KEYS)}{nearest(key, BASE_KEYS)}")
        if key == "axial":
            out[:3] += value * t
        elif key == "twist":
            out[3:] += value * t
        else:
            out[BASE_KEYS.index(key) - 2] += value
    return out


def respond(
    frame: Lumped,
    frequency: float,
    *,
    base: Mapping[str, complex] | None = None,
    forces: Mapping[int, ArrayLike] | None = None,
    fixed: Sequence[int] = (0,),
) -> Vibration:
    """Solve the steady vibration of a frame at one frequency.

    Parameters
    ----------
    frame : Lumped
        What vibrates.
    frequency : float
        Frequency [Hz], above 0.
    base : mapping, optional
        Imposed motion of the first fixed node, see `base_motion`; the other fixed nodes stand
        still. A hub on springs gives way across its axis.
    forces : mapping of node to six numbers, optional
        Force [N] and moment [N m] amplitudes in space axes, complex for a phase.
    fixed : sequence of int
        Nodes whose motion is imposed; empty for a free body.

    Raises
    ------
    BadInput
        For a frequency, node or name out of range, or a motion without any node to impose it on.

    Examples
    --------
    Driven in its length far below its first mode, a rod follows its base:

    >>> import numpy as np
    >>> from tipsim.setup.material import Material
    >>> metal = Material(name="rod", young=113.8e9, poisson=0.342, density=4430.0)
    >>> frame = Lumped(np.outer(np.linspace(0, 20e-3, 41), [1, 0, 0]), 0.45e-3, 0.0, metal)
    >>> v = respond(frame, 100.0, base={"axial": 1e-6})
    >>> round(float(abs(v.displacement[-1, 0])) * 1e6, 4)
    1.0
    """
    if not (np.isfinite(frequency) and frequency > 0):
        raise BadInput("frequency", f"{frequency:g} Hz", "a number above 0")
    if base and not len(fixed):
        raise BadInput("base", "imposed motion of a free body", "at least one fixed node")
    angular = 2 * np.pi * frequency
    load, held = _loads(frame, forces), frame.freedoms(fixed)
    imposed = np.zeros((frame.n, 6), dtype=np.complex128)
    if base:
        imposed[fixed[0]] = base_motion(frame, fixed[0], base)
    u, reaction = solve_systems(frame, angular, load, held, imposed.ravel())
    shape = (frame.n, 6)
    return Vibration(frame, frequency, u.reshape(shape), reaction.reshape(shape))


def solve_systems(
    frame: Lumped, angular: complex, load: Complexes, held: Numbers, imposed: Complexes
) -> tuple[Complexes, Complexes]:
    """Solve a frame's equations at one angular frequency [rad/s], which may be complex.

    Parameters
    ----------
    angular : complex
        A part that nothing drives stays still and is not solved.
    load, imposed : (6n,) arrays
        Forces at all freedoms; motion, read at the held ones only.
    held : (h,) array of int
        Freedoms whose motion is imposed.

    Returns
    -------
    tuple of (6n,) arrays
        Displacement and the force of the outside: load, and reaction where held.
    """
    u = np.zeros(6 * frame.n, dtype=np.complex128)
    reaction = load.copy()
    is_held = np.zeros(6 * frame.n, dtype=bool)
    is_held[held] = True
    for system in frame.systems:
        mine = system.freedoms
        places = np.flatnonzero(is_held[mine])
        motion, force = imposed[mine[places]], load[mine]
        if not motion.any() and not force.any():
            continue
        dynamic = system.dynamic(angular)
        ways = frame.hub_ways(system) if is_held[:6].all() else None
        u[mine], reaction[mine[places]] = solve_system(system, dynamic, force, places, motion, ways)
    return u, reaction


def solve_system(
    system: System,
    dynamic: Complexes,
    load: Complexes,
    held: Numbers,
    imposed: Complexes,
    ways: Ways | None,
) -> tuple[Complexes, Complexes]:
    """Solve one system of a frame, whose hub may give way.

    Parameters
    ----------
    dynamic : band
        From `System.dynamic`.
    load : (k,) array
        Forces.
    held, imposed : (h,) arrays
        Places among the freedoms of the system, those of the hub first, and their motion.
    ways : Ways or None
        Of a hub on springs.

    Returns
    -------
    tuple of (k,) and (h,) arrays
        Displacement, and the force of the outside at what is held.
    """
    columns, values = band.rows_of(dynamic, held)
    if ways is None:
        u = system.solve(dynamic, load, held, imposed)
        return u, (values * u[columns]).sum(axis=0)
    w, count = ways.free.shape
    motions = np.zeros((len(held), 1 + count), dtype=np.complex128)
    motions[:, 0], motions[:w, 1:] = imposed, ways.free
    loads = np.zeros((len(load), 1 + count), dtype=np.complex128)
    loads[:, 0] = load
    each = system.solve(dynamic, loads, held, motions)
    force = (values[..., None] * each[columns]).sum(axis=0)
    x = np.concatenate([[1.0], ways.settle(force[:w, 1:], force[:w, 0])])
    return each @ x, force @ x


def _loads(frame: Lumped, forces: Mapping[int, ArrayLike] | None) -> Complexes:
    load = np.zeros((frame.n, 6), dtype=np.complex128)
    for node, force in (forces or {}).items():
        f = np.asarray(force)
        if not -frame.n <= node < frame.n or f.shape != (6,):
            raise BadInput(
                "forces",
                f"node {node}, shape {f.shape}",
                f"six numbers at a node 0 to {frame.n - 1}",
            )
        load[node] += f
    return load.ravel()
