"""What a film seems to show, beside what is true: strokes, directions, frequency, error bars."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import special
from scipy.optimize import minimize_scalar

from tipsim.motion.camera.film import STILLS, Film, Take
from tipsim.motion.camera.quiet import one_thread
from tipsim.motion.camera.tracking import Track, expected, track
from tipsim.motion.camera.view import Dot
from tipsim.motion.lumped import Complexes
from tipsim.motion.markers import STILL_SHARE
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

WITH, AGAINST, ACROSS, STILL, UNCLEAR = "with", "against", "across", "still", "unclear"
"""Direction relative to the first marker in the picture; "across" is neither with nor against it,
"unclear" that a film shows nothing regular."""
GOOD, BAD, OPEN = "good", "bad", "open"
"""What a film reads is right, wrong, or left open."""
SURE = float(special.stdtrit(2 * (STILLS // 2 - 1), 0.975))
"""Standard errors either way that hold 95 % of cases if noise is normal (Student's t: the scatter
itself is known only from some pictures, along two directions each)."""
FEWEST = 3
"""Places that are needed to read anything off a track."""


@described(eq=False)
class Reading:
    """Result of one mark's track, beside the truth."""

    track: Track
    axis: Floats = about("Direction of the longest spread of the places: right, up, shape (2,).")
    along: Floats = about(
        "Places along it, from their middle [m]; NaN where the mark was not found. Shape (f,)."
    )
    seen: float | None = about("Stroke by eye: largest less smallest place along the axis [m].")
    bar: float = about(
        "Error bar of `seen`, either way [m]: scatter of the tracking in pictures at rest, "
        "twice, 95 %. It knows nothing of rate and exposure."
    )
    fitted: float | None = about(
        "Stroke of the sine that fits best at the film's apparent frequency [m]."
    )
    direction: str = about("Against the first marker, from the correlation of both paths.")
    true: float = about("Stroke of the needle's middle line in space [m].")
    true_direction: str

    @property
    def dot(self) -> Dot:
        """The mark."""
        return self.track.dot

    @property
    def outcome(self) -> str:
        """Whether the direction is "good", "bad", or "open" where none was read."""
        if self.direction == self.true_direction:
            return GOOD
        # A film that shows "unclear" shows nothing false; of a still point it cannot know more.
        if self.direction in (STILL, UNCLEAR) or self.true_direction == STILL:
            return OPEN
        return BAD

    @property
    def error(self) -> float | None:
        """Relative error of the stroke seen; None where nothing moves or nothing was found."""
        return self.seen / self.true - 1 if self.seen is not None and self.true > 0 else None


@described(eq=False)
class Measurement:
    """Results of a film."""

    readings: tuple[Reading, ...] = about("Of the marks in the picture.")
    frequency: float | None = about(
        "Frequency at which the motion seems to run [Hz]; None when nothing regular is seen."
    )


@one_thread
def preview(take: Take) -> Measurement:
    """Compute what a film should show, before it is rendered; see `tipsim...tracking.expected`.

    Costs a tenth of a film: a first answer, to be replaced by what the film shows.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> from tipsim.motion.camera import Camera, take
    >>> one = Scenario.preset("single-bend, torsional")
    >>> ahead = preview(take(solve(one).motion, one.needle, Camera(frame_rate=35e3)))
    >>> round(ahead.frequency, -2), [r.direction for r in ahead.readings]
    (3000.0, ['with', 'with', 'against', 'against', 'against'])
    """
    return _read(take, expected(take))


@one_thread
def measure(film: Film, tracks: tuple[Track, ...] | None = None) -> Measurement:
    """Compute strokes, directions and the apparent frequency from a film.

    Parameters
    ----------
    tracks : tuple of Track, optional
        Tracked now when absent.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> from tipsim.motion.camera import Camera, shoot
    >>> one = Scenario.preset("single-bend, torsional")
    >>> found = measure(shoot(solve(one).motion, one.needle, Camera(frame_rate=35e3)))
    >>> round(found.frequency, -2), [r.direction for r in found.readings]
    (3000.0, ['with', 'with', 'against', 'against', 'against'])
    """
    return _read(film, track(film) if tracks is None else tracks)


def _read(film: Take, followed: tuple[Track, ...]) -> Measurement:
    spreads = [_spread(t.places) for t in followed]
    moving = [
        along
        for t, (_, along) in zip(followed, spreads, strict=True)
        if t.is_found.sum() >= FEWEST and not _is_still(along, t.scatter)
    ]
    frequency = strongest_frequency(film.times, moving)
    readings = []
    for t, (axis, along) in zip(followed, spreads, strict=True):
        enough = t.is_found.sum() >= FEWEST
        fit = sine(film.times, along, frequency) if frequency and enough else None
        readings.append(
            Reading(
                t,
                axis,
                along,
                float(np.nanmax(along) - np.nanmin(along)) if enough else None,
                SURE * float(np.sqrt(2)) * t.scatter,
                None if fit is None else 2 * abs(fit),
                _seen_direction(t, followed[0], ACROSS if frequency else UNCLEAR),
                t.dot.stroke,
                true_direction(t.dot.amplitude, followed[0].dot.amplitude),
            )
        )
    return Measurement(tuple(readings), frequency)


