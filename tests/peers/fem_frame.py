"""A bar in scikit-fem: continuous beams, written as weak forms, on elements of high order.

Two formulations, both other than our frame's lumped masses and exact segments:

- A beam in space that yields in length, shear, bending and twist. Fields are the displacement u
  and the rotation r along the line; with the tangent t, stretch and slide are u' + t x r, curvature
  is r', less what leaning fibres of a cone put into slide. No local axes and no stiffness matrix of
  a beam appear; mass is continuous.
- A straight beam without shear: cubic Hermite elements for bending, quadratic ones for length and
  twist.

Radii run linearly between nodes, so a cone is a cone here.
"""

from typing import Any

import numpy as np
from scipy.sparse.linalg import eigsh

from tests.peers.bars import Bar, Floats

ORDER = 4
"""Polynomials in space: at this order shear does not lock."""
FIELDS = 6


def _properties(bar: Bar, x: Floats) -> dict[str, Any]:
    """Stiffness and mass per metre at distances from the first node [m]."""
    s = np.concatenate([[0], np.cumsum(bar.length)])
    b, a = np.interp(x, s, bar.outer), np.interp(x, s, bar.inner)
    area, inertia = np.pi * (b**2 - a**2), np.pi / 4 * (b**4 - a**4)
    ring, hole = (a**2 + b**2) ** 2, a**2 * b**2
    nu = bar.poisson
    kappa = 6 * (1 + nu) * ring / ((7 + 6 * nu) * ring + (20 + 12 * nu) * hole)
    where = np.clip(np.searchsorted(s, x, side="right") - 1, 0, bar.n - 2)
    # Fibres of a cone lean from 0 at its straight bore to the outside's slope, and carry shear.
    slope = np.diff(bar.outer)[where] / bar.length[where]
    leaned = slope * np.pi * ((b**4 - a**4) / 4 - a * (b**3 - a**3) / 3) / (b - a)
    return {
        "tangent": np.moveaxis(bar.tangent[where], -1, 0),
        "lean": leaned / inertia,
        "stretch": bar.young * area,
        "slide": kappa * bar.rigidity * area,
        "twist": 2 * bar.rigidity * inertia,
        "bend": bar.young * inertia,
        "mass": bar.density * area,
        "polar": 2 * bar.density * inertia,
        "cross": bar.density * inertia * bar.rotary,
    }


def _split(along: Any, across: Any, t: Any, a: Any, b: Any) -> Any:
    """A quadratic form with one factor along the tangent and another across it."""
    at, bt = (a * t).sum(axis=0), (b * t).sum(axis=0)
    return along * at * bt + across * ((a * b).sum(axis=0) - at * bt)


def assemble(bar: Bar) -> tuple[Any, Any, Any]:
    """Return the basis, stiffness and mass of a bar in space, an element for each segment."""
    import skfem

    if not bar.shear:
        raise ValueError("this beam always yields in shear")
    s = np.concatenate([[0], np.cumsum(bar.length)])
    element = skfem.ElementVector(skfem.ElementLinePp(ORDER), dim=FIELDS)
    basis = skfem.Basis(skfem.MeshLine(s), element, intorder=2 * ORDER + 2)

    def stiffness(u: Any, v: Any, w: Any) -> Any:
        p = _properties(bar, w.x[0])
        t = p["tangent"]
        du, dv = u.grad[:, 0], v.grad[:, 0]
        strain, virtual = (
            d[:3] + np.cross(t, np.asarray(f)[3:], axis=0) for d, f in ((du, u), (dv, v))
        )
        bent, turned = (
            d[3:] - p["lean"] * np.cross(t, e, axis=0) for d, e in ((du, strain), (dv, virtual))
        )
        return _split(p["stretch"], p["slide"], t, strain, virtual) + _split(
            p["twist"], p["bend"], t, bent, turned
        )

    def mass(u: Any, v: Any, w: Any) -> Any:
        p = _properties(bar, w.x[0])
        a, b = np.asarray(u), np.asarray(v)
        moving = p["mass"] * (a[:3] * b[:3]).sum(axis=0)
        return moving + _split(p["polar"], p["cross"], p["tangent"], a[3:], b[3:])

    return basis, *(skfem.BilinearForm(f).assemble(basis).tocsc() for f in (stiffness, mass))


