"""The film: pictures as the sensor gives them, and all that is true of them."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from tipsim.motion.camera.quiet import one_thread
from tipsim.motion.run import Motion
from tipsim.motion.sections import Floats
from tipsim.setup.described import about, described
from tipsim.setup.endoscope import Endoscope
from tipsim.setup.scenario import Scenario
from tipsim.tissue.endoscope.render import (
    LEVELS,
    Body,
    Singles,
    backgrounds,
    blended,
    body,
    defocus,
    exposed,
)
from tipsim.tissue.endoscope.specks import STEP, STRETCH, Release, chance, release, ways
from tipsim.tissue.endoscope.view import Mark, View, mark, view

Pictures = NDArray[np.uint8]
FULL_LIGHT = 240
"""Level of white, of 255: the rest is room for noise."""
STILLS = 32
"""Pictures with the drive off, taken before: nothing is rubbed, the iris flutters all the same."""
SUBSTEPS = 5
"""Places of a speck that are drawn in one exposure."""
MARGIN = 4
"""Specks nearer to the picture's rim than this are not counted [pixels]."""
PLANTED = 120.0
"""Specks that the trial lets go at the iris while one is carried off, on average."""


@described(eq=False)
class Drawn:
    """Specks as they are drawn in pictures."""

    veil: Singles = about("Share of the light that specks take from each pixel, (f, h, w).")
    picture: NDArray[np.intp] = about("Number of the picture of each speck that is in one (n,).")
    spots: Floats = about("Its column and row there (n, 2).")
    streak: float = about("Way of a speck in the picture in one exposure, median [pixels].")
    spread: float = about("Standard deviation of its blurred spot, median [pixels].")
    depth: float = about("Distance from the lens, median [m]; NaN without any.")


@described(eq=False)
class Film:
    """A film, the same bench with the drive off, and a trial with specks of known number."""

    scenario: Scenario
    frequency: float = about("Of the drive [Hz].")
    look: View
    mark: Mark
    release: Release
    time: Floats = about("Beginning of each exposure [s], shape (f,).")
    gap: Floats = about("Gap of iris and sleeve in each picture [m], shape (f,).")
    pictures: Pictures = about("Levels, row 0 is the top, shape (f, h, w).")
    stills: Pictures = about("The same with the drive off, shape (STILLS, h, w).")
    trial: Pictures = about("Stills with specks of a known number, shape (STILLS, h, w).")
    drawn: Drawn = about("The specks of the film, and of the trial.")
    planted: Drawn
    planted_rate: float = about("Specks that the trial lets go in a second [1/s].")

    @property
    def setting(self) -> Endoscope:
        """The endoscope."""
        return self.scenario.endoscope


@described(eq=False)
class Stage:
    """What stands before the lens, whatever chance brings."""

    look: View
    mark: Mark
    body: Body


def staged(scenario: Scenario, motion: Motion) -> Stage:
    """Return what stands before the lens: the larger part of a short film's costs."""
    look = view(scenario)
    spot = mark(scenario, motion, look)
    return Stage(look, spot, body(scenario, motion, look, spot))


def glimpse(scenario: Scenario, motion: Motion) -> Pictures:
    """Return one picture with the drive off: what can be shown at once (h, w).

    >>> from tipsim.motion.run import run
    >>> one = Scenario.preset("single-bend, torsional")
    >>> glimpse(one, run(one)).shape
    (96, 128)
    """
    look = view(scenario)
    rest = body(scenario, motion, look, mark(scenario, motion, look), phases=0)
    behind = backgrounds(scenario, look, np.array([scenario.eye.iris_gap]))
    light = _composed(behind, rest.cover, rest.shade)
    return np.asarray(sensed(light, scenario.endoscope, chance(scenario)[2])[0])


