"""A table of text as a spreadsheet or another program wrote it, with the line of every cell."""

import csv
import math
from pathlib import Path

from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput, nearest
from tipsim.setup.toml_text import decode_text, read_bytes

MOST_BYTES = 40_000_000
MOST_ROWS = 400_000
"""Larger tables are refused: ten marks in 40 000 pictures have as many rows."""
GAPS = ("", "nan", "na", "n/a", "-")
"""What an empty cell may hold."""
_WANTED = "a table (CSV)"


@described()
class Table:
    """Rows of text below one row of names."""

    source: str = about("Name of the file, for complaints.")
    names: tuple[str, ...] = about("Of the columns.")
    rows: tuple[tuple[str, ...], ...] = about("Cells, as many in each row as there are names.")
    lines: tuple[int, ...] = about("Line of each row in the file, from 1.")
    comma: bool = about("Whether numbers are written with a decimal comma.")

    def column(self, name: str) -> int:
        """Return the place of a column.

        Raises
        ------
        BadInput
            When no column has that name, with the nearest one.
        """
        if name not in self.names:
            known = ", ".join(f'"{n}"' for n in self.names)
            raise BadInput(
                f"column of {self.source}", f'"{name}"', known + nearest(name, self.names)
            )
        return self.names.index(name)

    def numbers(self, name: str) -> list[float]:
        r"""Return a column's numbers, NaN for empty cells.

        Raises
        ------
        BadInput
            Naming the line, for anything that is not a number.

        Examples
        --------
        >>> parse_table("t,x\n1,2.5\n2,\n", "a.csv").numbers("x")
        [2.5, nan]
        >>> parse_table("t,x\n1,=A1\n", "a.csv").numbers("x")
        Traceback (most recent call last):
        tipsim.setup.errors.BadInput: line 2 of a.csv, column "x" is "=A1"; allowed: a number,
        or an empty cell where nothing was found.
        """
        place = self.column(name)
        return [
            self._number(row[place], name, line)
            for row, line in zip(self.rows, self.lines, strict=True)
        ]

    def _number(self, cell: str, name: str, line: int) -> float:
        if cell.lower() in GAPS:
            return math.nan
        try:
            value = float(cell.replace(",", ".") if self.comma else cell)
        except ValueError:
            value = math.inf
        # Python also reads "1_000", which no spreadsheet writes.
        if not math.isfinite(value) or "_" in cell:
            raise BadInput(
                f'line {line} of {self.source}, column "{name}"',
                f'"{cell[:40]}"',
                "a number, or an empty cell where nothing was found",
            )
        return value


def read_table(path: str | Path) -> Table:
    """Read a table from a file.

    Raises
    ------
    BadInput
        When the file cannot be read, is too large, is no text, or is no table.
    """
    name = Path(path).name
    data = read_bytes(path, _WANTED, MOST_BYTES)
    if len(data) > MOST_BYTES:
        raise BadInput(name, f"over {MOST_BYTES // 10**6} MB", f"up to {MOST_BYTES // 10**6} MB")
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        # Spreadsheets call this "Unicode text".
        text = data.decode("utf-16", errors="replace")
    else:
        text = decode_text(data, name, _WANTED)
    return parse_table(text, name)


def parse_table(text: str, source: str) -> Table:
    r"""Read a table from text: cells between commas, semicolons or tabs; "#" begins a remark.

    Parameters
    ----------
    source : str
        Name of the file, for complaints.

    Raises
    ------
    BadInput
        For no rows, too many, or a row of another length than the names.

    Examples
    --------
    >>> t = parse_table("# by hand\nzeit;x\n0,5;1\n", "a.csv")
    >>> t.names, t.numbers("zeit")
    (('zeit', 'x'), [0.5])
    """
    if "\0" in text:
        raise BadInput(source, "not text (it holds zero bytes)", _WANTED)
    lines = text.splitlines()
    kept = [(n, s) for n, s in enumerate(lines, 1) if s.strip() and not s.startswith("#")]
    if len(kept) < 2:
        raise BadInput(source, "empty", "a row of names and rows of numbers below it")
    if len(kept) - 1 > MOST_ROWS:
        raise BadInput(source, f"a table of {len(kept) - 1:,} rows", f"up to {MOST_ROWS:,} rows")
    between = next((c for c in "\t;" if c in kept[0][1]), ",")
    try:
        cells = list(csv.reader((s for _, s in kept), delimiter=between, strict=True))
    except csv.Error as error:
        raise BadInput(source, f"not a table ({error})", _WANTED) from None
    if len(cells) != len(kept):
        raise BadInput(source, "a table with line breaks inside its cells", "a row in each line")
    names = tuple(c.strip() for c in cells[0])
    rows = tuple(tuple(c.strip() for c in row) for row in cells[1:])
    numbers = tuple(n for n, _ in kept[1:])
    for row, line in zip(rows, numbers, strict=True):
        if len(row) != len(names):
            raise BadInput(
                f"line {line} of {source}",
                f"{len(row)} cells long",
                f"{len(names)} cells, as many as there are names",
            )
    return Table(source, names, rows, numbers, between != ",")
