"""Backup and restore of everything, while the server runs, for either database: one file with all rows and pictures."""

from __future__ import annotations

import json
import os
import secrets
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path, PurePosixPath
from typing import Any

from sqlalchemy import Table, inspect, select, text

from driploop.store.engine import Store
from driploop.store.errors import StoreError
from driploop.store.tables import Utc, metadata

_FORMAT = "driploop backup 1"
#: What says who is signed in right now is not kept: it would open doors to whoever finds the file.
_LEFT_OUT = ("sessions", "invitations", "attempts")
_PICTURES = "photographs"


def back_up(store: Store, path: Path) -> None:
    """Write everything to one file; readers and writers go on meanwhile.

    Raises:
        StoreError: there is a file of that name already.
    """
    if path.exists():
        raise StoreError(f"{path}: is there already and is left as it is. Choose another name.")
    path.parent.mkdir(parents=True, exist_ok=True)
    temporary = path.with_name(f".{path.name}.{secrets.token_hex(4)}.tmp")
    try:
        with zipfile.ZipFile(temporary, "w", zipfile.ZIP_DEFLATED) as archive:
            _write_rows(store, archive)
            for picture in sorted((store.folder / _PICTURES).glob("*/*")):
                if not picture.name.startswith("."):
                    archive.write(picture, f"{_PICTURES}/{picture.parent.name}/{picture.name}", zipfile.ZIP_STORED)
        os.replace(temporary, path)
    finally:
        temporary.unlink(missing_ok=True)


def restore(store: Store, path: Path) -> int:
    """Put a backup into an empty store. Returns how many jobs it held.

    Raises:
        StoreError: the file is no backup, is of a newer program, or the store holds something already.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            return _restored(store, archive, path)
    except (zipfile.BadZipFile, KeyError, json.JSONDecodeError, FileNotFoundError) as error:
        raise StoreError(f"{path}: is no backup of this program that can be read ({error}).") from error


def _write_rows(store: Store, archive: zipfile.ZipFile) -> None:
    with store.reading() as connection:
        there = set(inspect(connection).get_table_names())
        version = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
        archive.writestr("backup.json", json.dumps({"format": _FORMAT, "step": version}))
        for table in metadata.sorted_tables:
            if table.name in _LEFT_OUT or table.name not in there:
                continue
            columns = {each["name"] for each in inspect(connection).get_columns(table.name)}
            wanted = [column for column in table.columns if column.name in columns]
            with archive.open(f"rows/{table.name}.jsonl", "w", force_zip64=True) as file:
                for row in connection.execute(select(*wanted)).mappings():
                    file.write(json.dumps(dict(row), ensure_ascii=False, default=_moment).encode() + b"\n")


def _restored(store: Store, archive: zipfile.ZipFile, path: Path) -> int:
    from driploop.store.migrate import NEWEST

    about = json.loads(archive.read("backup.json"))
    if about.get("format") != _FORMAT or about["step"] > NEWEST:
        raise StoreError(f"{path}: was written by a newer program. Take this one up to date first.")
    count = 0
    with store.writing() as connection:
        for table in metadata.sorted_tables:
            if table.name not in _LEFT_OUT and connection.execute(select(table).limit(1)).first() is not None:
                raise StoreError("There are jobs or people here already. Restore into an empty folder.")
        for table in metadata.sorted_tables:
            name = f"rows/{table.name}.jsonl"
            if name not in archive.namelist():
                continue
            rows = list(_rows(table, archive.read(name)))
            if rows:
                connection.execute(table.insert(), rows)
            count += len(rows) if table.name == "jobs" else 0
        if not store.is_sqlite:
            _go_on_counting(connection)
    _restore_pictures(store, archive)
    return count


def _rows(table: Table, content: bytes) -> Iterator[dict[str, Any]]:
    moments = [column.name for column in table.columns if isinstance(column.type, Utc)]
    for line in content.splitlines():
        row: dict[str, Any] = json.loads(line)
        for name in moments:
            if row.get(name) is not None:
                row[name] = datetime.fromisoformat(row[name])
        yield row


def _go_on_counting(connection: Any) -> None:
    for table in ("changes", "attempts"):
        connection.execute(
            text(
                f"SELECT setval(pg_get_serial_sequence('{table}', 'id'), "
                f"(SELECT COALESCE(MAX(id), 0) + 1 FROM {table}), false)"
            )
        )


def _restore_pictures(store: Store, archive: zipfile.ZipFile) -> None:
    for entry in archive.infolist():
        parts = PurePosixPath(entry.filename).parts
        if len(parts) == 3 and parts[0] == _PICTURES and ".." not in parts:
            target = store.folder.joinpath(*parts)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(archive.read(entry))


def _moment(value: Any) -> str:
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    raise TypeError(f"{type(value).__name__} has no place in a backup")
