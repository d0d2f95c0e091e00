"""A bar in OpenSeesPy: its beam elements, its nodal masses, its eigen solver, its matrices.

Runs in a Python of its own (`apart`), for OpenSees keeps one model in global state.
"""

import ctypes
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

from tests.peers.bars import Bar, Floats

LINEAR, FIRST_EXTRA, GROUND = "Linear", 100_000, 99_999
FREEDOMS = 6


def opensees() -> Any:
    """Import it, together with the libraries in its wheel that its loader does not find."""
    spec = find_spec("openseespylinux")
    if spec and spec.origin:
        folder = Path(spec.origin).parent / "lib"
        # Each needs those before it; the wheel's own search path is not handed down to them.
        for name in ("libquadmath.so.*", "libgfortran.so.*", "libblas.so.*", "liblapack.so.*"):
            for library in folder.glob(name):
                ctypes.CDLL(str(library), mode=ctypes.RTLD_GLOBAL)
    import openseespy.opensees as ops

    return ops


def build(ops: Any, bar: Bar, mass: str, hold: bool = True) -> None:
    """Make the model.

    Parameters
    ----------
    ops : module
    bar : Bar
    mass : str
        "diagonal": at nodes, diagonal in space, as OpenSees has it; inertia of rotation is exact
        only along the axes. "points": the same mass as points around each node, held to it by
        rigid links, for any direction. "consistent": the elements' own.
    hold : bool
        Whether node 0 is clamped.
    """
    ops.wipe()
    ops.model("basic", "-ndm", 3, "-ndf", FREEDOMS)
    for i, point in enumerate(bar.points):
        ops.node(i, *map(float, point))
    if hold:
        ops.fix(0, *[1] * FREEDOMS)
    _elements(ops, bar, mass == "consistent")
    if mass == "points":
        _point_masses(ops, bar)
    elif mass == "diagonal":
        for i, six in enumerate(diagonal_masses(bar)):
            ops.mass(i, *map(float, six))


def section(bar: Bar) -> dict[str, Floats]:
    """Properties of each segment's mean section, worked out here once more."""
    b, a = ((r[1:] + r[:-1]) / 2 for r in (bar.outer, bar.inner))
    area, inertia = np.pi * (b**2 - a**2), np.pi / 4 * (b**4 - a**4)
    m2 = (a / b) ** 2
    kappa = 6 * (1 + bar.poisson) * (1 + m2) ** 2
    kappa /= (7 + 6 * bar.poisson) * (1 + m2) ** 2 + (20 + 12 * bar.poisson) * m2
    return {"area": area, "inertia": inertia, "polar": 2 * inertia, "kappa": kappa}


def diagonal_masses(bar: Bar) -> Floats:
    """Mass and inertia at nodes along the axes of space, (n, 6)."""
    p = section(bar)
    half = bar.density * bar.length / 2
    along = bar.tangent**2
    cross = p["inertia"] if bar.rotary else 0 * p["inertia"]
    turning = along * p["polar"][:, None] + (1 - along) * cross[:, None]
    each = half[:, None] * np.hstack([np.repeat(p["area"][:, None], 3, axis=1), turning])
    out = np.zeros((bar.n, FREEDOMS))
    out[:-1] += each
    out[1:] += each
    return out


def _elements(ops: Any, bar: Bar, consistent: bool) -> None:
    p = section(bar)
    for i, t in enumerate(bar.tangent):
        axis = np.eye(3)[np.argmin(np.abs(t))]
        ops.geomTransf(LINEAR, i, *axis)
        area, inertia, polar = (float(p[k][i]) for k in ("area", "inertia", "polar"))
        own = ["-mass", bar.density * area, "-cMass"] if consistent else []
        common = (bar.young, bar.rigidity)
        if bar.shear:
            shear = float(p["kappa"][i]) * area
            values = (*common, area, polar, inertia, inertia, shear, shear)
            ops.element("ElasticTimoshenkoBeam", i, i, i + 1, *values, i, *own)
        else:
            values = (area, *common, polar, inertia, inertia)
            ops.element("elasticBeamColumn", i, i, i + 1, *values, i, *own)


