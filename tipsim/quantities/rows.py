"""Rows of text and numbers that show themselves well, with pandas or without."""

from collections.abc import Iterable, Iterator, Mapping
from html import escape
from typing import Any

from tipsim.quantities.declare import NONE, Quantity, figures, in_unit
from tipsim.setup.described import about, described
from tipsim.tissue.bands import Band


@described(repr=False)
class Table:
    """A small table.

    Examples
    --------
    >>> Table(({"name": "power", "W": 3.2712}, {"name": "speed", "W": None}))
    name   W
    power  3.27
    speed  –
    """

    rows: tuple[Mapping[str, Any], ...] = about("Cells by column, the same columns in each.")

    @property
    def columns(self) -> tuple[str, ...]:
        """Names of the columns."""
        return tuple(self.rows[0]) if self.rows else ()

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[Mapping[str, Any]]:
        return iter(self.rows)

    def __getitem__(self, column: str) -> list[Any]:
        return [row[column] for row in self.rows]

    def frame(self) -> Any:
        """Return the table as a pandas data frame.

        Raises
        ------
        ImportError
            Where pandas is not installed.
        """
        import pandas

        return pandas.DataFrame(list(self.rows), columns=list(self.columns))

    def __repr__(self) -> str:
        lines = [list(self.columns), *([_cell(v) for v in row.values()] for row in self.rows)]
        widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
        return "\n".join(
            "  ".join(f"{cell:{width}}" for cell, width in zip(line, widths, strict=True)).rstrip()
            for line in lines
        )

    def _repr_html_(self) -> str:
        head = "".join(f"<th>{escape(c)}</th>" for c in self.columns)
        body = "".join(
            f"<tr>{''.join(f'<td>{escape(_cell(v))}</td>' for v in row.values())}</tr>"
            for row in self.rows
        )
        return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"


def _cell(value: Any) -> str:
    if value is None:
        return NONE
    return figures(value) if isinstance(value, float) else str(value)


def output_rows(result: Any, quantities: Iterable[Quantity]) -> Table:
    """Return outputs as a table: name, label, value in its unit, and what is left open."""
    return Table(tuple(_row(q, q.get(result)) for q in quantities if not q.columns))


def _row(q: Quantity, value: Any) -> dict[str, Any]:
    low = high = None
    if isinstance(value, Band):
        low, high = (in_unit(v, q.unit) for v in value.inner)
        value = value.usual
    if isinstance(value, tuple):
        value = q.number(value)
    elif value is not None and not isinstance(value, str | bool):
        value = in_unit(value, q.unit) if q.units else value
    return {
        "name": q.name, "label": q.label, "value": value, "unit": q.units,
        "low": low, "high": high,
    }  # fmt: skip
