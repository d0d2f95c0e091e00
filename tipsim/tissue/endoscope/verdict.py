"""Whether a film through the endoscope can be believed: the size of each thing that misleads."""

import numpy as np

from tipsim.motion.camera.measure import BAD, GOOD, OPEN
from tipsim.motion.camera.sampling import apparent_frequency
from tipsim.setup.described import about, described
from tipsim.tissue.endoscope.film import FULL_LIGHT
from tipsim.tissue.endoscope.measure import Study
from tipsim.tissue.endoscope.ratio import Ratio

RIGHT = 0.1
"""A stroke that is off by less than this share counts as right; a convention."""
FULL = 0.02
"""Share of full pixels from which a film counts as too bright; a convention."""
DARK = 10.0
"""Signal over noise of a grey pixel below which a film counts as too dark; a convention."""
FEW_CONTACTS = 10
"""Contacts in a film below which its count is mostly chance; a convention."""


@described()
class Facts:
    """What misleads in a film, each with its size."""

    cycles: float = about("Cycles of the drive in an exposure.")
    apparent: float = about("Frequency at which the drive's motion would seem to run [Hz].")
    blur_pixels: float = about("Stroke of the mark in the picture [pixels].")
    hidden: float = about("Share of the mark's stroke that lies toward the lens and back.")
    scale: float = about("The program's scale over the true one at the mark, less 1.")
    edge: float = about("Scale at the picture's left and right rim over the middle's, less 1.")
    streak: float = about("Way of a speck in one exposure [pixels], median.")
    spread: float = about("Blurred width of a speck, standard deviation [pixels], median.")
    full: float = about("Share of pixels that are full.")
    noise: float = about("Signal over noise of a pixel at half of white.")
    crowding: float = about("Share of specks that a neighbour hides, where most are in view.")
    found: float = about("Share of known specks that the program found.")
    contacts: int = about("Contacts of iris and sleeve while the film ran.")
    darkened: float = about("Darkening of the region that is not pigment, of that measured.")


def facts(study: Study) -> Facts:
    """Return what misleads in a film.

    Examples
    --------
    >>> from tipsim import Scenario, solve
    >>> found = facts(solve(Scenario.preset("single-bend, torsional")).endoscope)
    >>> round(found.cycles), found.full, round(found.edge, 3)
    (128, 0.0, 0.0)
    """
    film, setting = study.film, study.film.setting
    lens = film.look.lens
    edge = float(lens.slope(np.array([setting.field / 2]))[0]) - 1
    n = min(setting.white, setting.full_well) / 2
    touching = film.release.gap.touching
    since = round(film.release.before / film.release.gap.step)
    begins = touching[since:] & ~np.roll(touching, 1)[since:]
    light = study.brightness
    blur = study.blur
    return Facts(
        cycles=film.frequency * setting.exposure,
        apparent=apparent_frequency(film.frequency, setting.frame_rate),
        blur_pixels=film.mark.shift,
        hidden=1 - blur.across / blur.true if blur.true > 0 else 0.0,
        scale=blur.scale - 1,
        edge=edge,
        streak=film.drawn.streak,
        spread=film.drawn.spread,
        full=float((film.pictures >= min(255, _full_level(study))).mean()),
        noise=float(n / np.sqrt(n + setting.read_noise**2)),
        crowding=study.count.crowding,
        found=study.count.share_found,
        contacts=int(begins.sum()),
        darkened=light.mean - light.true_mean,
    )


def _full_level(study: Study) -> int:
    """Return the level at which a pixel is full, or the scale ends."""
    setting = study.film.setting
    return int(setting.full_well * FULL_LIGHT / min(setting.white, setting.full_well))


def count_outcome(study: Study) -> str:
    """Return whether the count holds within its error: "good", "bad", "open" without specks."""
    count = study.count
    if count.true_mean == 0 and count.mean < count.mean_bar:
        return OPEN
    return GOOD if count.holds else BAD


def blur_outcome(study: Study) -> str:
    """Return whether the stroke by the blur is right: "good", "bad", or "open" if unseen."""
    blur = study.blur
    if not blur.inside or blur.true == 0 or blur.bar > blur.true:
        return OPEN
    return GOOD if abs(blur.seen - blur.true) <= max(RIGHT * blur.true, blur.bar) else BAD


def light_outcome(study: Study) -> str:
    """Return whether a region's darkening is pigment, within its error bar."""
    light = study.brightness
    off = abs(light.mean - light.true_mean)
    if light.mean_bar >= max(light.true_mean, off):
        return OPEN
    return GOOD if off <= light.mean_bar else BAD


def ratio_outcome(ratio: Ratio) -> str:
    """Return whether two films say which needle sets more free: "good", "bad" or "open"."""
    if ratio.seen is None or ratio.expected is None or not ratio.is_clear:
        return OPEN
    return GOOD if (ratio.seen > 1) == (ratio.expected > 1) else BAD
