"""What learners have done: every answer is on disk before anyone is told what it is worth."""

import secrets
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, delete, func, select
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session

from tipsim.lesson.learner import new_code, read_code, read_nickname
from tipsim.lesson.tables import (
    WRITES,
    AnswerRow,
    LearnerRow,
    ProgressRow,
    open_database,
    records_folder,
)
from tipsim.setup.described import about, described
from tipsim.setup.errors import BadInput

CONFIDENCE = ("", "1", "2", "3")
"""How sure a learner was before seeing: not asked, guessing, fairly sure, sure."""
_FILE = "records.sqlite"


@dataclass(frozen=True)
class Learner:
    """Who a record belongs to."""

    code: str
    nickname: str
    track: str
    begun: datetime


@described()
class Answer:
    """One answer."""

    item: str = about("Ids; an item asked as a review has the lesson that opened with it.")
    objective: str
    lesson: str
    step: str
    run: int = about("Which time through the lesson, from 1.")
    seed: int = about("What the variant was drawn from; `variant` holds its values.")
    variant: Mapping[str, Any]
    given: Any = about("As `score` takes it.")
    verdict: str = about("One of `score.VERDICTS`.")
    confidence: str = about("One of `CONFIDENCE`.", default="")
    time: datetime = about("In UTC.", default_factory=lambda: datetime.now(UTC))
    mark: str = about(
        "Random, so that two copies of a record can be merged.",
        default_factory=lambda: secrets.token_hex(8),
    )


@dataclass(frozen=True)
class Progress:
    """Where a learner is in a lesson; `finished` is the last time of reaching its end."""

    lesson: str
    step: str
    run: int
    time: datetime
    finished: datetime | None


