"""Finishing a lesson's markup: terms say what they mean, pictures stand in the page itself."""

from __future__ import annotations

import base64
import re
from functools import lru_cache
from html import escape, unescape
from pathlib import Path

from tipsim.lesson.format import School
from tipsim.lesson.markdown import line
from tipsim.lesson.show import PICTURES

_IMAGE = re.compile(rf'<img src="{re.escape(PICTURES)}([^"/]+)/([^"/]+)" alt="([^"]*)"\s*/?>')
_TERM = re.compile(r'<button type="button" class="term" data-term="([^"]*)">(.*?)</button>')
_TAG = re.compile(r"<[^>]+>")
_PROLOG = re.compile(r"<\?xml.*?\?>|<!DOCTYPE.*?>|<!--.*?-->", re.DOTALL)


def finished(markup: str, school: School) -> str:
    """Put in what the terms mean and the pictures themselves.

    >>> from tipsim.lesson.format import Term
    >>> one = School({}, {}, {"stroke": Term("stroke", (), "Peak to peak.")})
    >>> term = '<button type="button" class="term" data-term="stroke">strokes</button>'
    >>> print(finished(term, one))
    <button type="button" class="term" aria-expanded="false">strokes</button><span class="meaning"
    role="note" hidden>Peak to peak.</span>
    """

    def explained(found: re.Match[str]) -> str:
        term = school.glossary.get(unescape(found[1]).lower())
        meaning = escape(bare(line(term.text))) if term else ""
        return (
            f'<button type="button" class="term" aria-expanded="false">{found[2]}</button>'
            f'<span class="meaning" role="note" hidden>{meaning}</span>'
        )

    return _TERM.sub(explained, pictured(markup, school))


def pictured(markup: str, school: School) -> str:
    """Put the pictures of the lessons into the page: an SVG then takes the page's colours."""

    def drawn(found: re.Match[str]) -> str:
        lesson = school.lessons[unescape(found[1])]
        return _picture(lesson.folder / Path(unescape(found[2])).name, found[3])

    return _IMAGE.sub(drawn, markup)


def printed(markup: str, school: School) -> str:
    """Return markup for paper, on which nothing opens.

    >>> term = '<button type="button" class="term" data-term="x">word</button>'
    >>> printed(f"a {term}", School({}, {}, {}))
    'a word'
    """
    return pictured(_TERM.sub(r"\2", markup), school)


def bare(markup: str) -> str:
    """Return the words of some markup.

    >>> bare("<em>more</em> &amp; less")
    'more & less'
    """
    return unescape(_TAG.sub("", markup))


@lru_cache(maxsize=256)
def _picture(path: Path, label: str) -> str:
    if path.suffix == ".svg":
        drawn = _PROLOG.sub("", path.read_text(encoding="utf-8")).strip()
        return f'<span class="picture" role="img" aria-label="{label}">{drawn}</span>'
    kind = "png" if path.suffix == ".png" else "jpeg"
    data = base64.b64encode(path.read_bytes()).decode("ascii")
    return f'<span class="picture"><img src="data:image/{kind};base64,{data}" alt="{label}"></span>'
