"""The database: SQLite beside its files by default, PostgreSQL by its address."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DatabaseError, InternalError, OperationalError

from driploop.store.errors import BusyError, StoreError

#: How long one writer waits for another. [s]
BUSY_S = 10


@dataclass(frozen=True, slots=True)
class Store:
    """An open database and the folder that holds photographs and backups beside it."""

    engine: Engine
    folder: Path

    @property
    def is_sqlite(self) -> bool:
        """Whether the database is a file here."""
        return self.engine.dialect.name == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one unmoving state. Raises BusyError."""
        with told_plainly(), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection whose changes all stand at its end, or none. Writers wait for one another. Raises BusyError."""
        options: dict[str, Any] = {"driploop_writing": True}
        if not self.is_sqlite:
            options["isolation_level"] = "READ COMMITTED"  # a writer that waited for another's row sees what it wrote
        with (
            told_plainly(),
            self.engine.connect().execution_options(**options) as connection,
            connection.begin(),
        ):
            if not self.is_sqlite:
                wait_at_most(connection, BUSY_S)
            yield connection

    def close(self) -> None:
        """Give back every connection."""
        self.engine.dispose()


def wait_at_most(connection: Connection, seconds: float) -> None:
    """How long the transaction waits for what others hold, on PostgreSQL, which else waits without end."""
    connection.exec_driver_sql(f"SET LOCAL lock_timeout = {max(1, round(seconds * 1000))}")


@contextmanager
def told_plainly() -> Iterator[None]:
    """Turns what a database says when it cannot be used into a sentence."""
    try:
        yield
    except DatabaseError as error:
        if not isinstance(error, OperationalError | InternalError) and type(error) is not DatabaseError:
            raise  # a row that is refused is the caller's to explain
        reason = reason_of(error)
        if "locked" in reason or "lock timeout" in reason:
            reason = "others have been writing for too long"
        raise BusyError(f"The database cannot be used just now: {reason}. Nothing was written; try again.") from error


def reason_of(error: Exception) -> str:
    """What a database said, on one line."""
    return re.sub(r"\s+", " ", str(getattr(error, "orig", None) or error)).strip()


def engine_of(database: str) -> Engine:
    """An engine for an address as ``sqlite:///jobs.sqlite`` or ``postgresql://user@host/name``.

    Raises:
        StoreError: the address names no database that is served here.
    """
    try:
        url = make_url(database)
    except ArgumentError:
        raise _unknown(database.split("://")[0]) from None
    if url.drivername in ("postgresql", "postgres", "postgresql+psycopg"):
        return _postgresql(url.set(drivername="postgresql+psycopg"))
    if url.drivername != "sqlite" or not url.database or url.database == ":memory:":
        raise _unknown(url.render_as_string(hide_password=True))
    engine = create_engine(url, connect_args={"timeout": BUSY_S, "check_same_thread": False})
    event.listen(engine, "connect", _prepare)
    event.listen(engine, "begin", _begin)
    return engine


def _postgresql(url: URL) -> Engine:
    try:
        wait = {} if "connect_timeout" in url.query else {"connect_timeout": BUSY_S}
        return create_engine(url, isolation_level="REPEATABLE READ", pool_pre_ping=True, connect_args=wait)
    except ModuleNotFoundError:
        raise StoreError(
            "PostgreSQL needs a library that is not here.\n  do       pip install 'driploop[postgresql]'"
        ) from None


def _unknown(shown: str) -> StoreError:
    return StoreError(
        f"{shown!r} names no database that is served here.\n"
        "  allowed  sqlite:///file.sqlite or postgresql://user@host/name\n"
        "  do       Leave it out to keep the jobs in a file of this machine."
    )


def _prepare(raw: Any, _: Any) -> None:
    raw.isolation_level = None  # transactions are begun below, not by the driver
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        raw.execute(f"PRAGMA {pragma}")


def _begin(connection: Connection) -> None:
    # A writer says so at once; else two that both read first would refuse each other at the end.
    writing = connection.get_execution_options().get("driploop_writing", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")