def _spread(places: Floats) -> tuple[Floats, Floats]:
    """Return the direction of the longest spread of places, and where they lie along it."""
    found = np.isfinite(places[:, 0])
    if found.sum() < FEWEST:
        return np.array([0.0, 1.0]), np.full(len(places), np.nan)
    middle = places - places[found].mean(axis=0)
    axis = np.linalg.eigh(middle[found].T @ middle[found])[1][:, -1]
    axis = axis * (np.sign(axis[np.argmax(np.abs(axis))]) or 1)
    return axis, middle @ axis


def _is_still(along: Floats, scatter: float) -> bool:
    return bool(np.nanstd(along) < 2 * scatter)


def _seen_direction(one: Track, first: Track, between: str) -> str:
    both = one.is_found & first.is_found
    if both.sum() < FEWEST:
        return UNCLEAR
    a, b = (t.places[both] - t.places[both].mean(axis=0) for t in (one, first))
    if any(_is_still(_spread(t.places)[1], t.scatter) for t in (one, first)):
        return STILL
    size = float(np.sqrt((a**2).sum() * (b**2).sum()))
    return _by_likeness(float((a * b).sum()) / size, between)


def true_direction(amplitude: Complexes, first: Complexes) -> str:
    """Return how one point moves against another from their amplitudes in space, each (3,)."""
    sizes = float(np.linalg.norm(amplitude)), float(np.linalg.norm(first))
    if min(sizes) == 0 or sizes[0] < STILL_SHARE * sizes[1]:
        return STILL
    return _by_likeness(float(np.vdot(first, amplitude).real) / (sizes[0] * sizes[1]), ACROSS)


def _by_likeness(value: float, between: str) -> str:
    return WITH if value > 0.5 else AGAINST if value < -0.5 else between


def strongest_frequency(times: Floats, signals: Sequence[Floats]) -> float | None:
    """Return the frequency whose sine explains most of all signals together [Hz].

    Parameters
    ----------
    times : (f,) array
        Evenly spaced [s].
    signals : sequence of (f,) arrays
        NaN where nothing was found.

    Returns
    -------
    float or None
        Between half a cycle over the whole time and half of the rate; None when the best sine
        explains less than half of the signals.

    Examples
    --------
    >>> t = np.arange(40) / 1000
    >>> round(strongest_frequency(t, [np.cos(2 * np.pi * 123.4 * t + 1)]), 3)
    123.4
    """
    if not signals:
        return None
    rate = (len(times) - 1) / (times[-1] - times[0])
    lasting = len(times) / rate
    step = 1 / (8 * lasting)

    # Signals that were found in the same pictures are fitted together.
    groups: dict[bytes, list[Floats]] = {}
    for s in signals:
        groups.setdefault(np.isfinite(s).tobytes(), []).append(s)
    stacked = [np.stack(group, axis=1) for group in groups.values()]

    def unexplained(frequency: float) -> float:
        return sum(_unexplained(times, s, frequency) for s in stacked)

    grid = np.arange(0.5 / lasting, rate / 2 + step / 2, step)
    left = sum(_unexplained_by_each(times, s, grid) for s in stacked)
    best = float(grid[np.argmin(left)])
    low, high = max(best - step, step), min(best + step, rate / 2)
    fine = minimize_scalar(unexplained, bounds=(low, high), method="bounded").x
    winner = min(best, float(fine), key=unexplained)
    whole = sum(float(np.nansum(s**2)) for s in signals)
    return winner if unexplained(winner) < 0.5 * whole else None


def _basis(times: Floats, frequency: float) -> Floats:
    angle = 2 * np.pi * frequency * times
    return np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle)], axis=1)


def _unexplained(times: Floats, signals: Floats, frequency: float) -> float:
    """Return the sum of squares that a sine leaves of signals (f, k) with gaps in common."""
    found = np.isfinite(signals[:, 0])
    basis, values = _basis(times[found], frequency), signals[found]
    factors = np.linalg.lstsq(basis, values, rcond=1e-6)[0]
    return float(((values - basis @ factors) ** 2).sum())


def _unexplained_by_each(times: Floats, signals: Floats, frequencies: Floats) -> Floats:
    """Return the same for many frequencies at once (q,), by least squares of all together.

    By an orthogonal basis of each: a direction of less than a millionth of the longest is left out.
    """
    found = np.isfinite(signals[:, 0])
    values = signals[found]
    bases = np.stack([_basis(times[found], f) for f in frequencies])
    axes, sizes, _ = np.linalg.svd(bases, full_matrices=False)
    axes = np.where((sizes > 1e-6 * sizes[:, :1])[:, None, :], axes, 0.0)
    rest = values - axes @ (axes.transpose(0, 2, 1) @ values)
    return np.asarray((rest**2).sum(axis=(1, 2)))


def sine(times: Floats, signal: Floats, frequency: float) -> complex | None:
    """Fit a sine and a constant by least squares.

    Returns
    -------
    complex or None
        Amplitude, as of Re(u exp(i w t)); None when times and frequency leave it open: too
        little of a cycle, or exactly two pictures a cycle.

    Examples
    --------
    >>> t = np.arange(20) / 100
    >>> u = sine(t, 3 * np.cos(2 * np.pi * 7 * t), 7)
    >>> round(abs(u), 6)
    3.0
    """
    found: NDArray[np.bool_] = np.isfinite(signal)
    factors, _, rank, sizes = np.linalg.lstsq(
        _basis(times[found], frequency), signal[found], rcond=1e-6
    )
    if rank < 3 or sizes[-1] < 0.05 * sizes[0]:
        return None
    return complex(factors[1], -factors[2])