def _point_masses(ops: Any, bar: Bar) -> None:
    """Return each half segment's mass shared between four points across it.

    At the polar radius of gyration they have its polar inertia, and half of that across: as a
    round section has. The tensor of any direction then comes from OpenSees's own constraints.
    """
    p = section(bar)
    reach = np.sqrt(p["polar"] / p["area"])
    tag = FIRST_EXTRA
    for i, t in enumerate(bar.tangent):
        one = np.cross(t, np.eye(3)[np.argmin(np.abs(t))])
        one /= np.linalg.norm(one)
        mass = float(bar.density * p["area"][i] * bar.length[i] / 2 / 4)
        for node in (i, i + 1):
            for way in (one, -one, np.cross(t, one), -np.cross(t, one)):
                ops.node(tag, *map(float, bar.points[node] + reach[i] * way))
                ops.mass(tag, mass, mass, mass, 0.0, 0.0, 0.0)
                ops.rigidLink("beam", node, tag)
                tag += 1


def frequencies(bar: Bar, mass: str, count: int) -> Floats:
    """Lowest natural frequencies of the clamped bar [Hz], by OpenSees's own eigen solver."""
    ops = opensees()
    build(ops, bar, mass)
    _analysis(ops, "BandGeneral")
    return np.sqrt(np.array(ops.eigen(count))) / (2 * np.pi)


def frequencies_on_springs(bar: Bar, mass: str, count: int, springs: tuple[float, float]) -> Floats:
    """The same with node 0 held along and about x, and on springs across [N/m, N m/rad]."""
    ops = opensees()
    build(ops, bar, mass, hold=False)
    ops.fix(0, 1, 0, 0, 1, 0, 0)
    _springs(ops, bar, springs)
    _analysis(ops, "BandGeneral")
    return np.sqrt(np.array(ops.eigen(count))) / (2 * np.pi)


def _springs(ops: Any, bar: Bar, springs: tuple[float, float]) -> None:
    """Add elements without length between node 0 and the ground, across x."""
    side, tilt = springs
    ops.node(GROUND, *map(float, bar.points[0]))
    ops.fix(GROUND, *[1] * FREEDOMS)
    for tag, value in ((1, side), (2, tilt)):
        ops.uniaxialMaterial("Elastic", tag, value)
    ops.element("zeroLength", GROUND, GROUND, 0, "-mat", 1, 1, 2, 2, "-dir", 2, 3, 5, 6)


def response_on_springs(
    bar: Bar, mass: str, hertz: Floats, loss_factor: float, along: Floats, springs: Floats
) -> tuple[Floats, Floats]:
    """As `response`, node 0 moved along and about x only, (2,), and on springs across.

    The loss is the bar's, so the springs are added to its printed stiffness.
    """
    stiff, inert = matrices(bar, mass)
    (on_springs, _) = matrices(bar, mass, tuple(map(float, springs)))
    own = on_springs - stiff
    held = np.array([0, 3])
    free = np.setdiff1d(np.arange(len(stiff)), held)
    moving, force = [], []
    for w in 2 * np.pi * np.asarray(hertz):
        needle = (1 + 1j * loss_factor) * stiff - w**2 * inert
        dynamic = needle + own
        u = np.zeros(len(stiff), dtype=complex)
        u[held] = along
        u[free] = np.linalg.solve(dynamic[np.ix_(free, free)], -dynamic[np.ix_(free, held)] @ along)
        moving.append(u.reshape(bar.n, FREEDOMS))
        force.append(needle[:FREEDOMS] @ u)
    return np.array(moving), np.array(force)


def matrices(
    bar: Bar, mass: str, springs: tuple[float, float] | None = None
) -> tuple[Floats, Floats]:
    """Stiffness and mass of the bar, nothing held, six freedoms a node in order, (6n, 6n)."""
    ops = opensees()
    build(ops, bar, mass, hold=False)
    if springs is not None:
        _springs(ops, bar, springs)
    stiff, inert = (_printed(ops, *factors) for factors in ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))
    order = np.concatenate([ops.nodeDOFs(i) for i in range(bar.n)])
    return stiff[np.ix_(order, order)], inert[np.ix_(order, order)]


