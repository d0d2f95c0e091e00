"""Whatever is typed, clicked or opened in the needle editor is answered, and nothing is lost."""

from typing import Any
from urllib.parse import parse_qsl

from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.property.benches import materials, needles
from tipsim.app.framework.history import MOST, History
from tipsim.app.pages.needle.check import checked
from tipsim.app.pages.needle.draft import LONGEST, PIECE, TUBE, Draft
from tipsim.app.pages.needle.page import NeedlePage
from tipsim.app.pages.needle.state import NeedleState
from tipsim.setup.catalogue import catalogue, needle
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle

ANY = needles(materials()) | st.sampled_from(sorted(catalogue().needles)).map(needle)


def read_back(draft: Draft) -> Draft:
    """Write a draft into a link, and read it."""
    items = dict(parse_qsl(draft.query(), keep_blank_values=True))
    read, bad = Draft.from_items(items, Draft.start("straight-wide"))
    assert bad == []
    return read


@given(ANY)
@settings(max_examples=100)
def test_the_board_gives_back_the_same_needle(needle: Needle) -> None:
    draft = Draft.of(needle)
    assert checked(draft).needle == needle
    assert read_back(draft) == draft
    assert all(len(text) <= LONGEST for text in draft.tube.values())


FIELDS = st.sampled_from(
    ["title", *TUBE, *(f"pieces.{i}.{name}" for i in range(5) for name in PIECE)]
)
TEXTS = (
    st.sampled_from(["", "nan", "-1", "1e9", "0", "0.5", "20", "-180", "180", "1,5", "1_0", "x"])
    | st.floats(-200, 200).map(lambda v: f"{v:.3f}")
    | st.text(max_size=45)
)
AT = st.integers(-1, 5)
STEPS = st.one_of(
    st.tuples((FIELDS | st.text(max_size=9)).map("draft.{}".format), TEXTS | st.floats(0, 40)),
    st.tuples(st.sampled_from(["insert", "remove", "split"]), AT),
    st.tuples(st.just("move"), st.tuples(AT, st.sampled_from([-1, 1])).map(list)),
    st.tuples(st.just("start"), st.sampled_from(sorted(catalogue().needles)) | st.text()),
    st.tuples(st.sampled_from(["melt", "drive"]), st.none()),
)


@given(st.lists(STEPS, max_size=12))
@example(
    [
        ("draft.pieces.1.turn_deg", "180"),
        ("draft.pieces.1.length_mm", "2"),
        ("draft.pieces.2.turn_deg", "180"),
        ("split", 2),
    ]
)
@settings(max_examples=120)
def test_any_run_of_steps_can_be_taken_back(steps: list[tuple[str, Any]]) -> None:
    history = History(NeedleState.first())
    for path, value in steps:
        before = history.now
        try:
            history = history.then(before.change("both", path, value))
        except BadInput as bad:
            assert "\n" not in str(bad) and str(bad).endswith(".")
        state = history.now
        assert state.possible == (checked(state.draft).needle is not None)
        if state.possible:
            assert state.shown == checked(state.draft).needle
        assert read_back(state.draft) == state.draft
        for sentence in state.errors.values():
            assert "\n" not in sentence and sentence.endswith(".")
    last, steps_back = history.now, len(history.past)
    assert steps_back <= MOST
    for _ in range(steps_back):
        history = history.step("undo")
    assert history.now == NeedleState.first()
    for _ in range(steps_back):
        history = history.step("redo")
    assert history.now == last


NAMES = st.sampled_from(
    ["draft.title", "draft.id", "draft.shape", "draft.pieces", "draft.material.poisson", "edit"]
    + [f"draft.{name}" for name in TUBE]
    + ["power", "a.needle", "b.needle.pieces", "view.apart"]
)


@given(
    st.dictionaries(
        NAMES | st.text(max_size=8), TEXTS | st.text(":,%0123.", max_size=30), max_size=4
    )
)
@settings(max_examples=100)
def test_any_link_opens_the_page(items: dict[str, str]) -> None:
    page = NeedlePage(items)
    notice = page.controls.reply["notice"]
    assert "\n" not in notice
    again = NeedlePage(dict(parse_qsl(page.state.to_query(), keep_blank_values=True)))
    assert again.state.draft == page.state.draft
    assert again.controls.reply["notice"] == ""


MESSAGES = st.dictionaries(
    st.sampled_from(["side", "field", "value", "gesture"]),
    st.none()
    | st.booleans()
    | st.integers(-2, 5)
    | st.floats()
    | TEXTS
    | st.sampled_from(["load", "start", "insert", "undo", "reset", "draft.pieces.0.length_mm"])
    | st.lists(st.integers(), max_size=2),
    max_size=6,
)


@given(st.lists(MESSAGES, max_size=4))
@settings(max_examples=100)
def test_any_message_is_answered(changes: list[dict[str, Any]]) -> None:
    page = NeedlePage()
    page.handle({"seq": 3, "changes": changes})
    reply = page.controls.reply
    assert reply["seq"] == 3
    assert all(isinstance(sentence, str) for sentence in reply["errors"].values())
    assert "could not be computed" not in reply.get("notice", "")
