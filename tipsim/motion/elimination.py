"""A chain of nodes with three freedoms each, solved at many frequencies at once.

Outward from the driven node the equations are block-tridiagonal and symmetric. From the far end
inwards each node sees what hangs on it as one more stiffness, and then the motion goes outwards:

    S_i = D_i(w) - B_i X_{i+1} B_i^T,   X_i = 1 / S_i,   u_{i+1} = -X_{i+1} B_i^T u_i

(block Gauss elimination; in vibration also known as the Riccati form of the transfer matrices,
Horner and Pilkey 1978, from memory). Once all is divided by 1 + i eta, the couplings B and all
parts of D are real and the same at every frequency, so that S of a node at all frequencies is one
real matrix product with X of the node before and the factors of the parts stacked below it.
Symmetric 3 x 3 blocks are kept as their six numbers 00 01 02 11 12 22.

Rows are never exchanged. What that costs is told by the growth, see `Folded`.
"""

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

Complexes = NDArray[np.complex128]

ROW, COLUMN = np.triu_indices(3)
FULL = np.array([0, 1, 2, 1, 3, 4, 2, 4, 5])
"""All nine entries among the six numbers."""
COFACTORS = np.array(
    [[3, 2, 1, 0, 1, 0], [5, 4, 4, 5, 2, 3], [4, 1, 2, 2, 0, 1], [4, 5, 3, 2, 4, 1]]
)
"""Each cofactor is first times second minus third times fourth of the six numbers."""


@described(eq=False)
class Folded:
    """A chain of which each node sees what hangs on it; how its first node moves is still open."""

    flexible: Complexes = about("X of all nodes but the first, all nine entries, (m-1, 9, f).")
    coupling: Floats = about("Stiffness between each node (rows) and the next, (m-1, 3, 3).")
    growth: Floats = about(
        "Largest stiffness of a freedom times its flexibility with what hangs on it, both with "
        "the node before held. About 10 as a rule; at a resonance of such a part without loss "
        "it is infinite. The relative error of the motion is about 1e-16 times its square. "
        "Shape (f,)."
    )

    @property
    def stiffness(self) -> Complexes:
        """What all that hangs on the first node adds to its stiffness, shape (f, 3, 3)."""
        x = self.flexible[0].reshape(3, 3, -1).transpose(2, 0, 1)
        b = self.coupling[0]
        with np.errstate(invalid="ignore", over="ignore"):
            return np.asarray(-b @ x @ b.T)

    def motion(self, base: Complexes) -> Complexes:
        """Return the amplitudes of all nodes (m, 3, f) from the first one's, (3,) or (3, f)."""
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            return _motion(self.flexible, self.coupling, base)


def fold(own: Floats, coupling: Floats, factors: Complexes) -> Folded:
    """Eliminate all nodes of a chain but the first, at all frequencies.

    Parameters
    ----------
    own : (k, m, 3, 3) array
        Symmetric matrices of each node, the driven one first; of k parts, the stiffness first.
    coupling : (m-1, 3, 3) array
        Stiffness between each node (rows) and the next (columns).
    factors : (k, f) complex array
        What each part is times at each frequency.

    Examples
    --------
    A node on springs, 3 N/m to the ground and 1 N/m to a node that moves by 1 m:

    >>> own = np.array([[np.eye(3), 4 * np.eye(3)]])
    >>> chain = fold(own, -np.eye(3)[None], np.ones((1, 2), complex))
    >>> chain.motion(np.ones(3))[1].real.tolist()
    [[0.25, 0.25], [0.25, 0.25], [0.25, 0.25]]
    >>> chain.stiffness[0].real.diagonal().tolist()
    [-0.25, -0.25, -0.25]
    """
    # Where a block cannot be inverted, numbers that are none follow, and the growth tells.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        flexible = _flexibilities(own, coupling, factors)
        stiff = np.diagonal(own[0], axis1=1, axis2=2)[1:, :, None]
        growth = (np.abs(flexible[:, ::4]) * stiff).max(axis=(0, 1), initial=0.0)
        return Folded(flexible, coupling, growth)


def _flexibilities(own: Floats, coupling: Floats, factors: Complexes) -> Complexes:
    """Return X of all nodes but the first, all nine entries, (m-1, 9, f)."""
    parts, nodes = own.shape[:2]
    constant = np.zeros((nodes, 6, 6 + parts))
    constant[:-1, :, :6] = -_congruence(coupling)
    constant[:, :, 6:] = np.moveaxis(own[:, :, ROW, COLUMN], 0, 2)
    stacked = np.concatenate([np.zeros((6, factors.shape[1])), factors])
    stiff = np.empty_like(stacked[:6])
    first, second, third, fourth = np.empty((4, *stiff.shape), dtype=stiff.dtype)
    out = np.empty((nodes - 1, 9, stiff.shape[1]), dtype=stiff.dtype)
    for i in range(nodes - 1, 0, -1):
        np.matmul(constant[i], stacked.view(np.float64), out=stiff.view(np.float64))
        # Inverse of a symmetric 3 x 3 matrix: cofactors over determinant. Buffers are used again,
        # for what fits into the processor's cache is worked on several times faster.
        for entries, room in zip(COFACTORS, (first, second, third, fourth), strict=True):
            stiff.take(entries, axis=0, out=room, mode="clip")
        first *= second
        third *= fourth
        first -= third
        np.multiply(stiff[:3], first[:3], out=third[:3])
        np.multiply(first, 1 / (third[0] + third[1] + third[2]), out=stacked[:6])
        stacked.take(FULL, axis=0, out=out[i - 1], mode="clip")
    return out


def _motion(flexible: Complexes, coupling: Floats, base: Complexes) -> Complexes:
    """Return the motion of all nodes, (m, 3, f)."""
    f = flexible.shape[2]
    force = np.empty((3, f), dtype=np.complex128)
    each = np.empty((3, 3, f), dtype=np.complex128)
    out = np.empty((len(flexible) + 1, 3, f), dtype=np.complex128)
    out[0] = base if base.ndim == 2 else base[:, None]
    for i, pull in enumerate(-coupling.transpose(0, 2, 1)):
        np.matmul(pull, out[i].view(np.float64), out=force.view(np.float64))
        np.multiply(flexible[i].reshape(each.shape), force, out=each)
        np.add.reduce(each, axis=1, out=out[i + 1])
    return out


def _congruence(b: Floats) -> Floats:
    """Return the matrices (m, 6, 6) that make B X B^T of X, both as six numbers."""
    left, right = b[:, ROW], b[:, COLUMN]
    out = left[:, :, ROW] * right[:, :, COLUMN]
    out += np.where(ROW != COLUMN, left[:, :, COLUMN] * right[:, :, ROW], 0.0)
    return out
