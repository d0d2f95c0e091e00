"""The tables of the records, and a database that loses nothing that was said to be stored."""

import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from platformdirs import user_data_path
from sqlalchemy import (
    JSON,
    Connection,
    DateTime,
    Dialect,
    Engine,
    ForeignKey,
    String,
    TypeDecorator,
    UniqueConstraint,
    create_engine,
    event,
)
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column

from tipsim.setup.errors import BadInput

VERSION = 1
"""Of the tables; kept in the file itself."""
FOLDER = "TIPSIM_DATA"
"""Environment variable that names another folder for the records."""
WRITES = {"writes": True}
"""Execution option of a connection that is going to write."""


class Moment(TypeDecorator[datetime]):
    """A time in UTC; SQLite itself keeps no zone."""

    impl = DateTime
    cache_ok = True

    def process_bind_param(
        self,
        value: datetime | None,
        dialect: Dialect,  # noqa: ARG002
    ) -> datetime | None:
        """Keep UTC."""
        return None if value is None else value.astimezone(UTC).replace(tzinfo=None)

    def process_result_value(
        self,
        value: datetime | None,
        dialect: Dialect,  # noqa: ARG002
    ) -> datetime | None:
        """Return the time with its zone."""
        return None if value is None else value.replace(tzinfo=UTC)


class Base(DeclarativeBase):
    """What all tables share."""


class LearnerRow(Base):
    """A learner: nickname and code."""

    __tablename__ = "learner"
    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(String(16), unique=True)
    nickname: Mapped[str] = mapped_column(String(24))
    track: Mapped[str] = mapped_column(String(60), default="")
    begun: Mapped[datetime] = mapped_column(Moment)


class AnswerRow(Base):
    """One answer, with everything that is needed to ask the same again."""

    __tablename__ = "answer"
    id: Mapped[int] = mapped_column(primary_key=True)
    learner_id: Mapped[int] = mapped_column(
        ForeignKey("learner.id", ondelete="CASCADE"), index=True
    )
    mark: Mapped[str] = mapped_column(String(32))
    item: Mapped[str] = mapped_column(String(60))
    objective: Mapped[str] = mapped_column(String(60))
    lesson: Mapped[str] = mapped_column(String(60))
    step: Mapped[str] = mapped_column(String(60))
    run: Mapped[int]
    seed: Mapped[int]
    variant: Mapped[dict[str, Any]] = mapped_column(JSON)
    given: Mapped[Any] = mapped_column(JSON)
    verdict: Mapped[str] = mapped_column(String(8))
    confidence: Mapped[str] = mapped_column(String(8))
    time: Mapped[datetime] = mapped_column(Moment)
    __table_args__ = (UniqueConstraint("learner_id", "mark"),)


class ProgressRow(Base):
    """Where a learner is in a lesson."""

    __tablename__ = "progress"
    learner_id: Mapped[int] = mapped_column(
        ForeignKey("learner.id", ondelete="CASCADE"), primary_key=True
    )
    lesson: Mapped[str] = mapped_column(String(60), primary_key=True)
    step: Mapped[str] = mapped_column(String(60))
    run: Mapped[int]
    time: Mapped[datetime] = mapped_column(Moment)
    finished: Mapped[datetime | None] = mapped_column(Moment)


def records_folder() -> Path:
    """Return the folder of the records: the environment's, else the user's for this program."""
    named = os.environ.get(FOLDER)
    return Path(named) if named else user_data_path("tipsim", appauthor=False)


def open_database(path: Path) -> Engine:
    """Open the database, and make it and its folder where they are not there yet.

    Raises
    ------
    BadInput
        When the file cannot be made, is something else, or comes from a newer version.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        engine = create_engine(f"sqlite:///{path}", connect_args={"timeout": 30})
        event.listen(engine, "connect", _connected)
        event.listen(engine, "begin", _begun)
        with engine.execution_options(**WRITES).begin() as connection:
            _prepare(connection, path)
    except (OSError, SQLAlchemyError) as error:
        cause = str(getattr(error, "orig", None) or getattr(error, "strerror", "") or error)
        raise BadInput(
            "records", f'"{path}": {cause}', f"a folder to write in ({FOLDER})"
        ) from None
    return engine


def _prepare(connection: Connection, path: Path) -> None:
    version = connection.exec_driver_sql("PRAGMA user_version").scalar_one()
    if version > VERSION:
        raise BadInput("records", f'"{path}" of version {version}', f"version {VERSION} or older")
    Base.metadata.create_all(connection)
    connection.exec_driver_sql(f"PRAGMA user_version = {VERSION}")


def _connected(raw: Any, _record: Any) -> None:
    """Set up a connection: write ahead, wait for the disk at each commit, keep references."""
    raw.isolation_level = None  # Transactions are begun below, not by the driver's guess.
    for setting in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
        raw.execute(f"PRAGMA {setting}").close()


def _begun(connection: Connection) -> None:
    """Take the lock at once where it will be needed: a later wish for it could not be granted."""
    writes = connection.get_execution_options().get("writes")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