@one_thread
def shoot(scenario: Scenario, motion: Motion, stage: Stage | None = None) -> Film:
    """Film a bench through its endoscope.

    Parameters
    ----------
    motion : Motion
        Steady motion; perhaps the needle at rest where it is not to be believed.
    stage : Stage, optional
        From `staged`, where several films differ by their seed alone.

    Returns
    -------
    Film
        The same for the same input: all chance follows from the seed.

    Examples
    --------
    >>> from tipsim.motion.run import run
    >>> one = Scenario.preset("single-bend, torsional")
    >>> one = one.with_(**{"endoscope.pictures": 24, "endoscope.columns": 64})
    >>> shoot(one, run(one)).pictures.shape
    (24, 48, 64)
    """
    stage = stage or staged(scenario, motion)
    setting, look, drawn_body = scenario.endoscope, stage.look, stage.body
    for_specks, for_film, for_stills, for_trial = chance(scenario)
    specks = release(scenario, motion, look, for_specks)
    time = np.arange(setting.count) / setting.frame_rate
    gap = _gap_at(specks, time + setting.exposure / 2)
    still_gaps = for_stills.choice(specks.gap.gap, STILLS)
    levels, stack = _iris(scenario, look, np.concatenate([gap, still_gaps]))
    cover, shade = exposed(drawn_body, motion.frequency, time, setting.exposure)
    veil = veiled(scenario, look, drawn_body, specks, time)
    light = _composed(blended(stack, levels, gap), cover, shade) * (1 - veil.veil)
    at_rest = drawn_body.cover[-1:], drawn_body.shade[-1:]
    still = _composed(blended(stack, levels, still_gaps), *at_rest)
    known, when = _known(scenario, specks, for_trial)
    planted = veiled(scenario, look, drawn_body, known, when)
    return Film(
        scenario,
        motion.frequency,
        look,
        stage.mark,
        specks,
        time,
        gap,
        sensed(light, setting, for_film),
        sensed(still, setting, for_stills),
        sensed(still * (1 - planted.veil), setting, for_trial),
        veil,
        planted,
        PLANTED * specks.stream / STRETCH,
    )


def _gap_at(specks: Release, time: Floats) -> Floats:
    samples = np.arange(len(specks.gap.gap)) * STEP - specks.before
    return np.asarray(np.interp(time, samples, specks.gap.gap))


def _iris(scenario: Scenario, look: View, gaps: Floats) -> tuple[Floats, Singles]:
    """Return heights of the iris that hold all gaps, and its pictures there."""
    low, high = max(float(gaps.min()), 0.0), max(float(gaps.max()), 0.0)
    levels = np.linspace(low, high, LEVELS) if high - low > 1e-7 else np.array([low])
    return levels, backgrounds(scenario, look, levels)


def _composed(behind: Singles, cover: Singles, shade: Singles) -> Singles:
    return np.asarray(behind * (1 - cover) + shade)


def _known(
    scenario: Scenario, specks: Release, random: np.random.Generator
) -> tuple[Release, Floats]:
    """Return specks of a known number that the same stream carries, and when they are filmed.

    They are spread as those that come steadily: a suspension let into the same stream.
    """
    stay = STRETCH / specks.stream
    when = np.asarray((np.arange(STILLS) + 1.0) * stay, dtype=np.float64)
    count = int(PLANTED * STILLS)
    born = random.uniform(0, when[-1], count)
    start, speed = ways(scenario, specks.room, specks.stream, count, random)
    return replace(specks, born=born, start=start, speed=speed), when


def veiled(
    scenario: Scenario, look: View, drawn_body: Body, specks: Release, time: Floats
) -> Drawn:
    """Draw specks into pictures whose exposures begin at some times [s]."""
    setting = scenario.endoscope
    part = setting.exposure / SUBSTEPS
    times = time[:, None] + part * (np.arange(SUBSTEPS) + 0.5)
    which, picture = specks.alive(time)
    places, here = specks.at(which, times[picture], setting.aim)
    points = look.seen(look.in_space(places))
    spots, depth = look.lens.project(points), np.linalg.norm(points, axis=-1)
    here &= np.isfinite(spots[..., 0])
    shown = here & ~_hidden(drawn_body, spots, depth)
    own = look.lens.focal * setting.speck / np.maximum(depth, 1e-4)
    spread = np.hypot(defocus(scenario, look, depth), own / 4)
    dark = setting.opacity * np.minimum(np.pi / 4 * own**2 / (2 * np.pi * spread**2), 1.0)
    shape = (len(time), *look.lens.shape)
    veil = stamped(shape, picture, spots, spread, dark / SUBSTEPS, shown)
    mid = SUBSTEPS // 2
    seen = shown[:, mid] & _inside(look, spots[:, mid])
    way = np.linalg.norm(spots[:, -1] - spots[:, 0], axis=-1) * SUBSTEPS / (SUBSTEPS - 1)

    def median(values: Floats) -> float:
        return float(np.median(values[seen])) if seen.any() else float("nan")

    return Drawn(
        np.minimum(veil, 1.0),
        picture[seen],
        spots[seen, mid],
        median(way),
        median(spread[:, mid]),
        median(depth[:, mid]),
    )


