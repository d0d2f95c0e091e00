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
    # At q = 0 and at the larger of both flows the two sides lie on different sides of each other.
    low, high = min(0.0, supply, drawn), max(0.0, supply, drawn)
    q = (low + high) / 2
    for _ in range(_ROUNDS):
        off = hole.drop(q) - onward.drop(supply - q) - mouth.drop(drawn - q)
        if off > 0:
            high = q
        else:
            low = q
        slope = hole.slope(q) + onward.slope(supply - q) + mouth.slope(drawn - q)
        step = off / slope
        if abs(step) < _FINE or high - low < _FINE:
            break
        q = q - step if low < q - step < high else (low + high) / 2
    return q