def _printed(ops: Any, *factors: float) -> Floats:
    """Print the sum of mass, damping and stiffness by these factors."""
    _analysis(ops, "FullGeneral")
    ops.integrator("GimmeMCK", *factors)
    ops.analysis("Transient")
    ops.analyze(1, 0.0)
    size = ops.systemSize()
    return np.array(ops.printA("-ret")).reshape(size, size)


def response(
    bar: Bar, mass: str, hertz: Floats, loss_factor: float, base: Floats
) -> tuple[Floats, Floats]:
    """Motion (f, n, 6) and force at node 0 (f, 6) when that node moves by six amplitudes [m, rad].

    OpenSees has no harmonic analysis: its printed matrices are solved as they are, densely, with E
    and G times 1 + i times the loss factor. Time as exp(+i w t), frequencies in Hz.
    """
    stiff, inert = matrices(bar, mass)
    moving, force = [], []
    for w in 2 * np.pi * np.asarray(hertz):
        dynamic = (1 + 1j * loss_factor) * stiff - w**2 * inert
        right = -dynamic[FREEDOMS:, :FREEDOMS] @ base
        u = np.concatenate([base, np.linalg.solve(dynamic[FREEDOMS:, FREEDOMS:], right)])
        moving.append(u.reshape(bar.n, FREEDOMS))
        force.append(dynamic[:FREEDOMS] @ u)
    return np.array(moving), np.array(force)


def transient(
    bar: Bar, hertz: float, damping: tuple[float, float], force: Floats, cycles: int, steps: int
) -> Floats:
    """Complex amplitude of the last node under a force there, (6,), by steps in time.

    The clamped bar starts from rest and runs for so many cycles of so many steps, of which the last
    two count. Its damping is mass and stiffness by two factors [1/s, s].
    """
    ops = opensees()
    end, w = bar.n - 1, 2 * np.pi * hertz
    build(ops, bar, "diagonal")
    ops.timeSeries("Trig", 1, 0.0, 2.0 * cycles / hertz, 1 / hertz)
    ops.pattern("Plain", 1, 1)
    ops.load(end, *map(float, force))
    ops.rayleigh(*damping, 0.0, 0.0)
    _analysis(ops, "BandGeneral")
    ops.integrator("Newmark", 0.5, 0.25)
    ops.analysis("Transient")
    if ops.analyze((cycles - 2) * steps, 1 / hertz / steps):
        raise RuntimeError("OpenSees's transient analysis failed")
    seen = []
    for _ in range(2 * steps):
        ops.analyze(1, 1 / hertz / steps)
        seen.append([ops.getTime(), *ops.nodeDisp(end)])
    t, u = np.array(seen)[:, 0], np.array(seen)[:, 1:]
    # The force is a sine: the imaginary part of exp(i w t).
    return 1j * np.mean(u * np.exp(-1j * w * t)[:, None], axis=0) * 2


def _analysis(ops: Any, system: str) -> None:
    ops.wipeAnalysis()
    ops.constraints("Transformation")
    ops.numberer("Plain")
    ops.system(system)
    ops.algorithm(LINEAR)


def section_forces(bar: Bar, moved: Floats) -> Floats:
    """Forces and moments of each segment on its two nodes where the nodes are put, (n-1, 12).

    `moved` (n, 6) may be complex: its parts are put in place one after the other.
    """
    ops = opensees()
    build(ops, bar, "diagonal", hold=False)
    parts = []
    for part in (np.real(moved), np.imag(moved)):
        for node, six in enumerate(part):
            for freedom, value in enumerate(six):
                ops.setNodeDisp(node, freedom + 1, float(value), "-commit")
        ops.updateElementDomain()
        parts.append([ops.eleResponse(i, "globalForce") for i in range(bar.n - 1)])
    return np.array(parts[0]) + 1j * np.array(parts[1])
