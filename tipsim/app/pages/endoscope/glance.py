"""The endoscope page at a glance: what the two films say, and three numbers."""

from __future__ import annotations

from tipsim.app.framework.glance import Glance, Number
from tipsim.app.framework.words import micro
from tipsim.app.pages.endoscope.state import EndoscopeState
from tipsim.motion.camera.measure import GOOD
from tipsim.quantities.declare import NONE, figures
from tipsim.tissue.endoscope import Ratio, Study
from tipsim.tissue.endoscope.verdict import ratio_outcome

MUCH = 1000.0
"""Beyond this a ratio is written as "any number"."""


def expected(state: EndoscopeState) -> Glance:
    """Return what stands before the films are there."""
    none = {"a": NONE, "b": NONE}
    return Glance(
        "The films are being taken.",
        [
            Number("ratio", "Specks, A over B", "", {"films": NONE, "true": NONE}),
            Number("blur", "Stroke by the mark's blur", "µm peak to peak", none),
            Number("specks", "Specks counted", "a picture", none),
        ],
        " ".join(state.held),
    )


def filmed(state: EndoscopeState) -> Glance:
    """Return the headline and the three numbers of both films."""
    a, b = state.studies
    found = state.ratio
    return Glance(
        headline(found),
        [
            Number(
                "ratio", "Specks, A over B", "",
                {"films": times(found.seen), "true": times(found.expected)},
            ),
            Number(
                "blur", "Stroke by the mark's blur", "µm peak to peak",
                {"a": stroke(a), "b": stroke(b)},
            ),
            Number(
                "specks", "Specks counted", "a picture",
                {k: figures(s.count.mean, 2) for k, s in (("a", a), ("b", b))},
            ),
        ],
        " ".join(state.held),
    )  # fmt: skip


def times(value: float | None) -> str:
    """Return a ratio as text.

    >>> times(1.94), times(None), times(24.7)
    ('1.9', '–', '25')
    """
    return NONE if value is None or value > MUCH else figures(value, 2)


def stroke(study: Study) -> str:
    """Return the stroke by the mark's blur, in micrometres."""
    return micro(study.blur.seen) if study.blur.inside else NONE


def headline(found: Ratio) -> str:
    """Return in a sentence what the films say of the two needles.

    >>> headline(Ratio(2.0, 1.4, 2.9, 2.1, 2.0))
    'The films show more specks from A: 2.0 times as many as from B (1.4 to 2.9); true is 2.0.'
    >>> headline(Ratio(1.2, 0.5, 2.9, 2.1, 2.0))
    'These films cannot tell which needle sets more free: A over B is 1.2 (0.50 to 2.9).'
    >>> headline(Ratio(None, 0.0, float("inf"), None, None))
    'These films show too few specks to compare the needles.'
    """
    if found.seen is None:
        return "These films show too few specks to compare the needles."
    low, high = (figures(v, 2) if v < MUCH else "any number" for v in (found.low, found.high))
    span = f"({low} to {high})"
    if not found.is_clear:
        start = "These films cannot tell which needle sets more free"
        return f"{start}: A over B is {times(found.seen)} {span}."
    more, other = ("A", "B") if found.seen > 1 else ("B", "A")
    by = found.seen if found.seen > 1 else 1 / found.seen
    ends = sorted((found.low, found.high) if found.seen > 1 else (1 / found.high, 1 / found.low))
    span = f"({' to '.join(figures(v, 2) for v in ends)})"
    true = found.expected if found.seen > 1 or not found.expected else 1 / found.expected
    start = f"The films show more specks from {more}: {times(by)} times as many as from {other}"
    end = f"true is {times(true)}" + ("" if ratio_outcome(found) == GOOD else ", so they mislead")
    return f"{start} {span}; {end}."
