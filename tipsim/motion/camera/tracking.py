"""Following the marks from picture to picture, to a fraction of a pixel.

First the best whole pixel: the normalised correlation of a template with every place in a search
area (J. P. Lewis, "Fast normalized cross-correlation", 1995). Then the rest: the peak of the
cross-correlation, upsampled around it by a discrete Fourier transform (M. Guizar-Sicairos,
S. T. Thurman and J. R. Fienup, "Efficient subpixel image registration algorithms", Opt. Lett. 33
(2008) 156-158), first in tenths of a pixel, then finer.

The template is the mark in the mean of pictures at rest. Nothing of the true motion is used.
"""

import numpy as np
from numpy.typing import NDArray
from scipy import fft, ndimage

from tipsim.motion.camera.film import STILLS, Film, Take
from tipsim.motion.camera.quiet import one_thread
from tipsim.motion.camera.render import DOT, RIDGE, Singles
from tipsim.motion.camera.view import Dot
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described

SEARCH = 0.25e-3
"""How far from its resting place a mark is looked for [m]."""
UPSAMPLING = 50
"""The finest step is a pixel over this."""
LEAST_LIKENESS = 0.5
"""A place whose correlation with the template is below this does not count as the mark."""
OF_REST = 0.7
"""Nor one below this share of the mark's likeness at rest: without noise the corner beside the tip
has 0.65, and would be taken for a mark that has left the search."""
_COARSE = 10
_AROUND = 1.7
"""Half width of the template over the mark's radius."""
_PAD = 3
"""Pixels kept around a template for shifting it."""


@described(eq=False)
class Track:
    """What the software saw of one mark."""

    dot: Dot = about("The mark; its true motion was not used.")
    places: Floats = about(
        "Place from rest, right and up [m]; NaN where the mark was not found. Shape (f, 2)."
    )
    likeness: Floats = about(
        "Correlation with the template at the best whole pixel, at most 1, shape (f,)."
    )
    scatter: float = about(
        "Standard error of one place along one direction [m]: scatter over other pictures at "
        "rest, and the step of the search."
    )

    @property
    def is_found(self) -> NDArray[np.bool_]:
        """In which pictures the mark was found, shape (f,)."""
        return np.isfinite(self.places[:, 0])


@one_thread
def track(film: Film) -> tuple[Track, ...]:
    """Return the tracks of all marks whose template lies in the picture at rest.

    Returns
    -------
    tuple of Track
        In the order of the marks; those at the picture's border or beyond are left out.
    """
    half = _half(film)
    return tuple(_follow(film, dot, half) for dot in _followed(film))


def expected(take: Take) -> tuple[Track, ...]:
    """Return the tracks that the settings let expect, without any picture.

    A place is the mean over the exposure, sinc(f te) times the place in its middle. The standard
    error is that of the best possible estimate (Cramer-Rao): for a disc of radius r with contrast c
    whose edge is one pixel wide, and noise sigma = 1 / SNR in each pixel, it is
    sigma / (c sqrt(pi r)) pixels, joined with the step of the search.

    Returns
    -------
    tuple of Track
        Of the same marks as `track` follows, each found in every picture. A smeared mark is
        tracked at its densest part, not at its mean: expect less there.
    """
    camera, scene = take.camera, take.scene
    smeared = np.sinc(take.frequency * camera.exposure)
    sigma = 1 / camera.signal_to_noise if camera.noise == "on" else 0.0
    best = sigma / ((RIDGE - DOT) * np.sqrt(np.pi * scene.dot_radius / scene.pixel))
    scatter = scene.pixel * float(np.hypot(best, 1 / UPSAMPLING / np.sqrt(12)))
    ones = np.ones(camera.count)
    return tuple(Track(dot, smeared * take.truth(dot), ones, scatter) for dot in _followed(take))


def _half(take: Take) -> int:
    return max(6, int(np.ceil(_AROUND * take.scene.dot_radius / take.scene.pixel)))


def _followed(take: Take) -> list[Dot]:
    """Return the marks whose template lies in the picture at rest."""
    margin = (_half(take) + 0.5) * take.scene.pixel
    return [dot for dot in take.scene.dots if take.scene.holds(dot, margin)]


