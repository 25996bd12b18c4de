"""Opening a database: made where there is none, brought up to date where it is older, with a backup first."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import SQLAlchemyError

from driploop.store.engine import Store, engine_of
from driploop.store.errors import StoreError

#: The newest step under ``migrations/versions``.
NEWEST = "0001"
_TABLE = "alembic_version"


def open_store(database: str, *, folder: Path) -> Store:
    """Open a database, made or brought up to date as needed.

    Args:
        database: its address, as ``engine_of`` takes it.
        folder: where photographs and backups stand; made where it is not there.

    Raises:
        StoreError: it cannot be reached, belongs to a newer program, or could not be brought up to date.
    """
    folder.mkdir(parents=True, exist_ok=True)
    store = Store(engine_of(database), folder)
    try:
        version = version_of(store.engine)
    except (SQLAlchemyError, sqlite3.Error) as error:
        raise StoreError(f"the database {_shown(store.engine)} cannot be opened: {_reason(error)}") from error
    if version == NEWEST:
        return store
    if version is not None and version > NEWEST:
        raise StoreError(
            f"the database {_shown(store.engine)} was last used by a newer program (its step is {version}, "
            f"this one knows up to {NEWEST}). Nothing was touched. Start that program, or take this one up to date."
        )
    bring_up_to_date(store, version)
    return store


def version_of(engine: Engine) -> str | None:
    """The step a database stands at; None for an empty one."""
    with engine.connect() as connection:
        if not inspect(connection).has_table(_TABLE):
            return None
        return connection.execute(text(f"SELECT version_num FROM {_TABLE}")).scalar()


def bring_up_to_date(store: Store, version: str | None) -> Path | None:
    """Run every step that the database lacks. Returns the backup that was made first, None for an empty one."""
    kept = None
    if version is not None:
        from driploop.store.backup import back_up

        kept = store.folder / f"before-{NEWEST}-from-{version}.zip"
        back_up(store, kept)
    try:
        with store.engine.connect() as connection:
            _upgrade(connection, sqlite=store.is_sqlite)
    except SQLAlchemyError as error:
        where = f" The state before is in {kept}." if kept else ""
        raise StoreError(f"the database could not be brought up to date: {_reason(error)}.{where}") from error
    return kept


def _upgrade(connection: Connection, *, sqlite: bool) -> None:
    from alembic import command
    from alembic.config import Config

    if sqlite:
        # A step that rebuilds a table would otherwise delete all that hangs on its rows.
        connection.connection.driver_connection.execute("PRAGMA foreign_keys=OFF")  # type: ignore[union-attr]
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.attributes["connection"] = connection
    with connection.begin():
        command.upgrade(config, NEWEST)
        if sqlite and (lost := connection.exec_driver_sql("PRAGMA foreign_key_check").all()):
            raise StoreError(f"bringing the database up to date would have lost {len(lost)} rows; nothing was changed.")
    if sqlite:
        connection.connection.driver_connection.execute("PRAGMA foreign_keys=ON")  # type: ignore[union-attr]


def _shown(engine: Engine) -> str:
    return engine.url.render_as_string(hide_password=True)


def _reason(error: Exception) -> str:
    return re.sub(r"\s+", " ", str(getattr(error, "orig", None) or error)).strip()
