"""Backup and restore of everything, while the server runs, for either database: one file with all rows and pictures.

The rows are written as text, by table, so that a backup of one database can be restored into the other, and one of an
older program into a newer: it is put into tables of its own time, which are then brought up to date.
"""

from __future__ import annotations

import json
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, MetaData, Select, Table, insert, select, text
from sqlalchemy.exc import SQLAlchemyError

from driploop.store.archive import new_archive
from driploop.store.engine import Store, reason_of, told_plainly
from driploop.store.errors import StoreError
from driploop.store.migrate import NEWEST, is_step, rebuilding, upgrade, version_of
from driploop.store.photographs import SIZES, drop_files, file_of, put_file
from driploop.store.results import BackedUp, Photograph, Restored
from driploop.store.tables import Utc, leftovers, metadata, photographs

_FORMAT = "driploop backup 1"
#: What says who is signed in right now is not kept: it would open doors to whoever finds the file.
_LEFT_OUT = ("sessions", "invitations", "attempts", "leftovers", "alembic_version")
_ABOUT = "backup.json"
_PHOTOGRAPHS = photographs.name
_AT_ONCE = 500
_UNREADABLE = (
    zipfile.BadZipFile, zlib.error, json.JSONDecodeError, UnicodeDecodeError, KeyError, TypeError, ValueError,
    EOFError, NotImplementedError, RuntimeError, SQLAlchemyError,
)  # fmt: skip


def back_up(store: Store, path: Path, *, pictures: bool = True) -> BackedUp:
    """Write everything, as it stands at one moment, to one file; readers and writers go on meanwhile.

    Args:
        pictures: the files of the photographs too; else the rows alone.

    Raises:
        StoreError: there is a file of that name already, or it cannot be written.
    """
    with new_archive(path) as archive, store.reading() as connection:
        jobs, shown, lost = 0, 0, list[str]()
        for table in _tables_there(connection):
            rows: Iterable[Mapping[Any, Any]] = iter(connection.execute(select(table)).mappings())
            missing: set[str] = set()
            if table.name == _PHOTOGRAPHS:
                rows = list(rows)
                missing = _write_pictures(store, archive, rows) if pictures else set()
                gone = _deleted_meanwhile(store, missing)
                rows, missing = [row for row in rows if row["id"] not in gone], missing - gone
                shown, lost = len(rows), sorted(missing)
            with archive.open(f"rows/{table.name}.jsonl", "w", force_zip64=True) as file:
                for row in rows:
                    file.write(json.dumps(dict(row), ensure_ascii=False, default=_moment).encode() + b"\n")
                    jobs += table.name == "jobs"
        about = {
            "format": _FORMAT, "step": version_of(connection), "pictures": pictures, "missing": lost,
            "at": datetime.now(UTC).isoformat(), "jobs": jobs,
        }  # fmt: skip
        archive.writestr(_ABOUT, json.dumps(about))
    return BackedUp(path, jobs, shown, tuple(lost))


