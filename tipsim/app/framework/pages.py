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
    handlers: str = ""
    ready: str = "main"

    def load(self) -> Any:
        """Return what `build` names."""
        return _named(self.build)

    def routes(self) -> list[Any]:
        """Return the routes that `handlers` names."""
        return list(_named(self.handlers)) if self.handlers else []


PAGES = (
    Entry("", "Compare needles", "tipsim.app.pages.bench.page:BenchPage", ready=".readout table"),
    Entry("heat", "Heat", "tipsim.app.pages.heat.page:HeatPage", ready=".readout table"),
    Entry("tissue", "Tissue", "tipsim.app.pages.tissue.page:TissuePage"),
    Entry("needle", "Needle", "tipsim.app.pages.needle.page:NeedlePage", ready=".handle"),
    Entry("flow", "Flow", "tipsim.app.pages.flow.page:FlowPage", ready=".readout table"),
    Entry("camera", "Camera", "tipsim.app.pages.camera.page:CameraPage", ready=".verdicts"),
    Entry(
        *("lessons", "Lessons", "tipsim.app.pages.lessons.page:Lessons"),
        handlers="tipsim.app.pages.lessons.paper:ROUTES",
    ),
    Entry("lesson", "", "tipsim.app.pages.lesson.page:LessonPage"),
    Entry("studies", "Evidence", handlers="tipsim.app.pages.studies.page:ROUTES"),
    Entry("about", "About the model", handlers="tipsim.app.pages.about.page:ROUTES"),
)


def _named(name: str) -> Any:
    module, _, attribute = name.partition(":")
    return getattr(import_module(module), attribute)
