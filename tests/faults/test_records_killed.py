"""A process that is killed while it stores answers loses nothing that it acknowledged."""

import signal
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from tipsim.lesson.records import Answer, Records

ROOT = Path(__file__).parents[2]
WRITER = """
import sys
from pathlib import Path
from tipsim.lesson.records import Answer, Records

records = Records(Path(sys.argv[1]))
code = records.add("blue heron").code
print(code, flush=True)
for seed in range(1_000_000):
    records.store(code, Answer("item", "aim", "lesson", "quiz", 1, seed, {}, "c1", "right"))
    print(seed, flush=True)
    records.move(code, "lesson", f"step-{seed}")
"""


@pytest.mark.parametrize("acknowledged", [0, 1, 7, 40, 150])
def test_killed_at_any_moment_nothing_that_was_stored_is_lost(
    tmp_path: Path, acknowledged: int
) -> None:
    """At some moment after so many answers: what the writer is doing then is left to chance."""
    path = tmp_path / "data" / "records.sqlite"
    writer = subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True, cwd=ROOT
    )
    assert writer.stdout is not None
    code = writer.stdout.readline().strip()
    read = [writer.stdout.readline() for _ in range(acknowledged)]
    writer.send_signal(signal.SIGKILL)
    rest, _ = writer.communicate()
    # A line that was cut off by the end was not acknowledged.
    stored = [int(line) for line in ("".join(read) + rest).split("\n")[:-1]]
    assert len(stored) >= acknowledged

    records = Records(path)
    kept = [answer.seed for answer in records.answers(code)]
    assert kept[: len(stored)] == stored
    assert len(kept) <= len(stored) + 1
    assert kept == list(range(len(kept)))
    # And the record goes on.
    records.store(code, Answer("item", "aim", "lesson", "quiz", 2, -1, {}, "c1", "right"))
    assert records.answers(code)[-1].seed == -1
    records.close()
    with sqlite3.connect(path) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
    raw.close()
