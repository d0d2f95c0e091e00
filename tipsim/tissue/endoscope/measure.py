"""What the program reads from a film, each beside what is true and with an error bar."""

from typing import Any

import numpy as np
from scipy import special
from scipy.optimize import minimize_scalar

from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.scenario import Scenario
from tipsim.tissue.endoscope.count import SURE, Count, count
from tipsim.tissue.endoscope.film import STILLS, Film, shoot
from tipsim.tissue.endoscope.specks import STEP

WINDOW = 2.2
"""The mark's blur is measured within so many of its radii."""
PAD = 8
"""Pixels by which pictures are mirrored at their rim, so that a smear brings nothing in there."""
BLOCKS = 8
"""Stretches of a film by whose scatter the error of a mean is judged."""
WIDER = float(special.stdtrit(BLOCKS - 1, 0.975)) / SURE
"""Student's t for so few stretches, over its value for many."""


@described()
class Blur:
    """How far the mark is smeared along its path, measured and true."""

    seen: float = about("Stroke by the smear, with the program's scale [m].")
    bar: float = about("Its error bar, either way, 95 %, from pictures at rest [m].")
    true: float = about("Stroke of the sleeve's surface at the mark [m], peak to peak.")
    across: float = about("The same across the line of sight [m].")
    scale: float = about("The program's scale over the true one at the mark [no unit].")
    inside: bool = about("Whether the mark is in the picture.")


@described(eq=False)
class Brightness:
    """How much darker than with the drive off a region is."""

    seen: Floats = about("Share by which it is darker in each picture, shape (f,).")
    bar: Floats = about("Error bar of each, from noise alone, either way, 95 %.")
    true: Floats = about("Share of its light that specks take, shape (f,).")
    mean: float = about("Means of `seen` and `true`.")
    true_mean: float
    mean_bar: float = about("Error bar of the mean, from the still pictures' scatter.")
    level: float = about("Mean level of the region with the drive off, of 255.")


@described(eq=False)
class Study:
    """A film and what the program reads from it."""

    film: Film
    count: Count
    blur: Blur
    brightness: Brightness

    @property
    def released(self) -> float:
        """Specks that came during the film over those of a pigment index of 1; relative."""
        setting = self.film.setting
        return self.film.release.released / (setting.specks * setting.seconds)

    @property
    def counted(self) -> float:
        """The same by the program's count and its trial; relative."""
        return self.count.rate / self.film.setting.specks

    @property
    def expected(self) -> float:
        """The same in the long run, by rubbing alone; relative."""
        return self.film.release.rate / self.film.setting.specks

    @property
    def error(self) -> float:
        """Relative standard error of `counted`: of the trial, and of the film by its blocks."""
        return float(np.hypot(scatter_of_mean(self.count.seen), self.count.rate_error))


def study(scenario: Scenario, motion: Motion) -> Study:
    """Film a bench and read the film.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> one = Scenario.preset("single-bend, torsional")
    >>> found = study(one, run(one))
    >>> 0 < found.released < 1, found.blur.inside
    (True, True)
    """
    return read(shoot(scenario, motion))


def read(film: Film) -> Study:
    """Read a film."""
    return Study(film, count(film), blur(film), brightness(film))


def blur(film: Film) -> Blur:
    """Measure the smear of the mark: by how much its mean picture is wider than at rest.

    A point that swings by a stroke s smears a picture so that a wave of it with k cycles a pixel
    along the path keeps J0(π k s) of its height (the arcsine distribution's transform). The stroke
    is that which fits best. The program's scale is that of the middle of the picture, at the
    distance where the lens is aimed.
    """
    spot, setting = film.mark, film.setting
    scale = setting.distance / film.look.lens.focal
    true_scale = 1 / spot.scale if spot.scale > 0 else scale
    window = _window(film)
    facts = (spot.stroke, spot.across, scale / true_scale, window is not None)
    if window is None:
        return Blur(float("nan"), float("nan"), *facts)
    moving, still = (p[(slice(None), *window)] for p in (film.pictures, film.stills))
    axis = _axis(film)
    at_rest, noise = still.mean(axis=0), still.var(axis=0, ddof=1) / len(still)
    grown = smear(moving.mean(axis=0), at_rest, axis, noise)
    parts = [smear(b.mean(axis=0), at_rest, axis, noise) for b in _blocks(moving)]
    # What the noise of the template brings shows when parts of it are compared with all of it.
    rest = [smear(b.mean(axis=0), at_rest, axis, noise) for b in _blocks(still)]
    error = SURE * WIDER * float(np.hypot(np.std(parts, ddof=1), np.std(rest, ddof=1)))
    error /= float(np.sqrt(BLOCKS))
    seen, most, least = (float(np.sqrt(max(v, 0.0))) for v in (grown, grown + error, grown - error))
    return Blur(seen * scale, max(most - seen, seen - least) * scale, *facts)


def _blocks(values: Any) -> list[Any]:
    return np.array_split(values, BLOCKS)


