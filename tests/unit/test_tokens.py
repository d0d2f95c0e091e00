"""The page's colours: each has a light and a dark value; what is written on what can be read."""

import re

import pytest

from tipsim.paths import asset

CSS = re.sub(r"/\*.*?\*/", "", asset("styles/tokens.css").read_text(encoding="utf-8"), flags=re.S)
COLOUR = re.compile(r"--ts-([\w-]+):\s*light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\);")
THEMES = {
    theme: {name: (light, dark)[k] for name, light, dark in COLOUR.findall(CSS)}
    for k, theme in enumerate(("light", "dark"))
}

ON_PAPERS = ("ink", "ink-soft", "accent", "accent-strong", "a", "b", "good", "warn", "bad")
TEXT = [
    *((ink, paper) for ink in ON_PAPERS for paper in ("paper", "panel", "sunken")),
    ("accent-ink", "accent"),
    ("accent-ink", "accent-strong"),
    ("ink", "accent-soft"),
    ("accent-strong", "accent-soft"),
    ("a-ink", "a"),
    ("b-ink", "b"),
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
