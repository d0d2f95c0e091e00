"""How the model was checked, as a table made from a run: ``python tests/validation.py [FILE ...]``.

A test declares its row with the fixture ``validation``, which fails when the row does not stand in
`VALIDATION.md` as it is; this command runs those tests and writes the file anew, and the rows once
more where the page about the model reads them. Rows of tests that
were not run, such as those of a peer that is not installed, stay as they were.
"""

import math
import sys
from collections.abc import Iterable
from pathlib import Path

ROOT = Path(__file__).parents[1]
FILE = ROOT / "tests" / "VALIDATION.md"
SHOWN = ROOT / "assets" / "validation.md"
"""The same rows for the page about the model."""
MARKS = "<!-- bench rows -->\n", "<!-- end of bench rows -->"
HEAD = """# How the model was checked

Each row is declared by the test named in its last column, which fails when the row no longer says
what the test finds. `python tests/validation.py` writes this table, `python
tests/regression/renew.py` the one below it. Do not edit either by hand.

| check | outside value | ours | allowed | source | test |
|---|---|---|---|---|---|
"""
BENCH = """
## Model against published bench rows

`tipsim check-bench` computes this table. Band: each assumed setting and number alone at both ends
of its range, then all that lower and all that raise the result at once, on a coarser grid.

"""
SMALLEST = 1e-6
"""Relative deviations below this are rounding of the machine, and not written out."""


def within(deviations: Iterable[float]) -> str:
    """Return the largest relative deviation, rounded up to one digit so that machines agree.

    >>> within([0.00012, -0.00031]), within([2e-9]), within([1.2e-5])
    ('within 0.04 %', 'below 1e-6', 'within 0.002 %')
    """
    worst = max(abs(d) for d in deviations)
    if worst < SMALLEST:
        return f"below {SMALLEST:.0e}".replace("e-0", "e-")
    step = 10.0 ** math.floor(math.log10(worst * 100))
    return f"within {math.ceil(worst * 100 / step * (1 - 1e-9)) * step:.12g} %"


def line(check: str, outside: str, ours: str, allowed: str, source: str, test: str) -> str:
    """Return a row of the table.

    Examples
    --------
    >>> line("a rod", "1.6 W", "1.56 W", "5 %", "handbook | page", "tests/published/test_a.py")
    '| a rod | 1.6 W | 1.56 W | 5 % | handbook / page | tests/published/test_a.py |'
    """
    cells = (check, outside, ours, allowed, source, test)
    return f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |"


def lines() -> list[str]:
    """Return the rows that the file holds."""
    table = FILE.read_text(encoding="utf-8").split("\n## ")[0]
    return [row for row in table.splitlines() if row.count(" | ") == 5][1:]


def file_of(row: str) -> str:
    """Return the file of the test that declared a row."""
    return row.strip("| ").rsplit(" | ", 1)[1]


def write(rows: list[str], run: set[str]) -> None:
    """Write the table of checks; rows of files that were not run whole are kept if not new."""
    kept = [
        row
        for row in lines()
        if file_of(row) not in run and row not in rows and (ROOT / file_of(row)).is_file()
    ]
    order = sorted([*rows, *kept], key=file_of)
    _, rest = FILE.read_text(encoding="utf-8").split(MARKS[0])
    FILE.write_text(HEAD + "\n".join(order) + "\n" + BENCH + MARKS[0] + rest, encoding="utf-8")
    SHOWN.write_text("\n".join(order) + "\n", encoding="utf-8")


def write_bench_rows(markdown: str) -> str:
    """Return the file's text with another table of bench rows."""
    before, rest = FILE.read_text(encoding="utf-8").split(MARKS[0])
    return MARKS[0].join([before, markdown + "\n" + MARKS[1] + rest.split(MARKS[1])[1]])


if __name__ == "__main__":
    import pytest

    asked = sys.argv[1:] or [str(ROOT / "tests" / name) for name in ("published", "peers", "unit")]
    sys.exit(pytest.main(["--write-validation", "-q", "--tb=short", *asked]))
