"""The page's colours: each has a light and a dark value; what is written on what can be read."""

import itertools
import math
import re

import pytest

from tipsim.paths import asset

CSS = re.sub(r"/\*.*?\*/", "", asset("styles/tokens.css").read_text(encoding="utf-8"), flags=re.S)
COLOUR = re.compile(r"--ts-([\w-]+):\s*light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);")
THEMES = {
    theme: {name: (light, dark)[k] for name, light, dark in COLOUR.findall(CSS)}
    for k, theme in enumerate(("light", "dark"))
}

ON_PAPERS = (
    "ink",
    "ink-soft",
    "accent",
    "accent-strong",
    "a",
    "b",
    "c",
    "d",
    "good",
    "warn",
    "bad",
)
TEXT = [
    *((ink, paper) for ink in ON_PAPERS for paper in ("paper", "panel", "sunken")),
    ("accent-ink", "accent"),
    ("accent-ink", "accent-strong"),
    ("ink", "accent-soft"),
    ("accent-strong", "accent-soft"),
    ("a-ink", "a"),
    *((f"{side}-ink", side) for side in "bcd"),
    ("good", "good-soft"),
    ("warn", "warn-soft"),
    ("bad", "bad-soft"),
]
# Borders of controls, the ring of the focus, and the needles' paths in the picture.
SHAPES = [
    *(("line-strong", paper) for paper in ("paper", "panel", "sunken")),
    *(("focus", paper) for paper in ("paper", "panel", "sunken")),
    ("sleeve", "paper"),
]


def luminance(colour: str) -> float:
    """Relative luminance, W3C Web Content Accessibility Guidelines 2.2."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_formula_on_known_pairs() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.01)


def test_every_colour_has_a_light_and_a_dark_value_as_the_scripts_read_them() -> None:
    """What is left when colours of the one form are taken out: no colour, but for the shadow."""
    rest = re.sub(r"--ts-shadow:[^;]+;", "", COLOUR.sub("", CSS))
    assert re.findall(r"#[0-9a-f]{3,8}\b|\b(?:rgb|hsl|oklch)a?\(|light-dark", rest) == []
    assert len(COLOUR.findall(CSS)) == len(THEMES["light"]) > 30


def test_theme_switch_sets_the_scheme_that_colours_follow() -> None:
    schemes = re.findall(r"([^{}]+){\s*color-scheme: ([\w ]+);", CSS)
    assert [(selector.strip(), scheme) for selector, scheme in schemes] == [
        (":root", "light dark"),
        (':root[data-theme="light"]', "light"),
        (':root[data-theme="dark"]', "dark"),
    ]


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(("pairs", "least"), [(TEXT, 4.5), (SHAPES, 3)], ids=["text", "lines"])
def test_what_is_on_a_ground_can_be_seen(
    theme: str, pairs: list[tuple[str, str]], least: float
) -> None:
    colours = THEMES[theme]
    faint = {
        f"{ink} on {paper}": round(contrast(colours[ink], colours[paper]), 2)
        for ink, paper in pairs
        if contrast(colours[ink], colours[paper]) < least
    }
    assert faint == {}


# Machado, Oliveira and Fernandes 2009 (IEEE Trans. Vis. Comput. Graph. 15, 1291), severity 1; rows
# of linear red, green, blue. From memory, and checked here to leave white as it is.
SEEN = {
    "all cones": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "no long": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "no middle": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
    "no short": (
        (1.255528, -0.076749, -0.178779),
        (-0.078411, 0.930809, 0.147602),
        (0.004733, 0.691367, 0.303900),
    ),
}
LEAST_APART = 20.0
"""Distance in CIELAB (ΔE 1976) of two needles' colours; about 2 can just be told apart."""


def lab(colour: str, seen: tuple[tuple[float, ...], ...]) -> tuple[float, float, float]:
    """CIELAB of a colour as it is seen: IEC 61966-2-1 to XYZ, CIE 15:2004, white D65."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    r, g, b = (
        min(1.0, max(0.0, sum(w * c for w, c in zip(row, linear, strict=True)))) for row in seen
    )
    xyz = (
        (0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / 0.95047,
        0.2126729 * r + 0.7151522 * g + 0.0721750 * b,
        (0.0193339 * r + 0.1191920 * g + 0.9503041 * b) / 1.08883,
    )
    x, y, z = (v ** (1 / 3) if v > 216 / 24389 else (24389 / 27 * v + 16) / 116 for v in xyz)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


@pytest.mark.parametrize("vision", SEEN)
@pytest.mark.parametrize("theme", THEMES)
def test_needles_are_told_apart_by_colour_however_it_is_seen(theme: str, vision: str) -> None:
    white = lab("#ffffff", SEEN[vision])
    assert white == pytest.approx((100, 0, 0), abs=0.1)
    seen = {side: lab(THEMES[theme][side], SEEN[vision]) for side in "abcd"}
    near = {
        one + other: round(math.dist(seen[one], seen[other]), 1)
        for one, other in itertools.combinations("abcd", 2)
        if math.dist(seen[one], seen[other]) < LEAST_APART
    }
    assert near == {}