def frequencies(bar: Bar, count: int) -> Floats:
    """Lowest natural frequencies of the bar in space, clamped at node 0 [Hz]."""
    basis, k, m = assemble(bar)
    return _lowest(k, m, _clamped(basis), count)


def _clamped(basis: Any) -> Any:
    return basis.get_dofs(lambda x: x[0] == 0).flatten()


def _lowest(k: Any, m: Any, held: Floats, count: int) -> Floats:
    free = np.setdiff1d(np.arange(k.shape[0]), held)
    k, m = (a[free][:, free] for a in (k, m))
    start = np.random.default_rng(0).standard_normal(len(free))
    squared = eigsh(k, count, M=m, sigma=0, v0=start, return_eigenvectors=False)
    return np.sqrt(np.sort(squared)) / (2 * np.pi)


def straight_frequencies(bar: Bar, count: int) -> Floats:
    """Lowest natural frequencies of a straight bar without shear, clamped at node 0 [Hz].

    Bending comes twice, once in each plane.
    """
    import skfem
    from skfem.helpers import dd, ddot

    if bar.shear or np.ptp(bar.tangent, axis=0).max() > 1e-9:
        raise ValueError("this beam is straight and does not yield in shear")
    s = np.concatenate([[0], np.cumsum(bar.length)])
    mesh = skfem.MeshLine(s)

    def lowest(element: Any, stiffness: Any, mass: Any) -> Floats:
        basis = skfem.Basis(mesh, element, intorder=8)
        k, m = (skfem.BilinearForm(f).assemble(basis).tocsc() for f in (stiffness, mass))
        return _lowest(k, m, _clamped(basis), count)

    def of(name: str, w: Any) -> Any:
        return _properties(bar, w.x[0])[name]

    bending = lowest(
        skfem.ElementLineHermite(),
        lambda u, v, w: of("bend", w) * ddot(dd(u), dd(v)),
        lambda u, v, w: of("mass", w) * u * v + of("cross", w) * u.grad[0] * v.grad[0],
    )
    lengthwise, turning = (
        lowest(
            skfem.ElementLineP2(),
            lambda u, v, w, stiff=stiff: of(stiff, w) * u.grad[0] * v.grad[0],
            lambda u, v, w, inert=inert: of(inert, w) * u * v,
        )
        for stiff, inert in (("stretch", "mass"), ("twist", "polar"))
    )
    return np.sort(np.concatenate([bending, bending, lengthwise, turning]))[:count]


def response(bar: Bar, frequencies: Floats, loss_factor: float, base: Floats) -> Floats:
    """Motion of the last node, (f, 6), when node 0 moves by six amplitudes [m, rad].

    E and G are multiplied by 1 + i times the loss factor; time as exp(+i w t), frequencies in Hz.
    """
    from scipy.sparse.linalg import splu

    basis, k, m = assemble(bar)
    held = basis.get_dofs(lambda x: x[0] == 0)
    end = basis.get_dofs(lambda x: x[0] == basis.mesh.p.max())
    driver, last = (
        np.concatenate([d.nodal[f"u^{i + 1}"] for i in range(FIELDS)]) for d in (held, end)
    )
    free = np.setdiff1d(np.arange(k.shape[0]), driver)
    out = np.empty((len(frequencies), FIELDS), dtype=complex)
    for i, w in enumerate(2 * np.pi * np.asarray(frequencies)):
        d = ((1 + 1j * loss_factor) * k - w**2 * m).tocsc()
        u = np.zeros(d.shape[0], dtype=complex)
        u[driver] = base
        u[free] = splu(d[free][:, free]).solve(-(d[free][:, driver] @ base))
        out[i] = u[last]
    return out
