"""The table of outside checks: its rows belong to tests, and a row that is off is noticed."""

from collections.abc import Callable

import pytest

from tests import validation as file


def test_every_row_is_declared_by_the_test_that_it_names() -> None:
    rows = file.lines()
    assert len(rows) > 40
    for row in rows:
        check = row.removeprefix("| ").split(" | ")[0]
        source = (file.ROOT / file.file_of(row)).read_text(encoding="utf-8")
        assert f'"{check}"' in source, row


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