class Records:
    """The records of one database.

    Parameters
    ----------
    path : Path
        The database's file; made where it is not there.
    now : callable
        Gives the time; another one is for tests.

    Examples
    --------
    >>> from tempfile import TemporaryDirectory
    >>> folder = TemporaryDirectory()
    >>> records = Records(Path(folder.name) / "records.sqlite")
    >>> code = records.add("blue heron").code
    >>> records.move(code, "drive-to-stroke", "predict")
    >>> records.progress(code)["drive-to-stroke"].step
    'predict'
    >>> records.remove(code); records.close(); folder.cleanup()
    """

    def __init__(self, path: Path, now: Callable[[], datetime] = lambda: datetime.now(UTC)) -> None:
        self.now = now
        self._engine: Engine = open_database(path)

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    @contextmanager
    def _session(self, writes: bool = False) -> Iterator[Session]:
        """Return a session that commits at its end, or undoes everything where something fails."""
        engine = self._engine.execution_options(**WRITES) if writes else self._engine
        try:
            with Session(engine) as session, session.begin():
                yield session
        except OperationalError as error:
            wanted = "a folder with room, that this program may write in"
            raise BadInput("records", f"not available now ({error.orig})", wanted) from None

    def add(self, nickname: str) -> Learner:
        """Add a learner under a new code; raises BadInput for an impossible nickname."""
        name = read_nickname(nickname)
        with self._session(writes=True) as session:
            row = LearnerRow(code=new_code(), nickname=name, track="", begun=self.now())
            session.add(row)
            return _learner(row)

    def learner(self, code: str) -> Learner:
        """Return a learner by code; raise BadInput for an unknown code."""
        with self._session() as session:
            return _learner(_row(session, code))

    def learners(self) -> tuple[Learner, ...]:
        """Return every learner, the first one first."""
        with self._session() as session:
            return tuple(map(_learner, session.scalars(select(LearnerRow).order_by(LearnerRow.id))))

    def choose(self, code: str, track: str) -> None:
        """Note the track that a learner follows."""
        with self._session(writes=True) as session:
            _row(session, code).track = track

    def store(self, code: str, answer: Answer) -> None:
        """Store an answer; it is on disk when this returns."""
        with self._session(writes=True) as session:
            session.add(answer_row(_row(session, code).id, answer))

    def answers(self, code: str, lesson: str | None = None) -> tuple[Answer, ...]:
        """Return a learner's answers, the oldest first; of one lesson, or of all."""
        with self._session() as session:
            wanted = select(AnswerRow).where(AnswerRow.learner_id == _row(session, code).id)
            if lesson is not None:
                wanted = wanted.where(AnswerRow.lesson == lesson)
            rows = session.scalars(wanted.order_by(AnswerRow.time, AnswerRow.id))
            return tuple(map(_answer, rows))

    def count(self, code: str, item: str) -> int:
        """Return how often a learner has answered an item."""
        with self._session() as session:
            wanted = select(func.count(AnswerRow.id)).where(
                AnswerRow.learner_id == _row(session, code).id, AnswerRow.item == item
            )
            return session.scalar(wanted) or 0

    def progress(self, code: str) -> dict[str, Progress]:
        """Return the learner's place in each lesson."""
        with self._session() as session:
            id = _row(session, code).id
            rows = session.scalars(select(ProgressRow).where(ProgressRow.learner_id == id))
            return {row.lesson: _progress(row) for row in rows}

    def move(self, code: str, lesson: str, step: str) -> None:
        """Note the step of a lesson that a learner is at."""
        self._note(code, lesson, lambda row: _set(row, step=step))

    def begin(self, code: str, lesson: str) -> None:
        """Begin a lesson anew: its next answers belong to another run."""
        self._note(code, lesson, lambda row: _set(row, step="", run=row.run + 1))

    def finish(self, code: str, lesson: str) -> None:
        """Note that a learner has reached the end of a lesson."""
        self._note(code, lesson, lambda row: _set(row, finished=self.now()))

    def _note(self, code: str, lesson: str, change: Callable[[ProgressRow], None]) -> None:
        with self._session(writes=True) as session:
            id = _row(session, code).id
            row = session.get(ProgressRow, (id, lesson))
            if row is None:
                row = ProgressRow(learner_id=id, lesson=lesson, step="", run=1, finished=None)
                session.add(row)
            change(row)
            row.time = self.now()

    def remove(self, code: str) -> None:
        """Delete a learner and everything of theirs, for good."""
        with self._session(writes=True) as session:
            session.execute(delete(LearnerRow).where(LearnerRow.id == _row(session, code).id))

    def merge(
        self, learner: Learner, answers: tuple[Answer, ...], progress: tuple[Progress, ...]
    ) -> int:
        """Take a record in beside what is there; gives the number of answers that are new.

        What both have stays as it is here; of two places in a lesson the later one counts.
        """
        with self._session(writes=True) as session:
            row = session.scalar(select(LearnerRow).where(LearnerRow.code == learner.code))
            if row is None:
                row = LearnerRow(
                    code=learner.code,
                    nickname=learner.nickname,
                    track=learner.track,
                    begun=learner.begun,
                )
                session.add(row)
                session.flush()
            wanted = select(AnswerRow.mark).where(AnswerRow.learner_id == row.id)
            known = set(session.scalars(wanted))
            fresh = {a.mark: a for a in answers if a.mark not in known}
            session.add_all(answer_row(row.id, a) for a in fresh.values())
            for each in progress:
                _merge_progress(session, row.id, each)
            return len(fresh)


@cache
def records() -> Records:
    """Return the records of this machine's user, or of the folder named by TIPSIM_DATA."""
    return Records(records_folder() / _FILE)


def _row(session: Session, code: str) -> LearnerRow:
    row = session.scalar(select(LearnerRow).where(LearnerRow.code == read_code(code)))
    if row is None:
        raise BadInput("code", "not known here", "a code that was given out here, or imported")
    return row


def _set(row: ProgressRow, **values: Any) -> None:
    for name, value in values.items():
        setattr(row, name, value)


def _merge_progress(session: Session, id: int, new: Progress) -> None:
    row = session.get(ProgressRow, (id, new.lesson))
    if row is None:
        row = ProgressRow(learner_id=id, lesson=new.lesson, finished=None)
        session.add(row)
    elif row.time >= new.time:
        row.finished = row.finished or new.finished
        return
    _set(row, step=new.step, run=new.run, time=new.time, finished=new.finished or row.finished)


def _learner(row: LearnerRow) -> Learner:
    return Learner(row.code, row.nickname, row.track, row.begun)


def _progress(row: ProgressRow) -> Progress:
    return Progress(row.lesson, row.step, row.run, row.time, row.finished)


def answer_row(learner_id: int, answer: Answer) -> AnswerRow:
    """Return an answer as a row of its table."""
    return AnswerRow(learner_id=learner_id, **{**vars(answer), "variant": dict(answer.variant)})


def _answer(row: AnswerRow) -> Answer:
    return Answer(**{name: getattr(row, name) for name in Answer.__dataclass_fields__})
