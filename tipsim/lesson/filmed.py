"""What a film shows of a mark that is printed on the needle's surface."""

from tipsim.motion.camera import Camera
from tipsim.motion.camera.view import AXES, scene
from tipsim.motion.travel import stroke
from tipsim.setup.errors import BadInput
from tipsim.solve import Result

SEEN = ("edge-on", "flat", "edge-on, far side", "flat, far side")
_MICRO = 1e6


def mark_stroke(result: Result, number: float, seen: str) -> float:
    """Return the stroke of a mark on the surface, in the plane of the picture.

    Parameters
    ----------
    number : float
        Of the marker whose place the mark has, from 1.
    seen : str
        "edge-on" or "flat": on the side that faces the camera there. With ", far side": on the
        opposite side of the needle, as through a clear needle.

    Returns
    -------
    float
        [µm peak to peak].

    Raises
    ------
    BadInput
        For a marker that is not there, or another view.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> result = solve(Scenario.preset("single-bend, torsional"))
    >>> [round(mark_stroke(result, 1, s)) for s in ("edge-on", "edge-on, far side")]
    [244, 16]
    """
    if seen not in SEEN:
        raise BadInput("seen", f'"{seen}"', ", ".join(SEEN))
    view, _, far = seen.partition(", ")
    dots = scene(result.motion, result.scenario.needle, Camera(view=view, marks="surface")).dots
    if number not in range(1, len(dots) + 1):
        raise BadInput("marker", f"{number:g}", f"a whole number from 1 to {len(dots)}")
    dot = dots[int(number) - 1]
    # Turning moves opposite sides opposite ways, so both together go as twice the middle line.
    moves = 2 * AXES[view][:2] @ dot.amplitude - dot.moves if far else dot.moves
    return float(stroke(moves)) * _MICRO
