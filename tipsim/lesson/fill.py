"""Texts with computed values: ``{a.end_stroke_um_pp:.0f}`` becomes ``130``."""

import re

from tipsim.lesson.expression import Scope, evaluate
from tipsim.setup.errors import BadInput

_BRACES = re.compile(r"\{\{|\}\}|\{([^{}]*)\}|[{}]")
_FORMAT = re.compile(r"(\.\d)?[fg%]|d")
_ALLOWED = "{name}, {expression:.0f}, or {{ for a brace"


def fill(text: str, scope: Scope) -> str:
    r"""Put values in for what stands in braces.

    Raises
    ------
    BadInput
        Naming the expression or format that is off.

    Examples
    --------
    >>> from tipsim.lesson.quantities import Values
    >>> fill("{power} % of {3 * power:.1f}, {1/3:.0%}", Values({}, {"power": 40.0}))
    '40 % of 120.0, 33\xa0%'
    """

    def put(found: re.Match[str]) -> str:
        whole = found.group()
        if whole in ("{{", "}}"):
            return whole[0]
        if found.group(1) is None:
            raise BadInput(f'"{whole}"', "a single brace", _ALLOWED)
        return _shown(found.group(1), scope)

    return _BRACES.sub(put, text)


def _shown(inside: str, scope: Scope) -> str:
    source, colon, form = inside.rpartition(":")
    if not colon:
        source, form = inside, ""
    form = form.strip()
    value = evaluate(source, scope)
    if isinstance(value, str) and not colon:
        return value
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadInput(f'"{{{inside}}}"', "no number", "a number, or a word without format")
    if colon and not _FORMAT.fullmatch(form):
        raise BadInput(f'"{{{inside}}}"', f'format "{form}"', ".0f to .9f, .3g, .0%, d")
    return show_number(float(value), form or "g")


def show_number(value: float, form: str = "g") -> str:
    r"""Write a number in a format, with a true minus sign and a space before %.

    >>> show_number(-0.2, ".0f"), show_number(-1.5, ".1f"), show_number(0.25, ".0%")
    ('0', '−1.5', '25\xa0%')
    """
    out = f"{round(value)}" if form == "d" else f"{value:{form}}"
    if form.endswith("g") and "e" in out:
        out = f"{float(out):f}".rstrip("0").rstrip(".")
    if out.startswith("-") and not out.strip("-0.%"):
        out = out[1:]
    return out.replace("-", "−").replace("%", "\u00a0%")
