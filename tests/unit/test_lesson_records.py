"""Records: kept, found again by code, merged, taken along, deleted."""

import json
import sqlite3
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from tests.unit.full_disk import TROUBLES
from tipsim.lesson.learner import ALPHABET, LENGTH, new_code, read_code, read_nickname
from tipsim.lesson.records import Answer, Records
from tipsim.lesson.tables import FOLDER, VERSION, records_folder
from tipsim.lesson.transfer import bring, export
from tipsim.setup.errors import BadInput

NOON = datetime(2031, 5, 4, 12, tzinfo=UTC)


class Clock:
    def __init__(self) -> None:
        self.time = NOON

    def __call__(self) -> datetime:
        self.time += timedelta(seconds=1)
        return self.time


@pytest.fixture
def records(tmp_path: Path) -> Iterator[Records]:
    found = Records(tmp_path / "one" / "records.sqlite", Clock())
    yield found
    found.close()


def answer(item: str = "stroke-paper", seed: int = 1, **other: Any) -> Answer:
    plain: dict[str, Any] = {"given": "c2", "verdict": "wrong", "time": NOON} | other
    return Answer(
        item, "stroke-words", "drive-to-stroke", "quiz", 1, seed, {"found": 90.0}, **plain
    )


def test_what_was_stored_comes_back_whole(records: Records) -> None:
    code = records.add("blue heron").code
    kept = [
        answer(given={"a": {"power": "60"}}, verdict="right", confidence="3"),
        answer(given=[[0.0, 1.0], [18.4, 0.25]], verdict="partly", seed=-4),
        answer(
            given="130,5 µm", time=datetime(2031, 5, 4, 15, tzinfo=timezone(timedelta(hours=2)))
        ),
    ]
    for each in kept:
        records.store(code, each)
    assert records.answers(code) == tuple(kept)
    assert records.answers(code, "another-lesson") == ()
    assert (records.count(code, "stroke-paper"), records.count(code, "other")) == (3, 0)


def test_a_learner_comes_back_with_the_code_in_another_process(
    records: Records, tmp_path: Path
) -> None:
    code = records.add("blue heron").code
    records.choose(code, "residents")
    records.move(code, "drive-to-stroke", "observe")
    other = Records(tmp_path / "one" / "records.sqlite")
    found = other.learner(code.lower().replace("-", " "))
    assert (found.nickname, found.track) == ("blue heron", "residents")
    assert other.progress(code)["drive-to-stroke"].step == "observe"
    other.close()


def test_progress_keeps_the_step_the_run_and_the_end(records: Records) -> None:
    code = records.add("a").code
    assert records.progress(code) == {}
    records.move(code, "x", "predict")
    records.finish(code, "x")
    first = records.progress(code)["x"]
    assert (first.step, first.run) == ("predict", 1)
    assert first.finished is not None
    records.begin(code, "x")
    again = records.progress(code)["x"]
    assert (again.step, again.run, again.finished) == ("", 2, first.finished)


def test_deleting_leaves_nothing_behind(records: Records, tmp_path: Path) -> None:
    code, other = records.add("a").code, records.add("b").code
    for each in (code, other):
        records.store(each, answer())
        records.move(each, "x", "predict")
    records.remove(code)
    with pytest.raises(BadInput, match="code is not known here"):
        records.answers(code)
    assert len(records.answers(other)) == 1
    records.close()
    raw = sqlite3.connect(tmp_path / "one" / "records.sqlite")
    for table in ("learner", "answer", "progress"):
        assert raw.execute(f"SELECT count(*) FROM {table}").fetchone() == (1,)
    raw.close()


