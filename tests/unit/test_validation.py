"""The table of outside checks: its rows belong to tests, and a row that is off is noticed."""

import ast
import re
from collections.abc import Callable
from functools import cache

import pytest

from tests import validation as file

LEAST = 20
"""Characters that a name with parts filled in has of its own, or it would stand for any row."""


@cache
def names(file_name: str) -> tuple[str, ...]:
    """Return patterns of the texts in a file: parts that a test fills in stand for any words."""
    tree = ast.parse((file.ROOT / file_name).read_text(encoding="utf-8"))
    out = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            out.append(re.escape(node.value))
        elif isinstance(node, ast.JoinedStr):
            own = [p.value if isinstance(p, ast.Constant) else None for p in node.values]
            if sum(len(str(words)) for words in own if words is not None) >= LEAST:
                out.append("".join(".+" if w is None else re.escape(str(w)) for w in own))
    return tuple(out)


def is_declared(row: str) -> bool:
    """Return whether the file that a row names declares its check."""
    check = row.removeprefix("| ").split(" | ")[0]
    return any(re.fullmatch(name, check) for name in names(file.file_of(row)))


def test_every_row_is_declared_by_the_test_that_it_names() -> None:
    rows = file.lines()
    assert len(rows) > 40
    assert [row for row in rows if not is_declared(row)] == []


def test_a_row_that_no_test_declares_is_noticed() -> None:
    row = next(r for r in file.lines() if "every needle and drive, strokes" in r)
    assert is_declared(row)
    assert not is_declared(row.replace("every needle", "each needle"))
    assert not is_declared(row.replace("test_convergence", "test_water"))


def test_the_page_about_the_model_shows_the_same_rows() -> None:
    assert file.SHOWN.read_text(encoding="utf-8").splitlines() == file.lines()


def test_a_row_that_is_not_as_written_fails(
    validation: Callable[[str, str, str, str, str], None],
) -> None:
    with pytest.raises(AssertionError, match=r"validation\.py"):
        validation("viscosity of water", "1.002", "1.102", "2.5 %", "handbooks")


@pytest.mark.parametrize(
    ("deviations", "words"),
    [([0.0], "below 1e-6"), ([-0.02], "within 2 %"), ([0.1, -0.31], "within 40 %")],
)
def test_a_deviation_is_rounded_up_never_down(deviations: list[float], words: str) -> None:
    assert file.within(deviations) == words
