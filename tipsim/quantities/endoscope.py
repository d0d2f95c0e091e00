"""Outputs of a film through the endoscope: what the program reads, beside what is true."""

from tipsim.quantities.declare import Computed, Quantity
from tipsim.setup.units import PERCENT, UM

RELATIVE = (
    "Relative: 1 is what a pigment index of 1 sets free. No measurement ties rubbing to pigment."
)


def _number(value: float) -> float | None:
    """Return a reading; None where the mark is not in the picture."""
    return None if value != value else value


def _blur(r: Computed) -> float | None:
    return _number(r.endoscope.blur.seen)


ENDOSCOPE = (
    Quantity(
        "endoscope.seen", "specks_seen", "Specks seen", lambda r: r.endoscope.count.mean,
        "Mean in a picture by the program's count, after Crocker and Grier 1996, made good for "
        "those that it misses by a trial with specks of a known number.", of="a picture",
    ),
    Quantity(
        "endoscope.seen_error", "specks_seen_error", "Error bar of that",
        lambda r: r.endoscope.count.mean_bar,
        "Either way, 95 %, as the program states it.", of="a picture",
    ),
    Quantity(
        "endoscope.in_view", "specks_in_view", "Specks in view",
        lambda r: r.endoscope.count.true_mean,
        "Mean of those that truly are in the counted part of the picture.", of="a picture",
    ),
    Quantity(
        "endoscope.counted", "released_by_count", "Release by the film",
        lambda r: r.endoscope.counted,
        f"The program's count over that of its trial. {RELATIVE}",
    ),
    Quantity(
        "endoscope.counted_error", "released_by_count_error_percent", "Standard error of that",
        lambda r: _finite(r.endoscope.error),
        "Of the trial, and of the film by the scatter of its eighths.", unit=PERCENT, digits=2,
    ),
    Quantity(
        "endoscope.released", "released", "Release in the film", lambda r: r.endoscope.released,
        f"What truly came while the film ran. {RELATIVE}",
    ),
    Quantity(
        "endoscope.expected", "released_expected", "Release in the long run",
        lambda r: r.endoscope.expected,
        f"What the rubbing sets free on average. {RELATIVE}",
    ),
    Quantity(
        "endoscope.blur", "mark_blur_um_pp", "Stroke by the mark's blur", _blur,
        "By the smear of the mark's mean picture against that at rest, with the scale of the "
        "middle of the picture.", unit=UM, of="peak to peak",
    ),
    Quantity(
        "endoscope.blur_error", "mark_blur_error_um", "Error bar of that",
        lambda r: _number(r.endoscope.blur.bar), "Either way, 95 %, from noise.", unit=UM,
        digits=2,
    ),
    Quantity(
        "endoscope.stroke", "mark_stroke_um_pp", "Stroke at the mark",
        lambda r: r.endoscope.blur.true,
        "Of the sleeve's surface there, in space: the needle's motion times what the sleeve takes "
        "on.", unit=UM, of="peak to peak",
    ),
    Quantity(
        "endoscope.darker", "region_darker_percent", "Region darker",
        lambda r: r.endoscope.brightness.mean,
        "Mean over the film against pictures with the drive off.", unit=PERCENT, digits=2,
    ),
    Quantity(
        "endoscope.darker_error", "region_darker_error_percent", "Error bar of that",
        lambda r: r.endoscope.brightness.mean_bar,
        "Either way, 95 %, from the scatter of pictures with the drive off.", unit=PERCENT,
        digits=2,
    ),
    Quantity(
        "endoscope.pigment", "region_pigment_percent", "Light taken by specks in the region",
        lambda r: r.endoscope.brightness.true_mean, "Mean over the film.", unit=PERCENT, digits=2,
    ),
    Quantity(
        "endoscope.level", "region_level", "Brightness of the region",
        lambda r: r.endoscope.brightness.level,
        "Mean level with the drive off, of 255.", decimals=0,
    ),
)  # fmt: skip


def _finite(value: float) -> float | None:
    return value if value < 1e6 else None
