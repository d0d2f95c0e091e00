"""Response of a needle over frequency: where it resonates, and where the drive sits."""

import numpy as np

from tipsim.motion.assembly import assemble
from tipsim.motion.character import shaft_nodes, shaft_rms
from tipsim.motion.eigen import Modes
from tipsim.motion.run import hub_motion
from tipsim.motion.sections import Floats
from tipsim.motion.travel import stroke
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario

LOW, HIGH, COUNT = 10e3, 60e3, 400
"""Range [Hz] and number of frequencies of a response curve."""


@described(eq=False)
class Response:
    """Strokes and hub load over frequency, at the drive's hub motion."""

    frequency: Floats = about("Frequencies [Hz], shape (f,).")
    end: Floats = about("End stroke, and shaft's sideways rms over place and time [m], shape (f,).")
    shaft: Floats
    torque: Floats = about("Amplitudes at the hub, about and along its axis [N m, N], shape (f,).")
    force: Floats
    power: Floats = about("Mean power in [W], shape (f,).")
    peaks: tuple[float, ...] = about("Frequencies where the end stroke peaks [Hz].")


def response(scenario: Scenario, frequencies: Floats | None = None) -> Response:
    """Sweep the drive's frequency with everything else as it is.

    Parameters
    ----------
    scenario : Scenario
        A support's dashpot keeps the value that it has at the drive's own frequency.
    frequencies : (f,) array, optional
        Frequencies [Hz]; 400 from 10 to 60 kHz when absent.

    Examples
    --------
    >>> curve = response(Scenario.preset("counter-bent, torsional"))
    >>> len(curve.frequency), len(curve.peaks) > 0
    (400, True)
    """
    # Only now: this package takes half a second to load.
    from scipy.signal import find_peaks

    f = np.linspace(LOW, HIGH, COUNT) if frequencies is None else frequencies
    frame = assemble(scenario)
    base = hub_motion(scenario)
    swept = frame.sweep(f, base)
    shaft = shaft_nodes(frame.s, scenario.needle.taper_length, scenario.needle.first_bend)
    t = frame.node_tangent[0]
    end = stroke(swept.displacement[:, -1, :3])
    return Response(
        f,
        end,
        shaft_rms(frame, shaft, swept.displacement[..., :3]),
        np.abs(swept.reaction[:, 3:] @ t),
        np.abs(swept.reaction[:, :3] @ t),
        swept.power_in,
        tuple(float(f[i]) for i in find_peaks(end, prominence=0.05 * end.max(initial=0))[0]),
    )


def natural_modes(scenario: Scenario, highest: float = HIGH) -> Modes:
    """Return the needle's modes, hub held, with its fluid, up to a frequency [Hz]."""
    modes = assemble(scenario).modes(16)
    keep = modes.frequency <= highest
    return Modes(modes.frequency[keep], modes.shape[keep])
