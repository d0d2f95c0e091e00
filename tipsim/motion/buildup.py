"""How fast vibration builds up when the drive comes on, and dies when it goes off.

The steady equations hold losses at one frequency. In time they become dashpots that take the
same at the drive's frequency, so that the steady state that comes out is exactly the steady
solution. What is added while it builds up is free vibration, a sum of natural modes with their
coupled damping (modal superposition; L. Meirovitch, Fundamentals of Vibrations, 2001, from
memory).
"""

import numpy as np
import scipy

from tipsim.motion.assembly import assemble
from tipsim.motion.hub import Ways
from tipsim.motion.lumped import Complexes, Lumped
from tipsim.motion.run import hub_motion
from tipsim.motion.sections import Floats
from tipsim.motion.steady import base_motion
from tipsim.motion.system import System
from tipsim.motion.travel import stroke
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario

MODES = 40
"""Natural modes of each system that free vibration is made of."""
SAMPLES = 24
"""Samples in a cycle."""


@described(eq=False)
class Pulse:
    """Motion of the end over one pulse and the rest after it."""

    time: Floats = about("Time from switching on, one value a cycle [s], shape (k,).")
    end: Floats = about("Stroke of the end in that cycle [m], shape (k,).")
    steady: float = about("Stroke in the steady state [m].")
    on_time: float = about("When the drive goes off [s].")
    displacement: Floats = about(
        "Displacement of the end at every sample [m], and when [s], shape (q, 3) and (q,)."
    )
    instants: Floats

    @property
    def rise_time(self) -> float | None:
        """Time after which the stroke stays within 10 % of steady while on [s]; None if never."""
        on = self.time < self.on_time
        off_by = np.abs(self.end[on] / self.steady - 1) > 0.1 if self.steady else np.array([False])
        last = np.flatnonzero(off_by)
        if not len(last):
            return 0.0
        return float(self.time[last[-1] + 1]) if last[-1] + 1 < on.sum() else None

    @property
    def fall_time(self) -> float | None:
        """Time after switching off until the stroke is below a tenth of steady [s]."""
        after = self.time >= self.on_time
        above = np.flatnonzero(self.end[after] > 0.1 * self.steady)
        if not len(above):
            return 0.0
        k = above[-1] + 1
        return float(self.time[after][k] - self.on_time) if k < after.sum() else None


def pulse(scenario: Scenario, on_time: float, off_time: float) -> Pulse:
    """Compute the motion of the tip over one pulse from rest, and the pause after it.

    Parameters
    ----------
    scenario : Scenario
        Its drive, at its frequency and power, with the hub's own rise time.
    on_time, off_time : float
        Length of the pulse and of the rest [s].

    Examples
    --------
    >>> one = pulse(Scenario.preset("straight, axial"), 4e-3, 2e-3)
    >>> last_on = one.end[one.time < 3.9e-3][-1]
    >>> bool(abs(last_on / one.steady - 1) < 0.01)
    True
    """
    frame = assemble(scenario)
    w = 2 * np.pi * scenario.drive.frequency
    step = 2 * np.pi / w / SAMPLES
    # The pulse begins where the hub passes its middle (sine, not cosine).
    base = -1j * base_motion(frame, 0, hub_motion(scenario))
    times = np.asarray(np.arange(int(np.ceil((on_time + off_time) / step))) * step, dtype=float)
    moved = np.zeros((len(times), 6))
    steady = np.zeros(6, dtype=np.complex128)
    for system in frame.systems:
        part = _Pulsed(frame, system, w, base)
        if part.still:
            continue
        motion, settled = part.pulse(times, on_time, scenario.drive.hub_time)
        moved[:, part.end] = motion
        steady[part.end] = settled
    cycles = len(times) // SAMPLES
    each = moved[: cycles * SAMPLES, :3].reshape(cycles, SAMPLES, 3)
    return Pulse(
        times[: cycles * SAMPLES : SAMPLES],
        _travel(each),
        float(stroke(steady[:3])),
        on_time,
        moved[:, :3],
        times,
    )


def pulse_times(scenario: Scenario) -> tuple[float, float]:
    """Return a pulse and pause worth following [s]: the duty's own, at most 8 and 4 ms."""
    duty = scenario.duty
    if duty.kind == "continuous":
        return 5e-3, 3e-3
    return min(duty.on_time, 8e-3), min(max(duty.off_time, 1e-3), 4e-3)


def _travel(cycles: Floats) -> Floats:
    """Return the stroke of each sampled cycle (c, k, 3): from its first harmonic."""
    turn = np.exp(-2j * np.pi * np.arange(cycles.shape[1]) / cycles.shape[1])
    return stroke(2 / cycles.shape[1] * np.einsum("ckd,k->cd", cycles, turn))


