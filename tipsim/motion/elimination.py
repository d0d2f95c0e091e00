"""A chain of nodes with three freedoms each, solved at many frequencies at once.

Outward from the driven node the equations are block-tridiagonal and symmetric. From the far end
inwards each node sees what hangs on it as one more stiffness, and then the motion goes outwards:

    S_i = D_i(w) - B_i X_{i+1} B_i^T,   X_i = 1 / S_i,   u_{i+1} = -X_{i+1} B_i^T u_i

(block Gauss elimination; in vibration also known as the Riccati form of the transfer matrices,
Horner and Pilkey 1978, from memory). Once all is divided by 1 + i eta, the couplings B and all
parts of D are real and the same at every frequency, so that S of a node at all frequencies is one
real matrix product with X of the node before and the factors of the parts stacked below it.
Symmetric 3 x 3 blocks are kept as their six numbers 00 01 02 11 12 22.

Rows are never exchanged. What that costs is told by the growth, see `Outward`.
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
class Outward:
    """Motion of a chain whose first node moves as told."""

    motion: Complexes = about("Amplitudes of all nodes, the driven one first, shape (m, 3, f).")
    growth: Floats = about(
        "Largest stiffness of a freedom times its flexibility with what hangs on it, both with "
        "the node before held. About 10 as a rule; at a resonance of such a part without loss "
        "it is infinite. The relative error of the motion is about 1e-16 times its square. "
        "Shape (f,)."
    )


def outward(own: Floats, coupling: Floats, factors: Complexes, base: Complexes) -> Outward:
    """Solve a chain at all frequencies.

    Parameters
    ----------
    own : (k, m, 3, 3) array
        Symmetric matrices of each node, the driven one first; of k parts, the stiffness first.
    coupling : (m-1, 3, 3) array
        Stiffness between each node (rows) and the next (columns).
    factors : (k, f) complex array
        What each part is times at each frequency.
    base : (3,) complex array
        Motion of the first node.

    Examples
    --------
    A node on springs, 3 N/m to the ground and 1 N/m to a node that moves by 1 m:

    >>> own = np.array([[np.eye(3), 4 * np.eye(3)]])
    >>> chain = outward(own, -np.eye(3)[None], np.ones((1, 2), complex), np.ones(3))
    >>> chain.motion[1].real.tolist()
    [[0.25, 0.25], [0.25, 0.25], [0.25, 0.25]]
    """
    # Where a block cannot be inverted, numbers that are none follow, and the growth tells.
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        flexible = _flexibilities(own, coupling, factors)
        stiff = np.diagonal(own[0], axis1=1, axis2=2)[1:, :, None]
        growth = (np.abs(flexible[:, ::4]) * stiff).max(axis=(0, 1), initial=0.0)
        return Outward(_motion(flexible, coupling, base), growth)


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
    out[0] = base[:, None]
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
