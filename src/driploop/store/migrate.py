"""Opening a database: made where there is none, brought up to date where it is older, with a backup first."""

from __future__ import annotations

import re
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import SQLAlchemyError

from driploop.store.engine import Store, engine_of, reason_of, wait_at_most
from driploop.store.errors import StoreError

#: The newest step under ``migrations/versions``; steps are numbered on.
NEWEST = "0002"
#: How long a program that starts waits for another that is at it. [s]
_PATIENCE_S = 120
_TABLE = "alembic_version"
_LOCK = 0x64726970
_ONE_AT_A_TIME = threading.Lock()


def open_store(database: str, *, folder: Path) -> Store:
    """Open a database, made or brought up to date as needed.

    Args:
        database: its address, as ``engine_of`` takes it.
        folder: where photographs and backups stand; made, for its owner alone, where it is not there.

    Raises:
        StoreError: it cannot be reached, belongs to another or a newer program, or could not be brought up to date.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(f"{folder}: cannot hold the jobs: {error.strerror}. Choose another folder.") from error
    store = Store(engine_of(database), folder)
    try:
        if _version(store.engine) != NEWEST:
            bring_up_to_date(store)
    except (SQLAlchemyError, sqlite3.Error) as error:
        store.close()
        raise StoreError(f"the database {_shown(store)} cannot be opened: {reason_of(error)}.") from error
    except BaseException:
        store.close()
        raise
    from driploop.store.photographs import drop_leftovers

    drop_leftovers(store)
    return store


def bring_up_to_date(store: Store) -> Path | None:
    """Run every step that the database lacks. Returns the backup that was made first, None where there was nothing.

    Several programs may start at once: one does it, the others wait and find it done.

    Raises:
        StoreError: a step failed, or the database is not this program's; nothing was changed.
    """
    kept: Path | None = None
    try:
        with rebuilding(store) as connection:
            version = version_of(connection)
            _refuse_strangers(store, connection, version)
            if version is None or version == NEWEST:
                upgrade(connection)
                return None
            from driploop.store.backup import back_up

            moment = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
            kept = store.folder / "backups" / f"before-step-{NEWEST}-{moment}.zip"
            back_up(store, kept, pictures=False)
            upgrade(connection)
    except (SQLAlchemyError, StoreError) as error:
        if kept is None:
            raise
        raise StoreError(
            f"The database could not be brought up to date and is as it was: {reason_of(error)}\n"
            f"  do       Go on with the program that you had. A backup is in {kept}."
        ) from error
    return kept


@contextmanager
def rebuilding(store: Store) -> Iterator[Connection]:
    """A connection that may change tables, alone; everything done by it stands at its end, or nothing.

    Raises:
        StoreError: rows would be left that point at nothing.
    """
    options: dict[str, Any] = {"driploop_writing": True}
    if not store.is_sqlite:
        options["isolation_level"] = "READ COMMITTED"
    with _ONE_AT_A_TIME, store.engine.connect().execution_options(**options) as connection:
        raw: Any = connection.connection.driver_connection
        if store.is_sqlite:
            # A step that rebuilds a table would otherwise delete all that hangs on its rows.
            raw.execute("PRAGMA foreign_keys=OFF")
            raw.execute(f"PRAGMA busy_timeout={_PATIENCE_S * 1000}")
        try:
            with connection.begin():
                if not store.is_sqlite:
                    wait_at_most(connection, _PATIENCE_S)
                    connection.execute(text(f"SELECT pg_advisory_xact_lock({_LOCK})"))
                yield connection
                if store.is_sqlite and (lost := connection.exec_driver_sql("PRAGMA foreign_key_check").all()):
                    raise StoreError(f"{len(lost)} rows would point at nothing; nothing was changed.")
        finally:
            connection.invalidate()  # the next one is made with its settings anew


def upgrade(connection: Connection, *, to: str = NEWEST) -> None:
    """Run the steps up to one, on a connection of ``rebuilding``."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, to)


def version_of(connection: Connection) -> str | None:
    """The step a database stands at; None for an empty one."""
    if not inspect(connection).has_table(_TABLE):
        return None
    found = connection.execute(text(f"SELECT version_num FROM {_TABLE}")).scalar()
    return None if found is None else str(found)


def is_step(version: str) -> bool:
    """Whether this is the number of a step, of this program or a newer one."""
    return re.fullmatch(r"\d{4}", version) is not None and version > "0000"


def _version(engine: Engine) -> str | None:
    with engine.connect() as connection:
        return version_of(connection)


def _refuse_strangers(store: Store, connection: Connection, version: str | None) -> None:
    if version is None:
        if inspect(connection).get_table_names():
            raise StoreError(
                f"the database {_shown(store)} holds tables of another program. Nothing was touched. Name another."
            )
    elif not is_step(version):
        raise StoreError(f"the database {_shown(store)} is of another program. Nothing was touched. Name another.")
    elif version > NEWEST:
        raise StoreError(
            f"the database {_shown(store)} was last used by a newer program (its step is {version}, "
            f"this one knows up to {NEWEST}). Nothing was touched. Start that program, or take this one up to date."
        )


def _shown(store: Store) -> str:
    return store.engine.url.render_as_string(hide_password=True)