class _Pulsed:
    """One system of a frame in time: its steady answers and its free vibration."""

    def __init__(self, frame: Lumped, system: System, w: float, base: Complexes) -> None:
        self.w = w
        freedom = system.freedoms % 6
        held = system.freedoms < 6
        self.end = freedom[system.freedoms >= 6 * (frame.n - 1)]
        self.imposed = base[freedom[held]]
        self.still = not self.imposed.any()
        self.stiffness = _full(system.stiffness) + _full(system.springs)
        film = _full(system.film)
        # At the drive's frequency these take and carry what the steady equations do.
        self.mass = _full(system.mass) + film / np.sqrt(w)
        self.damping = system.loss_factor / w * _full(system.stiffness)
        self.damping += film * np.sqrt(w) + _full(system.dampers)
        imposed = int(held.sum())
        ways = frame.hub_ways(system)
        if ways is not None:
            imposed = self._on_springs(ways)
        self.held, self.free = np.arange(imposed), np.arange(imposed, len(held))

    def _on_springs(self, ways: Ways) -> int:
        """Turn the hub's freedoms into its ways, imposed ones first; return how many these are."""
        turn = np.hstack([ways.imposed, ways.free])
        w, count = len(turn), int(ways.imposed.shape[1])
        for matrix in (self.stiffness, self.mass, self.damping):
            matrix[:w] = turn.T @ matrix[:w]
            matrix[:, :w] = matrix[:, :w] @ turn
        here = np.arange(count, w)
        self.stiffness[here, here] += ways.springs
        self.imposed = ways.imposed.T @ self.imposed
        return count

    def answer(self, s: complex) -> Complexes:
        """Return the motion of all freedoms that follows a base moving as exp(s t)."""
        d = self.stiffness + s * self.damping + s**2 * self.mass
        u = np.zeros(len(d), dtype=np.complex128)
        u[self.held] = self.imposed
        right = -d[np.ix_(self.free, self.held)] @ self.imposed
        u[self.free] = np.linalg.solve(d[np.ix_(self.free, self.free)], right)
        return u

    def pulse(self, times: Floats, on_time: float, hub_time: float) -> tuple[Floats, Complexes]:
        """Return the end's motion over time (k, freedoms), and its steady amplitude."""
        steady, fading = self.answer(1j * self.w), self.answer(1j * self.w - 1 / hub_time)
        # While on the hub does (1 - exp(-t/T)) sin; after that what is left of it fades.
        on = [(steady, 1j * self.w), (-fading, 1j * self.w - 1 / hub_time)]
        shapes, decay, vectors, inverse = self.free_vibration()
        begin = self._remainder(shapes, inverse, on, 0.0, None)
        first = times < on_time
        out = np.zeros((len(times), len(self.end)))
        last = slice(len(self.stiffness) - len(self.end), None)
        out[first] = _forced(on, times[first], last)
        out[first] += self._free(shapes, decay, vectors, begin, times[first], last)
        left = 1 - np.exp(-on_time / hub_time)
        s = 1j * self.w - 1 / hub_time
        off = [(left * fading * np.exp(on_time / hub_time), s)]
        state = self._state(shapes, decay, vectors, begin, on, on_time)
        after = self._remainder(shapes, inverse, off, on_time, state)
        rest = times[~first] - on_time
        out[~first] = _forced(off, times[~first], last)
        out[~first] += self._free(shapes, decay, vectors, after, rest, last)
        return out, steady[last]

    def free_vibration(self) -> tuple[Floats, Complexes, Complexes, Complexes]:
        """Return natural shapes (free, m), decay rates (2m,), state vectors and their inverse."""
        grid = np.ix_(self.free, self.free)
        count = min(MODES, len(self.free))
        squared, shapes = scipy.linalg.eigh(
            self.stiffness[grid], self.mass[grid], subset_by_index=[0, count - 1]
        )
        damping = shapes.T @ self.damping[grid] @ shapes
        state = np.zeros((2 * count, 2 * count))
        state[:count, count:] = np.eye(count)
        state[count:, :count] = -np.diag(squared)
        state[count:, count:] = -damping
        decay, vectors = scipy.linalg.eig(state)
        return shapes, decay, vectors, np.linalg.inv(vectors)

    def _remainder(
        self,
        shapes: Floats,
        inverse: Complexes,
        forced: list[tuple[Complexes, complex]],
        t: float,
        state: tuple[Floats, Floats] | None,
    ) -> Complexes:
        """Return the free vibration that joins the state before to the forced motion from t on."""
        place = np.real(sum(u * np.exp(s * t) for u, s in forced))[self.free]
        speed = np.real(sum(s * u * np.exp(s * t) for u, s in forced))[self.free]
        before = state or (np.zeros_like(place), np.zeros_like(speed))
        grid = np.ix_(self.free, self.free)
        weigh = shapes.T @ self.mass[grid]
        q = np.concatenate([weigh @ (before[0] - place), weigh @ (before[1] - speed)])
        return np.asarray(inverse @ q)

    def _state(
        self,
        shapes: Floats,
        decay: Complexes,
        vectors: Complexes,
        begin: Complexes,
        forced: list[tuple[Complexes, complex]],
        t: float,
    ) -> tuple[Floats, Floats]:
        """Return displacement and speed of the free freedoms at a time."""
        q = np.real(vectors @ (begin * np.exp(decay * t)))
        count = shapes.shape[1]
        place = np.real(sum(u * np.exp(s * t) for u, s in forced))[self.free]
        speed = np.real(sum(s * u * np.exp(s * t) for u, s in forced))[self.free]
        return place + shapes @ q[:count], speed + shapes @ q[count:]

    def _free(
        self,
        shapes: Floats,
        decay: Complexes,
        vectors: Complexes,
        begin: Complexes,
        times: Floats,
        last: slice,
    ) -> Floats:
        count = shapes.shape[1]
        to_end = shapes[last.start - len(self.held) :] @ vectors[:count]
        return np.real(np.exp(np.outer(times, decay)) @ (to_end * begin).T)


def _forced(terms: list[tuple[Complexes, complex]], times: Floats, last: slice) -> Floats:
    return np.asarray(np.real(sum(np.outer(np.exp(s * times), u[last]) for u, s in terms)))


def _full(stored: Floats) -> Floats:
    """Return a band as a full matrix."""
    half, size = len(stored) // 2, stored.shape[1]
    out = np.zeros((size, size))
    for row in range(2 * half + 1):
        shift = row - half
        low, high = max(0, -shift), min(size, size - shift)
        columns = np.arange(low, high)
        out[columns + shift, columns] = stored[row, low:high]
    return out
