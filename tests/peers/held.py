"""Tables of how far we are from a peer."""

from collections.abc import Sequence
from dataclasses import dataclass
from importlib.metadata import version

import numpy as np
from numpy.typing import ArrayLike

from tests.published.bars import ReportTable


@dataclass(frozen=True)
class Row:
    """How far ours is from theirs, each number by itself, and how far it may be (relative)."""

    what: str
    ours: ArrayLike
    theirs: ArrayLike
    within: float

    @property
    def off(self) -> np.ndarray:
        """Signed for real numbers, the distance over theirs for complex ones."""
        ratio = np.ravel(np.asarray(self.ours) / np.asarray(self.theirs) - 1)
        return np.abs(ratio) if np.iscomplexobj(ratio) else ratio

    @property
    def worst(self) -> float:
        """The worst one, NaN if any is."""
        return float(self.off[np.argmax(np.abs(self.off))])

    def __str__(self) -> str:
        mean = np.mean(np.abs(self.off))
        return (
            f"{self.what:<58} {self.off.size:>5} numbers, mean {mean:.1e},"
            f" worst {self.worst:+.1e} of {self.within:.0e}"
        )


def vectors(what: str, ours: np.ndarray, theirs: np.ndarray, within: float) -> Row:
    """Compare vectors (last axis) by the length of their difference over theirs."""
    gap = np.linalg.norm(ours - theirs, axis=-1) / np.linalg.norm(theirs, axis=-1)
    return Row(what, 1 + gap, np.ones_like(gap), within)


def hold(report_table: ReportTable, title: str, rows: Sequence[Row]) -> None:
    """Print the table, then fail with every row that is too far off."""
    report_table(title, [str(row) for row in rows])
    assert rows
    assert not [str(row) for row in rows if not abs(row.worst) <= row.within]


def named(package: str) -> str:
    """A peer with its version."""
    return f"{package} {version(package)}"
