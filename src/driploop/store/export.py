"""Everything in files that other programs read: job files, histories, notes and photographs in one zip."""

from __future__ import annotations

import json
import re
import zipfile
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from driploop.store.archive import new_archive
from driploop.store.engine import Store
from driploop.store.photographs import file_of
from driploop.store.records import loaded
from driploop.store.results import BackedUp, Photograph
from driploop.store.tables import changes, jobs, notes, photographs, texts

_ABOUT = """One folder a job:
  job.toml          the survey, as driploop reads it
  history.json      every change, oldest first: when, who, what it was before and after
  notes.json        notes by what they are about
  photographs.json  the photographs by item; their files stand in photographs/
jobs.json lists the jobs with their stage and whom they wait on. All times are UTC.
"""


def export_everything(store: Store, path: Path) -> BackedUp:
    """Write all jobs, as they stand at one moment, to a zip of plain files; readers and writers go on meanwhile.

    Raises:
        StoreError: there is a file of that name already, or it cannot be written.
    """
    listed: list[dict[str, Any]] = []
    shown, missing = 0, list[str]()
    with new_archive(path) as archive, store.reading() as connection:
        archive.writestr("README.txt", _ABOUT)
        for row in connection.execute(select(jobs).order_by(jobs.c.created_at, jobs.c.id)).mappings().all():
            folder = f"{_plain(row['title'])}-{row['id']}"
            listed.append({"folder": folder, **{key: row[key] for key in row if key != "looked_up"}})
            archive.writestr(
                f"{folder}/job.toml",
                connection.execute(select(texts.c.text).where(texts.c.job == row["id"])).scalar_one(),
            )
            archive.writestr(f"{folder}/history.json", _json(_history(connection, row["id"])))
            archive.writestr(f"{folder}/notes.json", _json(_rows(connection, notes, row["id"])))
            found = _photographs(connection, row["id"])
            described = []
            for photograph in found:
                name = f"photographs/{_plain(photograph.item)}-{photograph.id}{_ending(store, photograph)}"
                try:
                    archive.write(file_of(store, photograph, "original"), f"{folder}/{name}", zipfile.ZIP_STORED)
                except FileNotFoundError:
                    missing.append(photograph.id)
                    continue
                described.append({"file": name, "item": photograph.item, "caption": photograph.caption,
                                  "who": photograph.who, "at": photograph.at})  # fmt: skip
            archive.writestr(f"{folder}/photographs.json", _json(described))
            shown += len(described)
        archive.writestr("jobs.json", _json(listed))
    return BackedUp(path, len(listed), shown, tuple(missing))


def _history(connection: Connection, id: str) -> list[dict[str, Any]]:
    rows = connection.execute(select(changes).where(changes.c.job == id).order_by(changes.c.id)).mappings()
    kept = ("id", "revision", "at", "who", "path", "undoes")
    return [
        {**{key: row[key] for key in kept}, "before": loaded(row["before"]), "after": loaded(row["after"])}
        for row in rows
    ]


def _photographs(connection: Connection, id: str) -> list[Photograph]:
    asked = select(photographs).where(photographs.c.job == id).order_by(photographs.c.item, photographs.c.at)
    return [Photograph(**row) for row in connection.execute(asked).mappings()]


def _rows(connection: Connection, table: Any, id: str) -> list[dict[str, Any]]:
    asked = select(table).where(table.c.job == id).order_by(table.c.about)
    return [{key: row[key] for key in row if key != "job"} for row in connection.execute(asked).mappings()]


def _ending(store: Store, photograph: Photograph) -> str:
    return file_of(store, photograph, "original").suffix


def _plain(words: str) -> str:
    """Words as a name of a file that every system takes."""
    return re.sub(r"[^a-z0-9]+", "-", words.lower()).strip("-")[:60].strip("-") or "job"


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, indent=1, default=_moment)


def _moment(value: Any) -> str:
    if hasattr(value, "isoformat"):
        moment: datetime = value
        return moment.isoformat()
    raise TypeError(f"{type(value).__name__} has no place in an export")