def smear(moving: Floats, still: Floats, axis: Floats, noise: Floats | float = 0.0) -> float:
    """Return the square of the stroke that makes one picture of the other [pixels²].

    Parameters
    ----------
    moving, still : (h, w) array
        Dark spot on an even ground, smeared and at rest.
    axis : (2,) array
        Direction of the path: columns, rows.
    noise : (h, w) array
        Variance of `still`: a smear would smooth it away too, which must not count.

    Returns
    -------
    float
        Less than 0 where noise makes the moving one sharper.
    """
    rows, columns = still.shape
    inner = (slice(PAD, PAD + rows), slice(PAD, PAD + columns))
    wide = np.pad(still, PAD, mode="reflect")
    waves = np.fft.rfft2(wide)
    k = (
        axis[0] * np.fft.rfftfreq(wide.shape[1])[None]
        + axis[1] * np.fft.fftfreq(len(wide))[:, None]
    )
    weight = np.outer(*(np.hanning(n + 2)[1:-1] for n in still.shape))
    power = float((weight * noise).sum())

    def misfit(square: float) -> float:
        x = np.pi * np.abs(k) * np.sqrt(abs(square))
        keep = special.j0(x) if square >= 0 else 1 + x**2 / 4
        off = moving - np.fft.irfft2(waves * keep, wide.shape)[inner]
        return float((weight * off**2).sum() - power * (keep**2).mean())

    # What is sought is a stroke, so that steps of its square grow.
    grid = np.linspace(0, min(rows, columns) / 2, 24) ** 2
    best = int(np.argmin([misfit(v) for v in grid]))
    low, high = (-grid[2] if best == 0 else grid[best - 1]), grid[min(best + 1, len(grid) - 1)]
    return float(minimize_scalar(misfit, bounds=(low, high), method="bounded").x)


def _window(film: Film) -> tuple[slice, slice] | None:
    """Return rows and columns around the mark; None where it is not wholly in the picture."""
    spot = film.mark
    if not np.isfinite(spot.spot).all():
        return None
    inverse = np.linalg.inv(spot.shape)
    reach = WINDOW * film.setting.mark_radius * np.linalg.norm(inverse, axis=1) + spot.shift / 2
    low, high = np.floor(spot.spot - reach).astype(int), np.ceil(spot.spot + reach).astype(int)
    rows, columns = film.look.lens.shape
    if (low < 0).any() or high[0] >= columns or high[1] >= rows:
        return None
    return slice(low[1], high[1] + 1), slice(low[0], high[0] + 1)


def _axis(film: Film) -> Floats:
    """Return the direction in the picture along which the mark moves most; right if it rests."""
    moves = film.mark.shifts
    spread = (np.outer(moves, moves.conj())).real
    axis = np.linalg.eigh(spread)[1][:, -1] if spread.any() else np.array([1.0, 0.0])
    return np.asarray(axis)


def brightness(film: Film) -> Brightness:
    """Measure how much darker a region is than with the drive off."""
    rows, columns = region(film)
    part = (slice(None), rows, columns)
    now, still = film.pictures[part].mean(axis=(1, 2)), film.stills[part].mean(axis=(1, 2))
    rest = max(float(still.mean()), 1.0)
    seen = 1 - now / rest
    n = (rows.stop - rows.start) * (columns.stop - columns.start)
    noise = float(np.diff(film.stills[part].astype(np.float64), axis=1).std()) / np.sqrt(2 * n)
    bar = np.full(len(seen), SURE * noise / rest)
    true = film.drawn.veil[part].mean(axis=(1, 2), dtype=np.float64)
    scatter = float(still.std(ddof=1)) / rest
    free = np.sqrt(1 / STILLS + 1 / max(_free(film), 1.0))
    return Brightness(
        seen, bar, true, float(seen.mean()), float(true.mean()), SURE * scatter * free, rest
    )


def _free(film: Film) -> float:
    """Return how many values of the flutter in a film are independent, about: one a crossing."""
    gap = film.release.gap.gap
    middle = gap - gap.mean()
    crossings = int(np.count_nonzero(np.diff(np.sign(middle)) > 0))
    return crossings * film.setting.seconds / (len(gap) * STEP)


def region(film: Film) -> tuple[slice, slice]:
    """Return rows and columns of the region, cut at the picture's rim, at least one pixel."""
    setting, shape = film.setting, film.look.lens.shape
    spans = []
    for n, middle in zip(shape, (setting.region_y, setting.region_x), strict=True):
        low = round((middle - setting.region_size / 2) * n)
        high = round((middle + setting.region_size / 2) * n)
        low = min(max(low, 0), n - 1)
        spans.append(slice(low, min(max(high, low + 1), n)))
    return spans[0], spans[1]


def scatter_of_mean(seen: Floats) -> float:
    """Return the relative standard error of a film's mean count, from the scatter of its blocks.

    Pictures that follow each other show the same specks; stretches of the film hardly do. The
    error is widened as Student's t for few blocks asks, to be used with 1.96.

    Examples
    --------
    >>> round(scatter_of_mean(np.repeat([4.0, 6.0] * 4, 10)), 3)
    0.091
    """
    blocks = np.array([b.mean() for b in np.array_split(seen, BLOCKS)])
    mean = float(blocks.mean())
    if mean <= 0:
        return float("inf")
    return float(WIDER * blocks.std(ddof=1) / np.sqrt(BLOCKS) / mean)
