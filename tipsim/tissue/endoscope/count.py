"""The program's count of specks, after a published method, with an error that it states itself.

Crocker and Grier 1996 (J Colloid Interface Sci 179:298-310): each picture is smoothed by a
Gaussian and cleared of what is wider than a speck by a mean over a square; specks are the local
extremes beyond a threshold, and their places are refined by the centroid. Specks that lie on each
other count as one: how many do follows from how many lie near each other. How many are missed is
found by a trial with specks of a known number; how many are false, by pictures without any.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import special
from scipy.ndimage import gaussian_filter, uniform_filter
from scipy.spatial import cKDTree

from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.tissue.endoscope.film import MARGIN, Drawn, Film, Pictures
from tipsim.tissue.endoscope.render import Singles

SMOOTHED = 0.8
"""Standard deviation of the Gaussian [pixels]: noise of single pixels goes, specks stay."""
REACH = 2
"""A speck is darkest within so many pixels; the mean is taken over twice as wide a square."""
THRESHOLD = 4.5
"""Specks are darker than the still pictures' scatter times this; a convention."""
RESTLESS = 1.8
"""Where still pictures scatter by more than this times their median, nothing is counted."""
MERGED, NEAR, NEIGHBOUR = 2.3, 3.2, 7.0
"""Two specks nearer than the first are one spot; how many there are is read from those between
the others [pixels]."""
SURE = 1.96
"""Standard errors either way that hold 95 %, if errors are normal."""
BACKGROUND = 4
"""Every so-manieth picture makes the background."""


@described(eq=False)
class Found:
    """Dark spots in pictures."""

    picture: NDArray[np.intp] = about("In which picture each is, shape (n,).")
    place: Floats = about("Column and row of each (n, 2) [pixels].")
    each: Floats = about("How many there are in each picture, shape (f,).")
    hidden: Floats = about("How many more lie on others, by those that lie near, shape (f,).")


@described(eq=False)
class Count:
    """Specks as counted, beside those that are there."""

    found: Found
    area: NDArray[np.bool_] = about("Where specks are counted, shape (h, w).")
    share_found: float = about("Share of known specks that the trial found.")
    false: float = about("Spots in a picture without specks.")
    seen: Floats = about("Specks in each picture by the program, shape (f,).")
    bar: Floats = about("Error bar of each, either way, 95 %, shape (f,).")
    true: Floats = about("Specks that are in each picture's counted area, shape (f,).")
    mean: float = about("Mean of `seen`, and its error bar.")
    mean_bar: float
    true_mean: float = about("Mean of `true`.")
    rate: float = about(
        "Specks set free in a second by the program: its count over that of the trial, in which "
        "the number is known [1/s]; and its relative standard error from the trial alone."
    )
    rate_error: float
    crowding: float = about("Share of specks that a neighbour hides, by their number.")

    @property
    def holds(self) -> bool:
        """Whether the true mean lies within the stated error."""
        return abs(self.mean - self.true_mean) <= self.mean_bar


def filtered(pictures: Pictures, background: Singles) -> Singles:
    """Return how much darker than around each place is, specks standing out [levels]."""
    change = background - pictures.astype(np.float32)
    smooth = gaussian_filter(change, (0, SMOOTHED, SMOOTHED), truncate=3.0)
    size = 4 * REACH + 1
    return np.asarray(smooth - uniform_filter(change, (0, size, size)))


def spots(signal: Singles, limit: Singles, area: NDArray[np.bool_]) -> Found:
    """Return the places where a filtered signal has a peak above a limit within an area."""
    frames, rows, columns = signal.shape
    above = (signal > limit) & area
    above[:, :REACH] = above[:, rows - REACH :] = False
    above[:, :, :REACH] = above[:, :, columns - REACH :] = False
    f, y, x = np.nonzero(above)
    span = np.arange(-REACH, REACH + 1)
    window = signal[
        f[:, None, None], y[:, None, None] + span[:, None], x[:, None, None] + span[None, :]
    ]
    is_peak = window.max(axis=(1, 2), initial=0.0) <= signal[f, y, x]
    f, y, x, window = f[is_peak], y[is_peak], x[is_peak], np.maximum(window[is_peak], 0)
    mass = np.maximum(window.sum(axis=(1, 2)), 1e-9)
    dx, dy = (window * span).sum(axis=(1, 2)) / mass, (window * span[:, None]).sum((1, 2)) / mass
    place = np.stack([x + dx, y + dy], axis=1)
    each = np.bincount(f, minlength=frames).astype(np.float64)
    return Found(f, place, each, merged(f, place, frames))


def merged(picture: NDArray[np.intp], place: Floats, frames: int) -> Floats:
    """Return how many spots lie on others in each picture, on average, from pairs of neighbours.

    Specks that are spread at random make pairs in proportion to the area between two distances.
    """
    if len(picture) < 2:
        return np.zeros(frames)
    apart = np.column_stack([place, picture * 1e4])
    pairs = cKDTree(apart).query_pairs(NEIGHBOUR, output_type="ndarray")
    far = np.linalg.norm(place[pairs[:, 0]] - place[pairs[:, 1]], axis=1)
    kept = picture[pairs[far > NEAR, 0]]
    share = MERGED**2 / (NEIGHBOUR**2 - NEAR**2)
    return np.bincount(kept, minlength=frames).astype(np.float64) * share


