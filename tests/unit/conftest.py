"""What several files of this folder use."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tipsim.lesson.records import Records


@pytest.fixture
def records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Records]:
    """Records of our own, which the pages use, too."""
    own = Records(tmp_path / "records.sqlite")
    for page in ("lesson", "lessons"):
        monkeypatch.setattr(f"tipsim.app.pages.{page}.page.records", lambda: own)
    yield own
    own.close()
