"""The page as a whole: what its template needs, and the plain handler that serves it."""

from __future__ import annotations

import asyncio
from concurrent.futures import Future, ThreadPoolExecutor
from functools import cache
from typing import Any

import numpy as np
from tornado.web import RequestHandler

from tipsim.app.about import checks, figure, origins, sure, teaching
from tipsim.app.about.results import defaults, microns, percent, ratio
from tipsim.app.framework.template import shell_variables, templates
from tipsim.motion.character import HUB_SHARE, STILL_DEPTH
from tipsim.motion.markers import STILL_SHARE
from tipsim.setup.catalogue import catalogue
from tipsim.setup.sourced import STATUSES, Sourced, number


def context() -> dict[str, Any]:
    """Return everything that the template fills in; all of it computed or read, once."""
    cases = sure.cases()
    return {
        **shell_variables("about"),
        "facts": facts(),
        "figure": figure.figure(),
        "cases": sure.table(cases),
        "cases_told": sure.sentences(cases),
        "steps": [{"limit": percent(limit), "word": word} for limit, word in sure.STEPS],
        "decisive": sure.DECISIVE,
        "ceiling": f"{sure.ceiling():g}",
        "checks": [
            ("Mechanics and water", checks.mechanics()),
            ("The default needles", checks.needles()),
        ],
        "origins": origins.by_status(),
        "meanings": STATUSES,
        "showings": teaching.showings(),
        "wrong_ideas": teaching.wrong_ideas(),
    }


def facts() -> dict[str, str]:
    """Return the single numbers that the page's sentences quote, as text."""
    d = defaults()
    a, b = d.single, d.counter
    c = catalogue()
    scenario, fluid = a.scenario, a.scenario.fluid
    angular = 2 * np.pi * a.motion.frequency
    layer = np.sqrt(2 * fluid.viscosity / fluid.density / angular)
    settling = 2 / (scenario.loss_factor * angular)
    mobility = number("sleeve.mobility")
    return {
        "nodes": str(a.motion.frame.n),
        "spacing": _text(number("motion.spacing")),
        "layer": f"{layer * 1e6:.0f}",
        "mobility": f"{mobility.value:g}",
        "mobility_free": f"{mobility.high:g}",
        "loss": f"{scenario.loss_factor:g}",
        "settling_ms": f"{settling * 1e3:.0f}",
        "settling_cycles": f"{settling * a.motion.frequency:.0f}",
        "single": microns(a.motion.end_stroke),
        "counter": microns(b.motion.end_stroke),
        "ratio": ratio(b.motion.end_stroke / a.motion.end_stroke),
        "pendular": percent(a.motion.character.pendular_share or 0),
        "pendular_counter": percent(b.motion.character.pendular_share or 0),
        "hub_twist": f"{np.degrees(c.drives['torsional'].twist_stroke):.3g}°",
        "hub_axial": microns(c.drives["axial"].axial_stroke),
        "torsional_khz": f"{c.drives['torsional'].frequency / 1e3:g}",
        "axial_khz": f"{c.drives['axial'].frequency / 1e3:g}",
        "fit_torsional": _text(number("drive.full_end_stroke_torsional")),
        "fit_axial": _text(number("drive.full_end_stroke_axial")),
        "published_ratio": f"{number('published.end_ratio').value:g}",
        "practice_ratio": f"{number('practice.fifth_marker_ratio').value:g}",
        "node_depth": percent(STILL_DEPTH),
        "hub_share": percent(HUB_SHARE),
        "still_share": percent(STILL_SHARE),
    }


def _text(n: Sourced) -> str:
    return f"{n.value:g}\N{NO-BREAK SPACE}{n.unit.symbol}"


def about_html() -> str:
    """Build the page: a second or so of solving, so keep what this gives."""
    return templates().get_template("about.html").render(context())


@cache
def _built() -> Future[bytes]:
    """Build the page once, beside the loop that serves everybody else."""
    # Shutting down without waiting lets the one job end by itself.
    builder = ThreadPoolExecutor(1, "about")
    page = builder.submit(lambda: about_html().encode())
    builder.shutdown(wait=False)
    return page


class AboutHandler(RequestHandler):
    """Hand out the page: the same bytes for every reader, no session, no socket."""

    async def get(self) -> None:
        """Answer with the page; Tornado adds a tag, so that a second look costs nothing."""
        if self.request.path.endswith("/"):
            # Links on the page are relative to its own address, without the trailing slash.
            self.redirect("../about", permanent=True)
            return
        self.set_header("Content-Type", "text/html; charset=utf-8")
        self.set_header("Cache-Control", "no-cache")
        page: bytes = await asyncio.wrap_future(_built())
        self.write(page)

    head = get


ROUTES: list[tuple[str, type[RequestHandler]]] = [(r"/about/?", AboutHandler)]
"""What the server must know of this page."""
