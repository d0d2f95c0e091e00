"""Markdown to HTML: CommonMark with tables, terms of the glossary, sources, pictures."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from html import escape

from markdown_it import MarkdownIt
from markdown_it.rules_inline import StateInline
from markdown_it.token import Token

_MARK = re.compile(r"\[\[([^\[\]|\n]+)(?:\|([^\[\]|\n]+))?\]\]|\[@([a-z][a-z0-9-]*)\]")


@dataclass(frozen=True)
class Marks:
    """What a text points to: terms, sources, pictures (file, alt text), levels of headings."""

    terms: tuple[str, ...]
    sources: tuple[str, ...]
    pictures: tuple[tuple[str, str], ...]
    levels: tuple[int, ...]


def html(text: str, folder: str = "", sources: Mapping[str, int] | None = None) -> str:
    """Turn Markdown into HTML; HTML in it is shown as text.

    Parameters
    ----------
    folder : str
        What stands before the file of a picture, with its slash.
    sources : mapping
        Number of each source by id.

    Returns
    -------
    str
        Terms are ``<button class="term" data-term="...">``, sources links to ``#source-ID``.

    Examples
    --------
    >>> print(html("A [[strokes|stroke]] [@cowper1966] <b>", sources={"cowper1966": 2}), end="")
    <p>A <button type="button" class="term" data-term="stroke">strokes</button> <a class="source"
    href="#source-cowper1966" aria-label="source 2">[2]</a> &lt;b&gt;</p>
    """
    tokens = _parser().parse(text)
    for token in _every(tokens):
        if token.type == "image":
            token.attrSet("src", folder + str(token.attrGet("src")))
        elif token.type == "cite":
            token.meta["number"] = (sources or {}).get(token.content, 0)
    return str(_parser().renderer.render(tokens, _parser().options, {}))


def line(text: str) -> str:
    """Turn one line of Markdown into HTML without a paragraph around it.

    >>> line("*more* power")
    '<em>more</em> power'
    """
    return str(_parser().renderInline(text))


def unmarked(text: str) -> str:
    """Return Markdown without marks: terms as they are shown, no sources.

    >>> unmarked("[[strokes|stroke]] grow [@cowper1966].")
    'strokes grow.'
    """
    return re.sub(r"\s*\[@[a-z][a-z0-9-]*\]", "", _MARK.sub(_shown, text))


def _shown(found: re.Match[str]) -> str:
    return found.group(1) or found.group()


def marks(text: str) -> Marks:
    """Return what a text points to."""
    tokens = list(_every(_parser().parse(text)))
    return Marks(
        tuple(str(t.meta["term"]) for t in tokens if t.type == "term"),
        tuple(t.content for t in tokens if t.type == "cite"),
        tuple((str(t.attrGet("src")), t.content) for t in tokens if t.type == "image"),
        tuple(int(t.tag[1]) for t in tokens if t.type == "heading_open"),
    )


def _every(tokens: list[Token]) -> Iterator[Token]:
    for token in tokens:
        yield token
        yield from _every(token.children or [])


@cache
def _parser() -> MarkdownIt:
    parser = MarkdownIt("commonmark", {"html": False}).enable("table")
    parser.inline.ruler.before("link", "marks", _rule)
    parser.add_render_rule("term", _term)
    parser.add_render_rule("cite", _cite)
    return parser


def _rule(state: StateInline, silent: bool) -> bool:
    found = _MARK.match(state.src, state.pos, state.posMax)
    if found is None:
        return False
    if not silent:
        shown, term, source = found.groups()
        token = state.push("cite" if source else "term", "", 0)
        token.content = source or shown
        token.meta = {} if source else {"term": (term or shown).strip()}
    state.pos = found.end()
    return True


def _term(_: object, tokens: list[Token], index: int, *_rest: object) -> str:
    token = tokens[index]
    term = escape(str(token.meta["term"]).lower())
    return f'<button type="button" class="term" data-term="{term}">{escape(token.content)}</button>'


def _cite(_: object, tokens: list[Token], index: int, *_rest: object) -> str:
    number, id = tokens[index].meta.get("number", 0), escape(tokens[index].content)
    label = f'aria-label="source {number}"'
    return f'<a class="source" href="#source-{id}" {label}>[{number}]</a>'
