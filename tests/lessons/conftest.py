"""What the tests of lessons share."""

from pathlib import Path

import pytest

from tests.lessons.example import write_every_kind


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """The folder of the guide's example, with one item more of each kind."""
    return write_every_kind(tmp_path / "lessons")
