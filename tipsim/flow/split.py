"""How flow parts between the mouth and the bypass hole."""

from tipsim.flow.path import Path

_ROUNDS = 60
_FINE = 1e-19
"""Flows are found to this [m³/s]."""


def through_hole(hole: Path, onward: Path, mouth: Path, supply: float, drawn: float) -> float:
    """Return the flow through the bypass hole [m³/s].

    Parameters
    ----------
    hole, onward, mouth : Path
        Through the hole; down the sleeve to the chamber; from the chamber up the bore to the hole.
    supply, drawn : float
        Flow that comes down the sleeve, and that goes up the bore above the hole [m³/s].

    Returns
    -------
    float
        q with hole(q) = onward(supply - q) + mouth(drawn - q); one such q, as the left grows
        with it and the right falls.

    Examples
    --------
    >>> hole, way = Path(0.0, 1e17), Path(1e9)
    >>> q = through_hole(hole, way, way, 5e-7, 4e-7)
    >>> round(hole.drop(q) / (way.drop(5e-7 - q) + way.drop(4e-7 - q)), 9)
    1.0
    """
    # In plain numbers, as this stands inside the solver's every step.
    r_hole, k_hole, r_mouth, k_mouth = hole.linear, hole.square, mouth.linear, mouth.square
    r_onward, k_onward = onward.linear, onward.square
    # At q = 0 and at the larger of both flows the two sides lie on different sides of each other.
    low, high = min(0.0, supply, drawn), max(0.0, supply, drawn)
    q = (low + high) / 2
    for _ in range(_ROUNDS):
        down, up = supply - q, drawn - q
        by_hole, by_down, by_up = k_hole * abs(q), k_onward * abs(down), k_mouth * abs(up)
        off = (r_hole + by_hole) * q - (r_onward + by_down) * down - (r_mouth + by_up) * up
        if off > 0:
            high = q
        else:
            low = q
        step = off / (r_hole + r_onward + r_mouth + 2 * (by_hole + by_down + by_up))
        if abs(step) < _FINE or high - low < _FINE:
            break
        q = q - step if low < q - step < high else (low + high) / 2
    return q
