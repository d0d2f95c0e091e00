"""The page's colours: the two dark blocks are alike, and what is written on what can be read."""

import re

import pytest

from tipsim.paths import asset

CSS = re.sub(r"/\*.*?\*/", "", asset("styles/tokens.css").read_text(encoding="utf-8"), flags=re.S)
DECLARATION = re.compile(r"--ts-([\w-]+):\s*([^;]+);")


def block(selector: str) -> dict[str, str]:
    """Names and values of the block that opens with a selector."""
    start = CSS.index(selector + " {") + len(selector) + 2
    return dict(DECLARATION.findall(CSS[start : CSS.index("}", start)]))


LIGHT = block(":root")
DARK_SYSTEM = block(':root:not([data-theme="light"])')
DARK_CHOSEN = block(':root[data-theme="dark"]')
THEMES = {"light": LIGHT, "dark": {**LIGHT, **DARK_CHOSEN}}

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


def test_dark_is_the_same_by_system_and_by_choice() -> None:
    assert DARK_SYSTEM == DARK_CHOSEN


def test_every_colour_has_a_dark_value() -> None:
    colours = {name for name, value in LIGHT.items() if value.startswith("#")}
    assert colours <= DARK_CHOSEN.keys()


def test_colours_are_written_so_that_the_scripts_can_mix_them() -> None:
    for theme in THEMES.values():
        for name, value in theme.items():
            if value.startswith("#"):
                assert re.fullmatch(r"#[0-9a-f]{6}", value), name


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
