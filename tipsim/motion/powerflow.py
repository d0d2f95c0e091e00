"""Power on its way along a needle: what passes each place, and where it leaves."""

import numpy as np

from tipsim.motion.sections import Floats
from tipsim.motion.steady import Vibration
from tipsim.setup.described import about, described


@described(eq=False)
class PowerFlow:
    """Mean power along a needle, hub first [W]."""

    s: Floats = about("Distance of the nodes from the hub [m], shape (n,).")
    before: Floats = about(
        "Power that passes toward the tip just before each node; at the hub what is put in. "
        "Shape (n,)."
    )
    after: Floats = about("The same just behind each node; 0 at the tip. Shape (n,).")
    metal: Floats = about("Power lost by hysteresis in each segment, shape (n-1,).")
    film: Floats = about("Power lost in films of fluid at each node, shape (n,).")
    load: Floats = about("Power lost in what touches the needle at each node, shape (n,).")
    turning: Floats = about(
        "Of what passes just behind each node but the last: by twist about the needle's own axis, "
        "shape (n-1,)."
    )
    lengthwise: Floats = about("The same by push and pull along it, shape (n-1,).")

    @property
    def bending(self) -> Floats:
        """The rest of what passes: by bending and shear; below 0 where it goes toward the hub."""
        return np.asarray(self.after[:-1] - self.turning - self.lengthwise)

    @property
    def at_hub(self) -> float:
        """Power that the hub puts in [W]."""
        return float(self.before[0])

    @property
    def at_tip(self) -> float:
        """Power that arrives at the last node: films and load there take it [W]."""
        return float(self.before[-1])

    def passing(self, s: float) -> float:
        """Return the power that passes a distance from the hub [m] toward the tip [W]."""
        i = int(np.clip(np.searchsorted(self.s, s, side="right") - 1, 0, len(self.s) - 2))
        w = (s - self.s[i]) / (self.s[i + 1] - self.s[i])
        return float((1 - w) * self.after[i] + w * self.before[i + 1])


def power_flow(vibration: Vibration) -> PowerFlow:
    """Return the power that passes each place of a vibrating needle.

    Force and moment of a segment on its end, times the velocity there: half the real part. What a
    segment takes at one end and does not give at the other, its hysteresis has lost.

    Parameters
    ----------
    vibration : Vibration
        Hub first; only the hub may put power in.
    """
    frame, u, v = vibration.frame, vibration.displacement, vibration.velocity
    ends = np.concatenate([u[:-1], u[1:]], axis=1)
    force = np.einsum("mij,mj->mi", frame.segment_stiffness * (1 + 1j * frame.loss_factor), ends)
    taken = 0.5 * np.real(np.sum(force[:, :6] * v[:-1].conj(), axis=1))
    given = -0.5 * np.real(np.sum(force[:, 6:] * v[1:].conj(), axis=1))
    t = frame.tangent
    turning, lengthwise = (
        0.5 * np.real(np.sum(force[:, k] * t, axis=1) * np.sum(v[:-1, k] * t, axis=1).conj())
        for k in (slice(3, 6), slice(0, 3))
    )
    hub = 0.5 * np.real(np.sum(vibration.reaction * v.conj()))
    return PowerFlow(
        frame.s,
        np.concatenate([[hub], given]),
        np.concatenate([taken, [0.0]]),
        vibration.lost_in_segments,
        vibration.lost_in_film,
        vibration.lost_in_dampers,
        turning,
        lengthwise,
    )