def count(film: Film) -> Count:
    """Count the specks of a film.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> from tipsim.setup.scenario import Scenario
    >>> from tipsim.tissue.endoscope.film import shoot
    >>> one = Scenario.preset("single-bend, torsional").with_(**{"eye.iris_gap": 0.1e-3})
    >>> found = count(shoot(one, run(one)))
    >>> 0.5 < found.mean / found.true_mean < 1.5
    True
    """
    still = np.median(film.stills, axis=0).astype(np.float32)
    quiet = filtered(film.stills, still)
    scatter = np.sqrt(uniform_filter((quiet**2).mean(axis=0), 3))
    usual = float(np.median(scatter))
    area = _area(film, scatter < RESTLESS * usual)
    limit = np.maximum(THRESHOLD * scatter, 1.0).astype(np.float32)
    false = spots(quiet, limit, area)
    tried = spots(filtered(film.trial, still), limit, area)
    moving = np.median(film.pictures[::BACKGROUND], axis=0).astype(np.float32)
    found = spots(filtered(film.pictures, moving), limit, area)
    known, true = in_area(film.planted, area), in_area(film.drawn, area)
    trial = tried.each + tried.hidden - false.each.mean()
    share, share_bar, noise = efficiency(trial, known)
    of_trial = max(float(trial.mean()), 0.05)
    seen = np.maximum(found.each + found.hidden - false.each.mean(), 0) / share
    # The correction for hidden ones is known to about its half.
    single = np.sqrt(noise * np.maximum(seen, 1) + (found.hidden / 2) ** 2) / share
    mean = float(seen.mean())
    # A speck that is missed in one picture is as a rule missed in the next ones too.
    alone = max(len(seen) / _stay(film), 1.0)
    false_bar = float(false.each.std()) / np.sqrt(len(false.each)) / share
    steps = (single.mean() / np.sqrt(alone), mean * share_bar / share, false_bar)
    return Count(
        found,
        area,
        share,
        float(false.each.mean()),
        seen,
        SURE * single,
        true,
        mean,
        SURE * float(np.sqrt(sum(s**2 for s in steps))),
        float(true.mean()),
        mean * share / of_trial * film.planted_rate,
        float(trial.std() / np.sqrt(len(trial))) / of_trial,
        crowding(film.drawn, area),
    )


def _area(film: Film, quiet: NDArray[np.bool_]) -> NDArray[np.bool_]:
    rows, columns = film.look.lens.shape
    area = np.zeros((rows, columns), dtype=np.bool_)
    area[MARGIN : rows - MARGIN, MARGIN : columns - MARGIN] = True
    return np.asarray(area & quiet)


def _stay(film: Film) -> float:
    """Return for how many pictures a speck is in view, about."""
    across = film.setting.distance * film.setting.field / 2
    return max(1.0, across / film.release.stream * film.setting.frame_rate)


def in_area(drawn: Drawn, area: NDArray[np.bool_]) -> Floats:
    """Return how many specks lie in an area in each picture, shape (f,)."""
    rows, columns = area.shape
    x, y = (drawn.spots[:, i].round().astype(np.intp) for i in (0, 1))
    inside = area[np.clip(y, 0, rows - 1), np.clip(x, 0, columns - 1)]
    frames = len(drawn.veil)
    return np.bincount(drawn.picture[inside], minlength=frames).astype(np.float64)


def efficiency(found: Floats, known: Floats) -> tuple[float, float, float]:
    """Return the share found, its standard error, and the variance of a count per speck.

    Parameters
    ----------
    found, known : (f,) array
        Spots found and specks put into each picture.

    Examples
    --------
    >>> share, error, noise = efficiency(np.array([9.0, 11, 10, 10]), np.full(4, 20.0))
    >>> share, round(error, 3)  # No less than by chance: the root of 0.5 · 0.5 / 80.
    (0.5, 0.056)
    """
    total = max(float(known.sum()), 1.0)
    share = float(np.clip(found.sum() / total, 0.02, 2.0))
    rest = found - share * known
    noise = max(float((rest**2).sum()) / total, share * max(1 - share, 0.02))
    return share, float(np.sqrt(noise / total)), noise


def crowding(drawn: Drawn, area: NDArray[np.bool_]) -> float:
    """Return the share of specks that lie closer to another than the program can part.

    For specks spread evenly: 1 - exp(-n a), n their number over the counted area, a the area
    within which a neighbour counts as the same one.
    """
    density = float(in_area(drawn, area).max(initial=0.0)) / max(int(area.sum()), 1)
    return float(-special.expm1(-density * np.pi * REACH**2))