def restore(store: Store, path: Path, *, replace: bool = False) -> Restored:
    """Put a backup into an empty store, or in the place of what is there. All of it, or nothing is changed.

    Args:
        path: a file that ``back_up`` wrote.
        replace: what is there is first kept in a backup of its own, then goes. Everybody must sign in again.

    Raises:
        StoreError: the file is no whole backup, is of a newer program, or the store holds something already.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            about = _about(archive, path)
            pictures = _pictures(store, archive, about)
            return _put_back(store, archive, about, pictures, replace=replace)
    except StoreError:
        raise
    except OSError as error:
        raise StoreError(f"{path}: cannot be read: {error.strerror}.") from error
    except _UNREADABLE as error:
        raise StoreError(
            f"{path}: is no whole backup of this program ({reason_of(error)}). Nothing was changed."
        ) from error


def _tables_there(connection: Connection) -> Sequence[Table]:
    """The tables to keep, as they are in the database, which may be of an older step; what others point at first."""
    there = MetaData()
    there.reflect(connection)
    _tell_moments(there)
    return [table for table in there.sorted_tables if table.name not in _LEFT_OUT]


def _tell_moments(there: MetaData) -> None:
    """Reading a table from the database tells that a column is a moment, not that it is in UTC."""
    for table in there.tables.values():
        known = metadata.tables.get(table.name)
        for column in table.columns:
            if known is not None and column.name in known.columns:
                column.type = known.columns[column.name].type if _is_moment(known, column.name) else column.type


def _is_moment(table: Table, name: str) -> bool:
    return isinstance(table.columns[name].type, Utc)


def _write_pictures(store: Store, archive: zipfile.ZipFile, rows: Sequence[Mapping[Any, Any]]) -> set[str]:
    missing = set()
    for row in rows:
        photograph = Photograph(**row)
        try:
            for size in SIZES:
                picture = file_of(store, photograph, size)
                archive.write(picture, picture.relative_to(store.folder).as_posix(), zipfile.ZIP_STORED)
        except FileNotFoundError:
            missing.add(photograph.id)
    return missing


def _deleted_meanwhile(store: Store, ids: set[str]) -> set[str]:
    """Which photographs have no row any more: they were deleted after the moment of the backup."""
    if not ids:
        return ids
    with store.reading() as connection:
        asked = select(photographs.c.id).where(photographs.c.id.in_(ids))
        return ids - set(connection.execute(asked).scalars())


def _about(archive: zipfile.ZipFile, path: Path) -> dict[str, Any]:
    about: dict[str, Any] = json.loads(archive.read(_ABOUT))
    if about.get("format") != _FORMAT or not is_step(str(about["step"])):
        raise StoreError(f"{path}: is no backup that this program can read. Take the program up to date first.")
    if about["step"] > NEWEST:
        raise StoreError(f"{path}: was written by a newer program. Take this one up to date first.")
    if broken := archive.testzip():
        raise StoreError(f"{path}: is damaged at {broken}. Nothing was changed. Take another backup.")
    return about


def _pictures(store: Store, archive: zipfile.ZipFile, about: Mapping[str, Any]) -> dict[str, Path]:
    """Where each picture of the backup goes; every name is made here, from ids that are checked."""
    places = {}
    for row in _rows(archive, _PHOTOGRAPHS):
        for size in SIZES if about["pictures"] and row["id"] not in about["missing"] else ():
            place = file_of(store, Photograph(**row), size)
            places[place.relative_to(store.folder).as_posix()] = place
            archive.getinfo(place.relative_to(store.folder).as_posix())
    return places


def _put_back(
    store: Store, archive: zipfile.ZipFile, about: Mapping[str, Any], pictures: Mapping[str, Path], *, replace: bool
) -> Restored:
    aside: Path | None = None
    written: list[Path] = []
    try:
        with told_plainly(), rebuilding(store) as connection:
            _hold_all(connection)
            old = _pairs(connection, select(photographs.c.job, photographs.c.id))
            old |= _pairs(connection, select(leftovers.c.job, leftovers.c.photograph))
            if _holds_something(connection):
                if not replace:
                    raise StoreError("There are jobs or people here already. Restore into an empty folder.")
                moment = datetime.now(UTC).strftime("%Y%m%d-%H%M%S-%f")
                aside = store.folder / "backups" / f"before-restore-{moment}.zip"
                back_up(store, aside)
            for name, place in pictures.items():
                if not place.exists():
                    written.append(place)
                    put_file(place, archive.read(name))
            _build(connection, str(about["step"]))
            counts = {table.name: _fill(connection, archive, table) for table in _tables_there(connection)}
            upgrade(connection)
            given_up = sorted(old - _pairs(connection, select(photographs.c.job, photographs.c.id)))
            if given_up:
                rows = [{"job": job, "photograph": id, "at": datetime.now(UTC)} for job, id in given_up]
                connection.execute(insert(leftovers), rows)
            if not store.is_sqlite:
                _go_on_counting(connection)
    except BaseException:
        for place in written:
            place.unlink(missing_ok=True)
        raise
    drop_files(store, given_up)
    return Restored(counts["jobs"], counts[_PHOTOGRAPHS], aside)


def _pairs(connection: Connection, asked: Select[Any]) -> set[tuple[str, str]]:
    return {(job, id) for job, id in connection.execute(asked)}


def _hold_all(connection: Connection) -> None:
    """Let nobody write while what is there goes aside; SQLite holds them already."""
    if connection.dialect.name != "sqlite":
        names = ", ".join(table.name for table in metadata.sorted_tables)
        connection.execute(text(f"LOCK TABLE {names} IN EXCLUSIVE MODE"))


def _holds_something(connection: Connection) -> bool:
    kept = [table for table in metadata.sorted_tables if table.name not in _LEFT_OUT]
    return any(connection.execute(select(table).limit(1)).first() is not None for table in kept)


def _build(connection: Connection, step: str) -> None:
    """Empty tables as they were at a step."""
    there = MetaData()
    there.reflect(connection)
    there.drop_all(connection)
    upgrade(connection, to=step)


def _fill(connection: Connection, archive: zipfile.ZipFile, table: Table) -> int:
    moments = [column.name for column in table.columns if isinstance(column.type, Utc)]
    count = 0
    rows = _rows(archive, table.name)
    while chunk := list(islice(rows, _AT_ONCE)):
        for row in chunk:
            if row.keys() != set(table.columns.keys()):
                raise ValueError(f"a row of {table.name} has other columns than its table")
            row.update({name: datetime.fromisoformat(row[name]) for name in moments if row[name] is not None})
        connection.execute(insert(table), chunk)
        count += len(chunk)
    return count


def _rows(archive: zipfile.ZipFile, table: str) -> Iterator[dict[str, Any]]:
    with archive.open(f"rows/{table}.jsonl") as file:
        for line in file:
            yield json.loads(line)


def _go_on_counting(connection: Connection) -> None:
    last = "(SELECT COALESCE(MAX(id), 0) + 1 FROM changes)"
    connection.execute(text(f"SELECT setval(pg_get_serial_sequence('changes', 'id'), {last}, false)"))


def _moment(value: Any) -> str:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    raise TypeError(f"{type(value).__name__} has no place in a backup")