def test_a_record_taken_along_is_the_same_elsewhere(records: Records, tmp_path: Path) -> None:
    code = records.add("blue heron").code
    for seed in range(3):
        records.store(code, answer(seed=seed))
    records.move(code, "drive-to-stroke", "quiz")
    records.finish(code, "drive-to-stroke")
    other = Records(tmp_path / "two" / "records.sqlite")
    learner, new = bring(other, export(records, code))
    assert (learner.nickname, new) == ("blue heron", 3)
    assert other.answers(code) == records.answers(code)
    assert other.progress(code) == records.progress(code)
    assert export(other, code) == export(records, code)
    # Both go on; what comes back is merged, and twice is once.
    other.store(code, answer(seed=10))
    records.store(code, answer(seed=11))
    assert bring(records, export(other, code))[1] == 1
    assert bring(records, export(other, code))[1] == 0
    assert {a.seed for a in records.answers(code)} == {0, 1, 2, 10, 11}
    other.close()


def test_the_later_place_counts_when_records_are_merged(records: Records) -> None:
    code = records.add("a").code
    records.move(code, "x", "predict")
    early = export(records, code)
    records.move(code, "x", "quiz")
    bring(records, early)
    assert records.progress(code)["x"].step == "quiz"


BROKEN = [
    ("", "file is no JSON"),
    ("[]", "format is missing"),
    ('{"format": "other"}', "format is missing or another one"),
    ('{"format": "tipsim records 1"}', "learner is missing"),
    ("1" * 30, "format is missing"),
    ("[" * 100_000, "file is no JSON"),
]


@pytest.mark.parametrize(("text", "told"), BROKEN)
def test_what_is_no_record_is_refused(records: Records, text: str, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        bring(records, text)


SPOILED: list[tuple[list[str | int], Any, str]] = [
    (["learner", "code"], "ABC", "code is not a code"),
    (["learner", "nickname"], "x" * 40, "nickname is 40 characters long"),
    (["learner", "begun"], "yesterday", "learner.begun"),
    (["learner"], None, "learner is missing"),
    (["answers"], {}, "answers is missing or no list"),
    (["answers", 1], 5, r"answers\[1\] is missing or no object"),
    (
        ["answers", 1, "verdict"],
        "great",
        r'answers\[1\].verdict is "great"; allowed: right, partly',
    ),
    (["answers", 0, "seed"], 1.5, r"answers\[0\].seed is 1.5"),
    (["answers", 0, "seed"], True, r"answers\[0\].seed is true"),
    (["answers", 0, "run"], 0, "a whole number from 1"),
    (["answers", 0, "time"], "2031-05-04T12:00:00", "a time with its zone"),
    (["answers", 0, "confidence"], "9", "confidence"),
    (["answers", 0, "item"], "", "text of up to 60"),
    (["answers", 0, "mark"], 7, "mark"),
    (["answers", 0, "variant"], [], "variant"),
    (["answers", 0, "given"], float("inf"), "file is no JSON"),
    (["answers", 0, "given"], "x" * 300_000, "too long"),
    (["progress", 0, "finished"], 3, "finished"),
]


@pytest.mark.parametrize(("path", "value", "told"), SPOILED)
def test_a_spoiled_record_is_refused_and_nothing_is_written(
    records: Records, path: list[str | int], value: Any, told: str
) -> None:
    code = records.add("blue heron").code
    for seed in range(2):
        records.store(code, answer(seed=seed))
    records.finish(code, "x")
    data = json.loads(export(records, code))
    records.remove(code)
    spot: Any = data
    for step in path[:-1]:
        spot = spot[step]
    spot[path[-1]] = value
    with pytest.raises(BadInput, match=told):
        bring(records, json.dumps(data))
    assert records.learners() == ()


def test_a_number_beyond_all_floats_is_refused(records: Records) -> None:
    code = records.add("a").code
    records.store(code, answer(given=123456))
    with pytest.raises(BadInput, match="too long or too large"):
        bring(records, export(records, code).replace("123456", "1e999"))


def test_many_at_once_lose_nothing(records: Records) -> None:
    codes = [records.add(f"learner {i}").code for i in range(6)]
    failed: list[BaseException] = []

    def work(code: str) -> None:
        try:
            for seed in range(15):
                records.store(code, answer(seed=seed))
                records.move(code, "x", f"step-{seed}")
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=work, args=(code,)) for code in codes * 2]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not failed
    assert all(records.count(code, "stroke-paper") == 30 for code in codes)


