"""Nothing that repeats is endless: by link, by file and by message, refused in one sentence."""

from collections.abc import Iterator
from dataclasses import fields, replace
from typing import Any

import pytest

from tipsim.app.pages.flow.page import FlowPage
from tipsim.setup import link
from tipsim.setup.checks import key
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.scenario import Scenario

BASE = Scenario.preset("single-bend, torsional")
ONE_PART = {"pieces": "0.5:0", "events": "5:flow lost", "markers_mm": "0.001"}
"""One part of each list, as links write it."""


def lists(cls: type = Scenario, place: str = "") -> Iterator[tuple[str, int]]:
    """Return the path and the largest count of every field that repeats."""
    for f in fields(cls):
        path = f"{place}{key(f)}"
        kind = f.metadata["kind"]
        if kind == "part":
            yield from lists(f.metadata["cls"], f"{path}.")
        elif kind in ("parts", "numbers"):
            yield path, f.metadata["most"]


LISTS = dict(lists())


def test_every_list_of_a_scenario_is_met_here() -> None:
    assert {path.rpartition(".")[2] for path in LISTS} == set(ONE_PART)
    assert all(0 < most <= 40 for most in LISTS.values())


@pytest.mark.parametrize("path", LISTS)
def test_a_longer_list_in_a_link_is_refused_by_name_count_and_limit(path: str) -> None:
    one, most = ONE_PART[path.rpartition(".")[2]], LISTS[path]
    for count in (most + 1, 300):
        with pytest.raises(BadInput) as caught:
            link.from_items({path: ",".join([one] * count)})
        sentence = str(caught.value)
        assert path.rpartition(".")[2] in sentence and str(count) in sentence
        assert str(most) in sentence, sentence


def test_a_longer_list_in_a_file_is_refused_too() -> None:
    most, one = LISTS["events"], '{time_s = 5, what = "flow lost"}, '
    text = BASE.to_toml()
    assert "events = []" in text
    Scenario.parse(text.replace("events = []", f"events = [{one * most}]"))
    with pytest.raises(BadInput, match=rf"events is {most + 1} .*{most}"):
        Scenario.parse(text.replace("events = []", f"events = [{one * (most + 1)}]"))


def test_a_longer_list_in_python_is_refused_too() -> None:
    most = LISTS["events"]
    with pytest.raises(BadInput, match="events"):
        replace(BASE, events=tuple(Event(float(t), "flow lost") for t in range(most + 1)))


def test_a_message_with_more_changes_than_twenty_changes_nothing() -> None:
    page = FlowPage({})
    before = page.state

    def send(count: int) -> Any:
        change = {"side": "both", "field": "flow.leak_ml_min", "value": 5}
        page.handle({"seq": count, "changes": [change] * count})
        return page.controls.reply

    reply = send(21)
    assert page.state == before
    assert "21 changes" in str(reply) and "20" in str(reply)
    send(20)
    assert page.state != before
