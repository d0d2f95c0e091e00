"""Records for teachers, and the lesson commands."""

import csv
import io
import json
import uuid
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tipsim.cli import main
from tipsim.lesson import records as records_module
from tipsim.lesson.read import school
from tipsim.lesson.records import Answer, Records
from tipsim.lesson.statements import COLUMNS, alias, results_csv, xapi
from tipsim.lesson.tables import FOLDER
from tipsim.lesson.transfer import export

NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)
GIVEN = [
    ("stroke-paper", "c2", "wrong", "choice", "c2"),
    ("stroke-in-proportion", ["c1", "c2"], "partly", "choice", "c1[,]c2"),
    ("stroke-power-number", "130,5 µm", "right", "numeric", "130,5 µm"),
    ("stroke-order", ["e1", "e2", "e3", "e4"], "right", "sequencing", "e1[,]e2[,]e3[,]e4"),
    ("stroke-match-hub", {"p1": "r2", "p2": "r1"}, "partly", "matching", "p1[.]r2[,]p2[.]r1"),
    ("stroke-seen-still", 1.75, "right", "numeric", "1.75"),
    ("stroke-goal", {"a": {"power": "60"}}, "right", "performance", '{"a": {"power": "60"}}'),
    ("gone-since", "=HYPERLINK(1)", "wrong", "other", "=HYPERLINK(1)"),
]


@pytest.fixture
def records(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Records]:
    """The records that the command finds, too."""
    monkeypatch.setenv(FOLDER, str(tmp_path / "data"))
    records_module.records.cache_clear()
    found = records_module.records()
    yield found
    found.close()
    records_module.records.cache_clear()


@pytest.fixture
def code(records: Records) -> str:
    code = records.add("blue heron").code
    for seed, (item, given, verdict, _, _) in enumerate(GIVEN):
        answer = Answer(
            *(item, "stroke-words", "drive-to-stroke", "quiz", 1, seed, {"found": 90.0}),
            *(given, verdict, "3", NOON),
        )
        records.store(code, answer)
    records.finish(code, "drive-to-stroke")
    return code


def test_statements_are_xapi_and_tell_no_code(records: Records, code: str) -> None:
    text = xapi(school(), records, records.learners())
    assert code not in text
    assert "mbox" not in text
    assert "blue heron" not in text
    lines = [json.loads(line) for line in text.splitlines()]
    assert len({line["id"] for line in lines}) == len(lines) == len(GIVEN) + 1
    for line in lines:
        assert uuid.UUID(line["id"]).version == 5
        assert set(line) <= {"id", "actor", "verb", "object", "result", "context", "timestamp"}
        account = line["actor"]["account"]
        assert (line["actor"]["objectType"], account["name"]) == ("Agent", alias(code))
        assert all(line[k]["id"].startswith("http") for k in ("verb", "object"))
        assert datetime.fromisoformat(line["timestamp"]).tzinfo is not None
    for line, (item, _, verdict, kind, response) in zip(lines, GIVEN, strict=False):
        assert line["object"]["id"].endswith(f"/items/{item}")
        assert line["object"]["definition"]["interactionType"] == kind
        assert line["result"]["response"] == response
        assert line["result"]["success"] == (verdict == "right")
        assert 0 <= line["result"]["score"]["scaled"] <= 1
    assert lines[-1]["verb"]["id"].endswith("/completed")
    assert xapi(school(), records, records.learners()) == text


def test_rows_hold_what_was_answered_and_run_nothing(records: Records, code: str) -> None:
    text = results_csv(school(), records, records.learners())
    rows = list(csv.DictReader(io.StringIO(text)))
    assert tuple(rows[0]) == COLUMNS
    assert [row["item"] for row in rows] == [g[0] for g in GIVEN]
    assert [row["kind"] for row in rows][-2:] == ["goal", ""]
    assert rows[0]["variant"] == "found: 90"
    assert rows[-1]["given"] == "'=HYPERLINK(1)"
    assert {row["nickname"] for row in rows} == {"blue heron"}
    assert code not in text


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    done = main(["lesson", *arguments])
    out, err = capsys.readouterr()
    return done, out, err


def test_the_command_exports_what_the_functions_give(
    records: Records, code: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    done, out, _ = run(capsys, "export", "--records", "json", code.lower())
    assert (done, out) == (0, export(records, code) + "\n")
    target = tmp_path / "all.jsonl"
    done, out, _ = run(capsys, "export", "--records", "xapi", "--out", str(target))
    assert (done, out) == (0, "")
    assert target.read_text(encoding="utf-8") == xapi(school(), records, records.learners())
    done, out, _ = run(capsys, "export", "--records", "csv", code)
    assert out.splitlines()[0] == ",".join(COLUMNS)


def test_the_command_brings_a_record_back(
    records: Records, code: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "record.json"
    assert run(capsys, "export", "--records", "json", code, "-o", str(file))[0] == 0
    records.remove(code)
    done, out, _ = run(capsys, "import", str(file))
    assert (done, out) == (0, f"blue heron: {len(GIVEN)} new answers\n")
    assert len(records.answers(code)) == len(GIVEN)


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["export", "--records", "json"], "code is missing"),
        (["export", "--records", "csv", "nobody"], "code is not a code"),
        (["export", "--records", "csv", "22222-22222"], "code is not known here"),
        (["export", "--records", "csv", "-o", "/no/such/folder/x.csv"], "file is"),
        (["import", "/no/such/file.json"], "not readable"),
        (["check", "/no/such/folder"], "folder is"),
    ],
)
def test_what_cannot_be_done_is_told_in_one_line(
    records: Records, arguments: list[str], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    done, out, err = run(capsys, *arguments)
    assert (done, out) == (2, "")
    assert told in err
    assert err.count("\n") == 1


def test_lists_and_counts(capsys: pytest.CaptureFixture[str]) -> None:
    done, out, _ = run(capsys, "list")
    assert done == 0
    assert "Foot down. What does the needle do?" in out
    done, out, _ = run(capsys, "quantities")
    assert done == 0
    assert "end_stroke_um_pp" in out
    assert "apparent_hz" in out


def test_a_folder_with_mistakes_is_told_all_of_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    tmp_path.joinpath("01-x").mkdir()
    tmp_path.joinpath("01-x", "lesson.md").write_text("---\nid: x\n---\n", encoding="utf-8")
    done, out, _ = run(capsys, "check", str(tmp_path))
    assert done == 2
    assert "lessons/01-x/lesson.md:2: title is missing" in out
    assert "lessons/tracks.yaml:1: file is missing" in out
    assert out.splitlines()[-1].startswith("mistakes: ")


@pytest.mark.slow
def test_the_item_bank_is_written_whole(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "items.zip"
    assert run(capsys, "export", "--qti", str(target))[0] == 0
    names = zipfile.ZipFile(target).namelist()
    wanted = sum(len(i.variants) for x in school().lessons.values() for i in x.items.values())
    assert len([n for n in names if n.startswith("items/")]) == wanted