def test_what_cannot_be_written_is_never_taken_for_stored(
    records: Records, subtests: pytest.Subtests
) -> None:
    code = records.add("blue heron").code
    large = {"given": "x" * 50_000}
    for words, trouble in TROUBLES.items():
        with subtests.test(words), trouble(records):
            with pytest.raises(BadInput, match=words):
                records.store(code, answer(**large))
            with pytest.raises(BadInput, match=words):
                records.merge(records.learner(code), (answer(**large),), ())
            assert records.answers(code) == ()
    records.store(code, answer(**large))
    assert len(records.answers(code)) == 1


def test_answers_come_in_the_order_of_time_whenever_they_were_stored(records: Records) -> None:
    learner = records.add("blue heron")
    noon = datetime(2031, 5, 4, 12, tzinfo=UTC)
    later = answer("stroke-order", time=noon + timedelta(hours=1))
    first = answer("stroke-paper", time=noon)
    records.store(learner.code, later)
    assert records.merge(learner, (first,), ()) == 1
    assert [a.item for a in records.answers(learner.code)] == ["stroke-paper", "stroke-order"]


def test_every_commit_waits_for_the_disk(records: Records) -> None:
    with records._engine.connect() as connection:
        settings = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        }
    assert settings == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}


def test_a_file_that_is_no_database_is_told_in_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    path.write_text("hello, this is a text file and no database at all" * 40)
    with pytest.raises(BadInput, match=r"records is .*not a database"):
        Records(path)
    with pytest.raises(BadInput, match="records is "):
        Records(path / "below" / "records.sqlite")


def test_a_newer_file_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "records.sqlite"
    raw = sqlite3.connect(path)
    raw.execute(f"PRAGMA user_version = {VERSION + 1}")
    raw.close()
    with pytest.raises(BadInput, match=f"of version {VERSION + 1}"):
        Records(path)


def test_the_folder_can_be_named(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv(FOLDER, str(tmp_path / "elsewhere"))
    assert records_folder() == tmp_path / "elsewhere"
    monkeypatch.delenv(FOLDER)
    assert records_folder().name == "tipsim"


def test_codes_are_many_and_readable() -> None:
    drawn = {new_code() for _ in range(500)}
    assert len(drawn) == 500
    assert all(read_code(c) == c and len(c) == LENGTH + 1 for c in drawn)
    assert not set("01ILOU") & set(ALPHABET)
    assert len(set(ALPHABET)) == len(ALPHABET) == 30


@pytest.mark.parametrize("text", ["", "7KQ2M-XD4T", "7KQ2M-XD4TO", "7KQ2M-XD4TBB", "x" * 9999])
def test_what_is_no_code_is_refused_without_repeating_it(text: str) -> None:
    with pytest.raises(BadInput) as told:
        read_code(text)
    assert told.value.value == "not a code"


@pytest.mark.parametrize("name", ["a", "Zoë", "blue heron 7", "O'Hara-B.", "青鷺", "x" * 24])
def test_nicknames_of_all_tongues(name: str) -> None:
    assert read_nickname(f" {name} ") == name


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("", "nickname is empty"),
        ("   ", "nickname is empty"),
        ("x" * 25, "25 characters long"),
        ("me@home.example", "an address"),
        ("patient 4711 0815", "a long number"),
        ("<b>", 'with "<"'),
        ("a\u202eb", "with "),
        ("-a", 'with "-"'),
        ("a\nb/", 'with "/"'),
    ],
)
def test_other_nicknames_are_refused(name: str, told: str) -> None:
    with pytest.raises(BadInput, match=told):
        read_nickname(name)


def test_the_answers_of_a_copy_keep_their_marks(records: Records) -> None:
    code = records.add("a").code
    one = answer()
    records.store(code, one)
    records.store(code, replace(one, mark="another"))
    assert len(records.answers(code)) == 2
