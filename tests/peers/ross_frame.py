"""A straight bar in ross: a rotor at rest, cones of Timoshenko beam with consistent mass.

Its axis is z there and x in our frame; sideways along x there is sideways along y in ours. ross has
no clamp, so bars float free or lie on two bearings. Runs in a Python of its own (`apart`).
"""

from typing import Any

import numpy as np

from tests.peers.bars import Bar, Floats

FREEDOMS = 6
SIDEWAYS = 0
RIGID = 10.0
"""Below this a motion counts as rigid [Hz]."""


def rotor(bar: Bar, bearing: float = 0.0, viscous: float = 0.0) -> Any:
    """Make the rotor.

    Parameters
    ----------
    bar : Bar
        Straight; each segment becomes one conical element.
    bearing : float
        Stiffness of a bearing at each end [N/m], sideways, and lengthwise at node 0; 0 for none.
    viscous : float
        Damping matrix over stiffness matrix [s].
    """
    import ross

    if np.ptp(bar.tangent, axis=0).max() > 1e-9:
        raise ValueError("a rotor is straight")
    metal = ross.Material("metal", rho=bar.density, E=bar.young, Poisson=bar.poisson)
    shaft = [
        ross.ShaftElement(
            L=float(bar.length[i]),
            idl=2 * bar.inner[i],
            odl=2 * bar.outer[i],
            idr=2 * bar.inner[i + 1],
            odr=2 * bar.outer[i + 1],
            material=metal,
            shear_effects=bar.shear,
            rotary_inertia=bar.rotary,
            beta=viscous,
        )
        for i in range(bar.n - 1)
    ]
    ends = [(0, bearing), (bar.n - 1, 0.0)] if bearing else []
    bearings = [ross.BearingElement(n=n, kxx=bearing, cxx=0.0, kzz=along) for n, along in ends]
    return ross.Rotor(shaft, bearing_elements=bearings)


def frequencies(bar: Bar, count: int, bearing: float = 0.0) -> Floats:
    """Lowest natural frequencies at rest [Hz], rigid motions left out."""
    # Each mode comes twice; its sparse solver, the default, stumbles over the rigid motions.
    found = rotor(bar, bearing).run_modal(0, num_modes=2 * (count + FREEDOMS), sparse=False).wn
    hertz = np.sort(found) / (2 * np.pi)
    return hertz[hertz > RIGID][:count]


def response(bar: Bar, hertz: Floats, viscous: float, bearing: float) -> Floats:
    """Sideways motion of the middle node over a force there [m/N], (f,)."""
    curve = rotor(bar, bearing, viscous).run_freq_response(
        speed_range=2 * np.pi * np.asarray(hertz), free_free=True
    )
    middle = FREEDOMS * (bar.n // 2) + SIDEWAYS
    return np.asarray(curve.freq_resp[middle, middle])
