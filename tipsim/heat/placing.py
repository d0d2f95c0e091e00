"""Which cells the watts of each cause go to."""

import numpy as np

from tipsim.heat.cells import Cells
from tipsim.heat.sources import Sources
from tipsim.heat.ways import pressed_sectors
from tipsim.motion.sections import Floats
from tipsim.setup.thermal import Press


def spread(
    sources: Sources,
    cells: Cells,
    press: Press | None,
    scale: float,
    linear: float,
    closed: Floats | None = None,
    still: bool = False,
) -> tuple[Floats, Floats]:
    """Put watts by slice into cells.

    Parameters
    ----------
    scale, linear : float
        Factors for what goes with speed squared, and with speed.
    closed : (n, m) array, optional
        Share of each cell of the annulus that is pressed shut: what its film loses warms metal
        and silicone there.
    still : bool
        Whether the chamber's fluid stands still: films on bare metal then warm the metal, from
        where heat is conducted, and not all of that fluid at once.

    Returns
    -------
    tuple of (k,) arrays
        Power that does not depend on temperature, and film power at the fluid's own [W].
        Films on bare metal heat the chamber's fluid; where there is no chamber, in air, they are
        left out, as is the loss that is not resolved.
    """
    fixed, films = np.zeros(cells.size), np.zeros(cells.size)
    w, watts = cells.weight, sources.watts
    metal, inner, annulus, bore = (cells.index[k] for k in ("metal", "inner", "annulus", "bore"))
    np.add.at(fixed, metal, scale * (watts["metal"] + watts["lens"])[:, None] * w)
    np.add.at(films, bore[:, 0], scale * watts["films_bore"])
    inside = cells.sleeved
    film = scale * watts["films_outside"][:, None] * w
    shut = np.zeros_like(film) if closed is None else closed
    there = annulus[:, 0] >= 0
    np.add.at(films, annulus[there], (film * (1 - shut))[there])
    np.add.at(films, metal[inside], 0.5 * (film * shut)[inside])
    np.add.at(films, inner[inside], 0.5 * (film * shut)[inside])
    bare = cells.wet & ~there
    if cells.chamber >= 0 and still:
        np.add.at(films, metal[bare], film[bare])
    elif cells.chamber >= 0:
        films[cells.chamber] += film[bare].sum()
    if press is not None:
        share = pressed_sectors(cells, press)
        rub = linear * watts["rubbing"][:, None] * share
        # Two surfaces share the heat of rubbing; here half and half, conduction does the rest.
        np.add.at(fixed, metal[inside], 0.5 * rub[inside])
        np.add.at(fixed, inner[inside], 0.5 * rub[inside])
        squeeze = scale * watts["squeezing"][:, None] * share
        np.add.at(fixed, inner[inside], squeeze[inside])
    return fixed, films
