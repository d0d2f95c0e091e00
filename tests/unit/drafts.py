"""Drafts of needles, and typing into them, for the tests of the editor."""

from urllib.parse import parse_qsl, urlsplit

from tipsim.app.pages.needle.draft import Draft
from tipsim.app.pages.needle.state import NeedleState

FIRST = NeedleState.first()


def of(draft: Draft) -> NeedleState:
    """Return the state of a draft on a fresh page."""
    return FIRST.with_draft(draft)


COUNTER = of(Draft.start("counter-bent-medium"))


def put(state: NeedleState, **texts: str) -> NeedleState:
    """Type texts: tube fields by name, pieces as p1_length_mm."""
    for name, text in texts.items():
        field = name
        if name[0] == "p" and name[1].isdigit():
            field = f"pieces.{name[1]}.{name[3:]}"
        state = state.change("both", f"draft.{field}", text)
    return state


def items_of(href: str) -> dict[str, str]:
    """Return the items of a link's query."""
    return dict(parse_qsl(urlsplit(href).query, keep_blank_values=True))
