"""How long each takes for the steady vibration over many frequencies.

Each function runs in a Python of its own with one thread (`apart`). Seconds are the processor's, of
the best of several rounds, since other work on the machine can only lengthen them.
"""

from collections.abc import Callable
from functools import partial
from time import process_time
from typing import Any

import numpy as np
from scipy.sparse import csc_array
from scipy.sparse.linalg import splu

from tests.peers import opensees_frame, ross_frame
from tests.peers.bars import Bar, Floats

FREEDOMS = 6
PUBLIC = "its matrices printed, NumPy's solver"
SPARSE: dict[str, dict[str, Any]] = {
    "its matrices at hand, SciPy's sparse LU": {},
    "the same, told that the nodes stand in order": {"permc_spec": "NATURAL"},
    "the same, without pivots, column by column": {
        "permc_spec": "NATURAL",
        "diag_pivot_thresh": 0.0,
        "relax": 1,
        "panel_size": 1,
    },
}
"""Settings of `splu`: as it is called, and the two ways that we found to be quickest."""
DRIVES = {
    "twist": np.array([0, 0, 0, 0.02, 0, 0]),
    "elliptical": np.array([10e-6, 0, 0, 0.02j, 0, 0]),
}
"""Motion of node 0 [m, rad]. Twist leaves a flat needle's plane at rest, of which ours makes use;
the elliptical one moves every freedom. The others solve for all in any case."""


def best_of(rounds: int, what: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds of the quickest round, and what the last one gave."""
    best = np.inf
    for _ in range(rounds):
        start = process_time()
        given = what()
        best = min(best, process_time() - start)
    return best, given


def ours(
    bar: Bar, hertz: Floats, loss_factor: float, drive: str, rounds: int
) -> tuple[float, Floats]:
    """Seconds for the whole, from points and radii on; displacement (f, n, 6)."""
    base = {"axial": DRIVES[drive][0], "twist": DRIVES[drive][3]}
    return best_of(
        rounds, lambda: bar.frame(loss_factor=loss_factor).sweep(hertz, base).displacement
    )


def opensees(bar: Bar, hertz: Floats, loss_factor: float, few: int, rounds: int) -> dict[str, Any]:
    """Seconds for OpenSees's matrices, solved for every frequency in several ways.

    The dense way is worked out from a few frequencies. "motion" is (f, n, 6), of the elliptical
    drive.
    """
    taken, (stiff, inert) = best_of(rounds, lambda: opensees_frame.matrices(bar, "points"))
    free, driven = slice(FREEDOMS, None), DRIVES["elliptical"]
    lossy = 1 + 1j * loss_factor
    k, m = lossy * stiff[free, free], inert[free, free]
    right = -lossy * stiff[free, :FREEDOMS] @ driven
    squares = (2 * np.pi * np.asarray(hertz)) ** 2

    def dense() -> None:
        for square in squares[:few]:
            np.linalg.solve(k - square * m, right)

    def sparse(**options: Any) -> Floats:
        a, b = csc_array(k), csc_array(m)
        return np.array([splu(a - square * b, **options).solve(right) for square in squares])

    per_frequency = best_of(rounds, dense)[0] / few
    ways = {way: best_of(rounds, partial(sparse, **told)) for way, told in SPARSE.items()}
    u = next(iter(ways.values()))[1]
    base = np.broadcast_to(driven, (len(u), FREEDOMS))
    return {
        PUBLIC: taken + per_frequency * len(squares),
        **{way: seconds for way, (seconds, _) in ways.items()},
        "motion": np.concatenate([base, u], axis=1).reshape(len(u), bar.n, FREEDOMS),
    }


def ross(bar: Bar, hertz: Floats, few: int, rounds: int) -> float:
    """Seconds of ross's `run_freq_response` for all frequencies, worked out from so many.

    Every frequency costs the same, and all of them at 150 nodes would take 15 GB.
    """
    machine = ross_frame.rotor(bar)
    # It keeps its answers, so each round asks for slightly other frequencies.
    asked = iter([2 * np.pi * hertz[:few] * (1 + 1e-6 * i) for i in range(rounds)])
    taken, _ = best_of(
        rounds, lambda: machine.run_freq_response(speed_range=next(asked), free_free=True)
    )
    return taken / few * len(hertz)


def by_nodes(bars: list[Bar], hertz: Floats, rounds: int) -> list[float]:
    """Seconds of our sweep for each bar."""
    return [ours(bar, hertz, 0.005, "twist", rounds)[0] for bar in bars]
