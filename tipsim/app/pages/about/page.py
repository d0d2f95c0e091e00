"""The page about the model, the same for everybody: built once, then served as it is."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from tipsim.app.framework.fixed import routes
from tipsim.app.framework.template import shell_variables, templates
from tipsim.app.pages.about import checks, figure, origins, sure, teaching
from tipsim.app.pages.about.results import SPACE, defaults, microns, percent
from tipsim.motion.character import HUB_SHARE, STILL_DEPTH
from tipsim.motion.markers import STILL_SHARE
from tipsim.motion.sleeve import mobility
from tipsim.setup.catalogue import catalogue
from tipsim.setup.scenario import Scenario
from tipsim.setup.sourced import STATUSES, number

_HERE = Path(__file__).parent


def context() -> dict[str, Any]:
    """Return everything that the template fills in; all of it computed or read, once."""
    cases = sure.cases()
    return {
        **shell_variables("about"),
        "layout": (_HERE / "page.css").read_text(encoding="utf-8"),
        "facts": facts(),
        "figure": figure.figure(),
        "cases": sure.table(cases),
        "sure": sure.summary(cases),
        "resonances": sure.resonances(),
        "checks": checks.checks(),
        "origins": origins.by_status(),
        "free": origins.free(),
        "meanings": STATUSES,
        "show": teaching.facts(),
    }


def facts() -> dict[str, str]:
    """Return the single numbers that the page's sentences quote, as text."""
    a, b, _ = defaults()
    drives, fluid = catalogue().drives, a.scenario.fluid
    angular = 2 * np.pi * a.motion.frequency
    layer = np.sqrt(2 * fluid.viscosity / fluid.density / angular)
    settling = 2 / (a.scenario.loss_factor * angular)
    plain = {
        "spacing": "motion.spacing",
        "loss": "motion.loss_factor",
        "fit_torsional": "drive.full_end_stroke_torsional",
        "fit_axial": "drive.full_end_stroke_axial",
        "published_ratio": "published.end_ratio",
        "practice_ratio": "practice.fifth_marker_ratio",
    }
    return {
        **{name: _text(id) for name, id in plain.items()},
        "mobility_air": coupling(a.scenario, "air"),
        "mobility_fluid": coupling(a.scenario, "chamber"),
        "layer": f"{layer * 1e6:.0f}",
        "settling_ms": f"{settling * 1e3:.0f}",
        "pendular": percent(a.motion.character.pendular_share or 0),
        "pendular_counter": percent(b.motion.character.pendular_share or 0),
        "hub_twist": f"{np.degrees(drives['torsional'].twist_stroke):.3g}°",
        "hub_axial": microns(drives["axial"].axial_stroke),
        "torsional_khz": f"{drives['torsional'].frequency / 1e3:g}",
        "axial_khz": f"{drives['axial'].frequency / 1e3:g}",
        "still_depth": percent(STILL_DEPTH),
        "hub_share": percent(HUB_SHARE),
        "still_share": percent(STILL_SHARE),
    }


def coupling(scenario: Scenario, kind: str) -> str:
    """Return how far the sleeve would follow a needle's shaft with something else outside."""
    around = scenario.with_(outside=kind)
    place = (around.needle.taper_length + around.sleeve_end) / 2
    return f"{mobility(around, np.array([place]))[0]:.2f}"


def _text(id: str) -> str:
    n = number(id)
    return f"{n.value:g}{SPACE}{n.unit.symbol}".strip()


def about_html() -> str:
    """Build the page: a second or so of solving, so keep what this gives."""
    return templates().get_template("about/page.html").render(context())


ROUTES = routes("about", about_html)
"""What the server must know of this page."""
