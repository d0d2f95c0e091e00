"""Whatever is typed, clicked or opened in the needle editor is answered, and nothing is lost."""

from typing import Any
from urllib.parse import parse_qsl

from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.property.benches import materials, needles
from tipsim.app.editor.check import checked
from tipsim.app.editor.draft import LONGEST, PIECE, TUBE, Draft
from tipsim.app.editor.draft_link import draft_from_items, draft_items, editor_query
from tipsim.app.editor.editor import Editor
from tipsim.app.editor.state import EditorState
from tipsim.setup.catalogue import catalogue, needle
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle

ANY = needles(materials()) | st.sampled_from(sorted(catalogue().needles)).map(needle)


@given(ANY)
@settings(max_examples=100)
def test_the_board_gives_back_the_same_needle(needle: Needle) -> None:
    draft = Draft.of(needle)
    assert checked(draft).needle == needle
    assert draft_from_items(draft_items(draft)) == draft
    query = editor_query(draft, "")
    read = draft_from_items(dict(parse_qsl(query, keep_blank_values=True)))
    assert read == draft
    assert all(len(text) <= LONGEST for text in draft.tube.values())


FIELDS = st.sampled_from(
    ["title", *TUBE, *(f"pieces.{i}.{name}" for i in range(5) for name in PIECE)]
)
TEXTS = (
    st.sampled_from(["", "nan", "-1", "1e9", "0", "0.5", "20", "-180", "180", "1,5", "1_0", "x"])
    | st.floats(-200, 200).map(lambda v: f"{v:.3f}")
    | st.text(max_size=45)
)
STEPS = st.one_of(
    st.tuples(
        st.just("set"),
        st.fixed_dictionaries(
            {"field": FIELDS | st.text(max_size=9), "value": TEXTS},
            optional={"gesture": st.integers(0, 2)},
        ),
    ),
    st.tuples(
        st.sampled_from(["insert", "remove", "split", "move"]),
        st.fixed_dictionaries({"at": st.integers(-1, 5), "by": st.sampled_from([-1, 1])}),
    ),
    st.tuples(
        st.just("start"),
        st.fixed_dictionaries({"needle": st.sampled_from(sorted(catalogue().needles)) | st.text()}),
    ),
    st.tuples(st.sampled_from(["undo", "redo", "melt"]), st.just({})),
)


@given(st.lists(STEPS, max_size=12))
@example(
    [
        ("set", {"field": "pieces.1.turn_deg", "value": "180"}),
        ("set", {"field": "pieces.1.length_mm", "value": "2"}),
        ("set", {"field": "pieces.2.turn_deg", "value": "180"}),
        ("split", {"at": 2, "by": 1}),
    ]
)
@settings(max_examples=120)
def test_any_run_of_steps_can_be_taken_back(steps: list[tuple[str, dict[str, Any]]]) -> None:
    state = EditorState.first()
    for do, what in steps:
        before = state
        try:
            state = state.change(do, **what)
        except BadInput as bad:
            assert "\n" not in str(bad) and str(bad).endswith(".")
            assert state is before
        assert state.possible == (checked(state.draft).needle is not None)
        if state.possible:
            assert state.shown == checked(state.draft).needle
        assert draft_from_items(draft_items(state.draft)) == state.draft
        for sentence in state.errors.values():
            assert "\n" not in sentence and sentence.endswith(".") and "allowed: " in sentence
    last, steps_back = state.draft, len(state.past)
    for _ in range(steps_back):
        state = state.change("undo")
    assert state.past == ()
    for _ in range(steps_back):
        state = state.change("redo")
    assert state.draft == last


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
    editor = Editor(items)
    reply = editor.component.reply
    assert isinstance(reply["notice"], str) and "\n" not in reply["notice"]
    again = Editor(dict(parse_qsl(reply["link"], keep_blank_values=True)))
    assert again.state.draft == editor.state.draft
    assert again.component.reply["notice"] == ""


MESSAGES = st.dictionaries(
    st.sampled_from(["do", "field", "value", "at", "by", "needle", "name", "bytes", "gesture"]),
    st.none()
    | st.booleans()
    | st.integers(-2, 5)
    | st.floats()
    | TEXTS
    | st.sampled_from(["set", "load", "start", "insert", "undo", "look", "pieces.0.length_mm"])
    | st.lists(st.integers(), max_size=2),
    max_size=6,
)


@given(st.lists(MESSAGES, max_size=4))
@settings(max_examples=100)
def test_any_message_is_answered(changes: list[dict[str, Any]]) -> None:
    editor = Editor()
    editor.handle({"seq": 3, "changes": changes})
    reply = editor.component.reply
    assert reply["seq"] == 3
    assert all(isinstance(sentence, str) for sentence in reply["errors"].values())