def _follow(film: Film, dot: Dot, half: int) -> Track:
    pixel = film.scene.pixel
    column, row = (int(n) for n in np.rint(film.scene.to_pixels(dot.place)))
    reach = int(np.ceil(SEARCH / pixel))
    rows, columns = film.scene.shape
    top, bottom = max(0, row - half - reach), min(rows, row + half + reach + 1)
    left, right = max(0, column - half - reach), min(columns, column + half + reach + 1)
    for_template, for_scatter = np.split(film.stills[:, top:bottom, left:right], [STILLS // 2])
    at_rest = for_template.mean(axis=0, dtype=np.float32)
    area = np.concatenate([film.pictures[:, top:bottom, left:right], for_scatter])
    area = area.astype(np.float32)
    r, c = row - top - half, column - left - half
    template = at_rest[r : r + 2 * half + 1, c : c + 2 * half + 1]
    whole, likeness = best_places(area, template)
    steps = whole - (r, c) + fine(area, template, whole)
    places = np.stack([steps[:, 1], -steps[:, 0]], axis=1) * pixel
    # Best at the edge of the search means that it may be better beyond.
    edge = np.subtract(area.shape[1:], template.shape)
    at_rest_like = float(np.median(likeness[film.camera.count :]))
    unlike = likeness < max(LEAST_LIKENESS, OF_REST * at_rest_like)
    places[unlike | (whole == 0).any(1) | (whole == edge).any(1)] = np.nan
    film_places, still_places = np.split(places, [film.camera.count])
    step = pixel / UPSAMPLING / np.sqrt(12)
    at_rest_found = still_places[np.isfinite(still_places[:, 0])]
    if len(at_rest_found) < len(still_places) / 2:
        # What cannot be found at rest cannot be followed either.
        film_places, at_rest_found = np.full_like(film_places, np.nan), np.zeros((2, 2))
    noise = float(np.sqrt(np.mean(np.var(at_rest_found, axis=0, ddof=1))))
    return Track(dot, film_places, likeness[: film.camera.count], float(np.hypot(noise, step)))


def best_places(area: Singles, template: Singles) -> tuple[NDArray[np.intp], Floats]:
    """Return where in each picture a template fits best, by normalised correlation.

    Parameters
    ----------
    area : (f, r, c) array
    template : (p, q) array

    Returns
    -------
    places : (f, 2) int array
        Row and column of the template's first pixel.
    likeness : (f,) array
        Correlation there, -1 to 1.
    """
    p, q = template.shape
    kept = (area.shape[1] - p + 1, area.shape[2] - q + 1)
    size = [fft.next_fast_len(n, real=True) for n in area.shape[1:]]
    # Taken about a common middle, so that the variances below lose no digits.
    mean = template.mean()
    level, pattern = area - mean, template - mean
    product = fft.rfft2(level, size) * fft.rfft2(pattern, size).conj()
    common = fft.irfft2(product, size)[:, : kept[0], : kept[1]]
    variance = _box_sums(level**2, p, q) - _box_sums(level, p, q) ** 2 / template.size
    norm = np.sqrt(np.maximum(variance, 1e-3) * max(float((pattern**2).sum()), 1e-3))
    score = (common / norm).reshape(len(area), -1)
    best = score.argmax(axis=1)
    return np.stack(np.unravel_index(best, kept), axis=1), score[np.arange(len(area)), best]


def _box_sums(pictures: Singles, rows: int, columns: int) -> Floats:
    """Return the sum over every place of a box in each picture."""
    sums = np.zeros(tuple(np.add(pictures.shape, (0, 1, 1))))
    np.cumsum(pictures, axis=1, out=sums[:, 1:, 1:])
    np.cumsum(sums, axis=2, out=sums)
    down = sums[:, rows:] - sums[:, :-rows]
    return np.asarray(down[..., columns:] - down[..., :-columns])


def fine(area: Singles, template: Singles, whole: NDArray[np.intp]) -> Floats:
    """Return the fraction of a pixel that remains after `best_places`.

    Returns
    -------
    (f, 2) array
        Rows down and columns right [pixels].

    Notes
    -----
    The window stands still while its content is off by that fraction, which pulls the answer
    toward 0. So the picture is shifted back by the first answer, and what remains is found again.
    """
    p, q = template.shape
    padded = np.pad(area, ((0, 0), (_PAD, _PAD), (_PAD, _PAD)), mode="edge")
    wide = [
        a[r : r + p + 2 * _PAD, c : c + q + 2 * _PAD]
        for a, (r, c) in zip(padded, whole, strict=True)
    ]
    inner = (slice(_PAD, _PAD + p), slice(_PAD, _PAD + q))
    first = shifts(template, np.stack([a[inner] for a in wide]))
    back = [ndimage.shift(a, -e, mode="nearest")[inner] for a, e in zip(wide, first, strict=True)]
    return first + shifts(template, np.stack(back))


def shifts(template: Singles, patches: Singles) -> Floats:
    """Return by how much patches are shifted against a template.

    Parameters
    ----------
    template : (p, q) array
    patches : (f, p, q) array

    Returns
    -------
    (f, 2) array
        Rows down and columns right [pixels], in steps of 1 / UPSAMPLING.
    """
    window = np.outer(*(_taper(n) for n in template.shape))
    ground = float(np.median(template))
    reference = fft.fft2((template - ground) * window)
    product = reference * fft.fft2((patches - ground) * window).conj()
    # The shift that would bring the patch back onto the template, to a pixel, a tenth, the rest.
    size = np.array(template.shape)
    peak = _peaks(fft.ifft2(product))
    shift = np.where(peak > size // 2, peak - size, peak).astype(np.float64)
    for step, reach in ((_COARSE, 7), (UPSAMPLING, 8)):
        shift = np.rint(shift * step) / step
        offsets = np.arange(-reach, reach + 1) / step
        rows, columns = (
            np.exp(2j * np.pi * (shift[:, axis, None] + offsets)[:, :, None] * fft.fftfreq(n))
            for axis, n in enumerate(template.shape)
        )
        shift += (_peaks(rows @ product @ columns.transpose(0, 2, 1)) - reach) / step
    return np.asarray(-shift)


def _peaks(values: NDArray[np.complex128]) -> NDArray[np.intp]:
    """Return row and column of the largest magnitude of each of (f, r, c) values, (f, 2)."""
    best = np.abs(values).reshape(len(values), -1).argmax(axis=1)
    return np.stack(np.unravel_index(best, values.shape[1:]), axis=1)


def _taper(n: int) -> Floats:
    """Return a window that falls to 0 over the outer fifth, shape (n,)."""
    edge = np.minimum(np.arange(n) + 0.5, n - np.arange(n) - 0.5) / (0.2 * n)
    return np.asarray(np.sin(np.pi / 2 * np.minimum(edge, 1)) ** 2)
