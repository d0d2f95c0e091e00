"""The workbench answers whatever the sections below it send."""

from typing import Any

import pytest

from tipsim.app.workbench import Workbench


def test_an_unknown_section_gets_a_sentence_and_the_others_their_data() -> None:
    page = Workbench()
    page.look_deeper({"want": ["strength", "nothing of that name"], "stamp": 1})
    content = page.depth.content
    assert list(content["sections"]) == ["strength"]
    assert content["trouble"]["nothing of that name"].startswith(
        "There is no such section; allowed"
    )


@pytest.mark.parametrize("message", [{}, {"want": 3}, {"want": [["a"]]}, {"mode": "first"}])
def test_a_message_that_makes_no_sense_computes_nothing(message: dict[str, Any]) -> None:
    page = Workbench()
    page.look_deeper(message)
    assert page.depth.content["sections"] == {}
