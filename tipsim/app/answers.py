"""What the pages with a form have in common: what they keep of a link, refuse and answer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tipsim.app.bench_state import BenchState
from tipsim.app.framework.controls import Controls
from tipsim.setup.errors import BadInput


def other_views(items: Mapping[str, str], prefix: str) -> dict[str, str]:
    """Give how other pages are looked at: not ours, but it must survive a visit here.

    >>> other_views({"view.film.rate": "1", "view.flow.hold_s": "2", "power": "3"}, "view.flow.")
    {'view.film.rate': '1'}
    """
    return {k: v for k, v in items.items() if k.startswith("view.") and not k.startswith(prefix)}


def bench_of(items: Mapping[str, str]) -> BenchState:
    """Give the needles of a link whose own items cannot be used, or the first ones."""
    try:
        return BenchState.from_items(items)
    except BadInput:
        return BenchState.first()


def unusable(bad: BadInput) -> str:
    """Say that a link could not be used."""
    return f"This link could not be used: {bad} The first setting is shown."


def refusal(controls: Controls, side: str, field: str, bad: BadInput) -> dict[str, str]:
    """Give the sentence on a field that is not taken, by the field's id."""
    id = f"{side}:{field}"
    return {id: f"{controls.label(id)} is {bad.value}; allowed: {bad.allowed}."}


def answer(
    controls: Controls,
    schema: list[dict[str, Any]],
    link: str,
    seq: int | None,
    errors: dict[str, str],
    notice: str | None,
) -> None:
    """Answer a form: its values as they are now, what was refused, and the link.

    Parameters
    ----------
    controls : Controls
    schema : list
        The form as it is now.
    link : str
    seq : int or None
        Number of the message that is answered; None where nobody asked.
    errors : dict of str to str
        Sentences by field.
    notice : str or None
        What to say besides; None leaves what stands there.
    """
    reply: dict[str, Any] = {
        "seq": controls.reply.get("seq", 0) if seq is None else seq,
        "errors": errors,
        "values": {c["id"]: c["value"] for g in schema for c in g["controls"]},
        "link": link,
    }
    if notice is not None:
        reply["notice"] = notice
    controls.reply = reply
