"""The table of pages: routes, navigation and tests follow from it."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import Any


@dataclass(frozen=True)
class Entry:
    """One page.

    Attributes
    ----------
    path : str
        Of its address.
    label : str
        In the navigation; "" for a page that does not stand there.
    group : str
        Under which the navigation has it, with others; "" for one that stands alone.
    about : str
        Below the label in a group: what the page shows.
    build : str
        "module:name" of a `Page` or `Acts`, or of a function that builds a template for one
        learner; "" for a page that is the same for everybody.
    handlers : str
        "module:name" of routes that are the same for everybody.
    ready : str
        What is on the page once it is drawn, as a selector: for tests.
    """

    path: str
    label: str
    build: str = ""
    group: str = ""
    about: str = ""
    handlers: str = ""
    ready: str = "main"

    def load(self) -> Any:
        """Return what `build` names."""
        return _named(self.build)

    def routes(self) -> list[Any]:
        """Return the routes that `handlers` names."""
        return list(_named(self.handlers)) if self.handlers else []


_PAGES = "tipsim.app.pages"
PAGES = (
    Entry("", "", handlers=f"{_PAGES}.front.page:ROUTES"),
    Entry(
        *("lessons", "Learn", f"{_PAGES}.lessons.page:Lessons"),
        handlers=f"{_PAGES}.lessons.paper:ROUTES",
    ),
    Entry("lesson", "", f"{_PAGES}.lesson.page:LessonPage"),
    Entry("compare", "Compare needles", f"{_PAGES}.bench.page:BenchPage", ready=".ts-stage"),
    Entry(
        *("heat", "Heat", f"{_PAGES}.heat.page:HeatPage", "Effects"),
        about="How warm needle, sleeve and incision get",
        ready=".scene .play",
    ),
    Entry(
        *("tissue", "Tissue", f"{_PAGES}.tissue.page:TissuePage", "Effects"),
        about="Iris, incision, cutting, and what one costs the other",
    ),
    Entry(
        *("flow", "Fluidics", f"{_PAGES}.flow.page:FlowPage", "Effects"),
        about="Bottle, pump and chamber; occlusion and surge",
        ready=".readout table",
    ),
    Entry(
        *("camera", "High-speed camera", f"{_PAGES}.camera.page:CameraPage", "Instruments"),
        about="What a film of the needle shows, beside the truth",
        handlers=f"{_PAGES}.camera.saving:ROUTES",
        ready=".chips",
    ),
    Entry(
        *("thermal-camera", "Thermal camera", f"{_PAGES}.thermal.page:ThermalPage", "Instruments"),
        about="What a picture of heat shows, beside the truth",
        handlers=f"{_PAGES}.thermal.saving:ROUTES",
        ready=".thermal[data-rough='false']",
    ),
    Entry(
        *("endoscope", "Endoscope", f"{_PAGES}.endoscope.page:EndoscopePage", "Instruments"),
        about="Along the sleeve: specks, a mark's blur, brightness, beside the truth",
        handlers=f"{_PAGES}.endoscope.saving:ROUTES",
        ready=".chips",
    ),
    Entry("needle", "Design a needle", f"{_PAGES}.needle.page:NeedlePage", ready=".handle"),
    Entry("present", "", handlers=f"{_PAGES}.present.page:ROUTES"),
    Entry("studies", "Evidence", handlers=f"{_PAGES}.studies.page:ROUTES"),
    Entry("about", "About", handlers=f"{_PAGES}.about.page:ROUTES"),
)
"""In the order of the navigation."""


def navigation(here: str) -> list[dict[str, Any]]:
    """Return the navigation's entries: pages that stand alone, and groups of pages.

    >>> [entry["label"] for entry in navigation("heat")][:4]
    ['Learn', 'Compare needles', 'Effects', 'Instruments']
    """
    out: list[dict[str, Any]] = []
    # A lesson belongs to what is learnt.
    shown = "lessons" if here == "lesson" else here
    for page in PAGES:
        if not page.label:
            continue
        is_here = page.path == shown
        one = {
            "href": f"./{page.path}", "label": page.label, "about": page.about, "here": is_here,
        }  # fmt: skip
        if not page.group:
            out.append(one)
            continue
        if not out or out[-1]["label"] != page.group:
            out.append({"label": page.group, "here": False, "pages": []})
        out[-1]["pages"].append(one)
        out[-1]["here"] |= is_here
    return out


def _named(name: str) -> Any:
    module, _, attribute = name.partition(":")
    return getattr(import_module(module), attribute)
