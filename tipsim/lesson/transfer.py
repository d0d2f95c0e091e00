"""A learner's record as one JSON object: taken along, brought back, merged."""

import json
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, TypeVar

from tipsim.lesson.kinds import VERDICTS
from tipsim.lesson.learner import read_code, read_nickname
from tipsim.lesson.records import CONFIDENCE, Answer, Learner, Progress, Records
from tipsim.setup.errors import BadInput

T = TypeVar("T")
FORMAT = "tipsim records 1"
MOST_BYTES = 20_000_000
_MOST = 100_000
_LONGEST_ANSWER = 200_000


def export(records: Records, code: str) -> str:
    """Return everything that is kept of a learner, as JSON.

    Raises
    ------
    BadInput
        For an unknown code.
    """
    learner = records.learner(code)
    data = {
        "format": FORMAT,
        "learner": _plain(learner),
        "answers": [_plain(a) for a in records.answers(code)],
        "progress": [_plain(p) for p in records.progress(code).values()],
    }
    return json.dumps(data, indent=1, ensure_ascii=False, allow_nan=False)


def _plain(obj: Any) -> dict[str, Any]:
    return {k: v.isoformat() if isinstance(v, datetime) else v for k, v in vars(obj).items()}


def bring(records: Records, text: str) -> tuple[Learner, int]:
    """Read a record and merge it in; nothing is written where anything in it is off.

    Parameters
    ----------
    text : str
        What `export` gave, here or on another machine.

    Returns
    -------
    Learner, int
        Whose it is, and how many answers are new.

    Raises
    ------
    BadInput
        Naming the field, its value and what is allowed.
    """
    learner, answers, progress = read_record(text)
    new = records.merge(learner, answers, progress)
    return records.learner(learner.code), new


def read_record(text: str) -> tuple[Learner, tuple[Answer, ...], tuple[Progress, ...]]:
    """Read what `export` gives; raises BadInput where it is not that."""
    if len(text) > MOST_BYTES:
        raise BadInput("file", f"{len(text)} characters", f"up to {MOST_BYTES}")
    try:
        data = json.loads(text, parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise BadInput("file", "no JSON", "a record that was exported here") from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise BadInput("format", "missing or another one", f'"{FORMAT}"')
    learner = _Table(data.get("learner"), "learner")
    found = Learner(
        read_code(learner.text("code", 60)),
        read_nickname(learner.text("nickname", 60)),
        learner.text("track", 60, empty=True),
        learner.time("begun"),
    )
    answers = _each(data, "answers", _answer)
    progress = _each(data, "progress", _progress)
    return found, answers, progress


def _no_constant(name: str) -> float:
    raise ValueError(name)


def _each(data: dict[str, Any], key: str, read: "Callable[[_Table], T]") -> tuple[T, ...]:
    rows = data.get(key)
    if not isinstance(rows, list) or len(rows) > _MOST:
        raise BadInput(key, "missing or no list", f"a list of up to {_MOST}")
    return tuple(read(_Table(row, f"{key}[{i}]")) for i, row in enumerate(rows))


class _Table:
    """One object of the file; every reader names its place when something is off."""

    def __init__(self, data: Any, place: str) -> None:
        if not isinstance(data, dict):
            raise BadInput(place, "missing or no object", "an object with keys and values")
        self.data, self.place = data, place

    def _bad(self, key: str, allowed: str) -> BadInput:
        value = json.dumps(self.data[key])[:40] if key in self.data else "missing"
        return BadInput(f"{self.place}.{key}", value, allowed)

    def text(self, key: str, most: int, empty: bool = False) -> str:
        """Read a line."""
        value = self.data.get(key)
        if not isinstance(value, str) or not (empty or value) or len(value) > most:
            raise self._bad(key, f"text of up to {most} characters")
        return value

    def one_of(self, key: str, options: tuple[str, ...]) -> str:
        """Read one word out of a list."""
        value = self.data.get(key)
        if value not in options:
            raise self._bad(key, ", ".join(o for o in options if o))
        return str(value)

    def whole(self, key: str, low: int, high: int) -> int:
        """Read a whole number."""
        value = self.data.get(key)
        if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
            raise self._bad(key, f"a whole number from {low} to {high}")
        return value

    def time(self, key: str) -> datetime:
        """Read a time with its zone."""
        try:
            value = datetime.fromisoformat(self.data.get(key) or "")
            if value.tzinfo is not None:
                return value.astimezone(UTC)
        except (TypeError, ValueError, OverflowError):
            pass
        raise self._bad(key, "a time with its zone, such as 2031-05-04T09:30:00+00:00")


def _answer(table: _Table) -> Answer:
    variant, given = table.data.get("variant"), table.data.get("given")
    if not isinstance(variant, dict) or "given" not in table.data:
        raise BadInput(f"{table.place}.variant", "missing or no object", "as it was exported")
    try:
        length = len(json.dumps([variant, given], allow_nan=False))
    except ValueError:  # 1e999 is read as endless.
        length = _LONGEST_ANSWER + 1
    if length > _LONGEST_ANSWER:
        raise BadInput(f"{table.place}.given", "too long or too large", "as it was exported")
    return Answer(
        item=table.text("item", 60),
        objective=table.text("objective", 60),
        lesson=table.text("lesson", 60),
        step=table.text("step", 60),
        run=table.whole("run", 1, 10_000),
        seed=table.whole("seed", -(2**62), 2**62),
        variant=variant,
        given=given,
        verdict=table.one_of("verdict", VERDICTS),
        confidence=table.one_of("confidence", CONFIDENCE),
        time=table.time("time"),
        mark=table.text("mark", 32),
    )


def _progress(table: _Table) -> Progress:
    finished = table.data.get("finished")
    return Progress(
        table.text("lesson", 60),
        table.text("step", 60, empty=True),
        table.whole("run", 1, 10_000),
        table.time("time"),
        None if finished is None else table.time("finished"),
    )
