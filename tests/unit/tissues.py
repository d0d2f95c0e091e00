"""States of the tissue page for its tests."""

from typing import Any

from tipsim.app.pages.tissue.page import TissuePage
from tipsim.app.pages.tissue.state import TissueState

FIRST = TissueState.first()
HOT = {"outside": "wound", "occlusion": "100", "duration": "10", "eye.iris_gap_mm": "0"}
Query = dict[str, str]


class Waiting:
    """A pool that keeps its jobs until they are asked for."""

    def __init__(self) -> None:
        self.jobs: dict[str, Any] = {}

    def submit(self, _owner: Any, name: str, work: Any, done: Any) -> None:
        self.jobs[name] = (work, done)

    def forget(self, _owner: Any) -> None:
        self.jobs.clear()

    def run(self) -> list[str]:
        names, jobs = list(self.jobs), list(self.jobs.values())
        self.jobs.clear()
        for work, done in jobs:
            done(work())
        return names


def changed(page: TissuePage, field: str, value: Any, side: str = "both") -> dict[str, str]:
    page.handle({"seq": 1, "changes": [{"side": side, "field": field, "value": value}]})
    return dict(page.controls.reply["errors"])


def items(query: str) -> Query:
    return dict(pair.split("=") for pair in query.split("&"))


def state(query: Query) -> TissueState:
    return TissueState.from_items(query)