def _inside(look: View, spots: Floats) -> NDArray[np.bool_]:
    rows, columns = look.lens.shape
    with np.errstate(invalid="ignore"):
        inside = (spots >= MARGIN) & (spots <= np.array([columns, rows]) - 1 - MARGIN)
    return np.asarray(inside.all(axis=-1))


def _hidden(drawn_body: Body, spots: Floats, depth: Floats) -> NDArray[np.bool_]:
    """Return whether specks are behind needle or sleeve."""
    rows, columns = drawn_body.depth.shape
    x = np.clip(np.nan_to_num(spots[..., 0]).round().astype(np.intp), 0, columns - 1)
    y = np.clip(np.nan_to_num(spots[..., 1]).round().astype(np.intp), 0, rows - 1)
    return np.asarray((drawn_body.cover[-1, y, x] > 0.5) & (depth > drawn_body.depth[y, x]))


def stamped(
    shape: tuple[int, int, int],
    picture: NDArray[np.intp],
    spots: Floats,
    spread: Floats,
    dark: Floats,
    shown: NDArray[np.bool_],
) -> Singles:
    """Return the sum of blurred spots in each picture, (f, h, w).

    Parameters
    ----------
    shape : pictures, rows, columns
    picture : (n,) array
        Picture of each spot.
    spots : (n, k, 2) array
        Columns and rows at k moments.
    spread, dark : (n, k) array
        Standard deviation [pixels] and depth in the middle of each spot.
    shown : (n, k) bool array
        Which are drawn.
    """
    _, rows, columns = shape
    out = np.zeros(int(np.prod(shape)))
    number = np.broadcast_to(picture[:, None], shown.shape)
    reach = np.ceil(3 * spread).astype(np.intp)
    with np.errstate(invalid="ignore"):
        near = (
            (spots[..., 0] > -reach) & (spots[..., 0] < columns + reach)
            & (spots[..., 1] > -reach) & (spots[..., 1] < rows + reach)
        )  # fmt: skip
    shown = shown & near
    # Spots of like width together: each needs a window of its own.
    edges = (0, 3, 5, 8, int(1e9))
    for low, high in pairwise(edges):
        chosen = shown & (reach > low) & (reach <= high)
        if not chosen.any():
            continue
        at, wide, deep, of = spots[chosen], spread[chosen], dark[chosen], number[chosen]
        span = np.arange(-int(reach[chosen].max()), int(reach[chosen].max()) + 1)
        x, y = (at[:, i].round().astype(np.intp)[:, None] + span for i in (0, 1))
        gx, gy = (
            np.exp(-((p - at[:, i : i + 1]) ** 2) / (2 * wide[:, None] ** 2))
            for i, p in enumerate((x, y))
        )
        gx, gy = gx * ((x >= 0) & (x < columns)), gy * ((y >= 0) & (y < rows))
        x, y = np.clip(x, 0, columns - 1), np.clip(y, 0, rows - 1)
        index = (of[:, None, None] * rows + y[:, :, None]) * columns + x[:, None, :]
        value = (deep[:, None] * gy)[:, :, None] * gx[:, None, :]
        out += np.bincount(index.ravel(), value.ravel(), minlength=len(out))
    return np.asarray(out.reshape(shape), dtype=np.float32)


def sensed(light: Singles, setting: Endoscope, random: np.random.Generator) -> Pictures:
    """Return the levels that the sensor gives, 0 to 255.

    Notes
    -----
    A pixel that gathers n electrons scatters by sqrt(n + r²), r being the sensor's own noise. The
    picture is made brighter until white is white, but never darker: a pixel that is full stays
    full.
    """
    white = setting.white
    n = np.minimum(white * light, 4 * setting.full_well)
    scatter = np.sqrt(n + setting.read_noise**2, dtype=np.float32)
    n = n + scatter * random.standard_normal(light.shape, dtype=np.float32)
    n = np.minimum(n, setting.full_well * 255 / FULL_LIGHT)
    gain = np.float32(FULL_LIGHT / min(white, setting.full_well))
    return np.asarray(np.clip(gain * n + 0.5, 0, 255), dtype=np.uint8)
