"""Jobs and their changes as rows: what every module that writes a job shares."""

from __future__ import annotations

import json
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Any

from sqlalchemy import Connection, insert, select, update

from driploop.installation import JobHeader
from driploop.store.edits import tables_of_text, touches
from driploop.store.errors import NotThereError
from driploop.store.results import Conflict, Edit, JobRow, StoredJob, Who
from driploop.store.tables import changes, jobs, texts

ROW = (jobs.c.id, jobs.c.title, jobs.c.stage, jobs.c.waits_on, jobs.c.revision, jobs.c.changed_at)
#: A path that stands for the job file as a whole in the history.
WHOLE = ""
#: Paths of the history that are no fields of the job file begin so.
BESIDE = "@"


@dataclass(frozen=True, slots=True)
class Change:
    """One change on its way into the history. ``whole`` is the text before a part was taken away."""

    path: str
    before: Any
    after: Any
    undoes: int | None = None
    whole: str | None = None


def new_id() -> str:
    """An id that nobody can guess and that fits a link."""
    return secrets.token_hex(8)


def now() -> datetime:
    """This moment, in UTC."""
    return datetime.now(UTC)


def job_row(row: Any) -> JobRow:
    """A row of the list as it is handed out."""
    return JobRow(row.id, row.title, row.stage, row.waits_on, row.revision, row.changed_at)


def stored(connection: Connection, id: str, *, hold: bool = False) -> StoredJob:
    """One job with its file. ``hold`` keeps other writers of it waiting. Raises NotThereError."""
    if hold:  # first the lock, then the reading: the text must be the one that the last holder left
        connection.execute(select(jobs.c.id).where(jobs.c.id == id).with_for_update())
    row = connection.execute(select(*ROW, texts.c.text).join(texts).where(jobs.c.id == id)).one_or_none()
    if row is None:
        raise NotThereError("There is no such job; it may have been deleted.")
    return StoredJob(job_row(row), row.text)


def write(connection: Connection, before: StoredJob, text: str, who: Who, past: Sequence[Change]) -> StoredJob:
    """Put another text in a job's place, with its history."""
    title, looked_up = headings(text)
    revision, moment, id = before.row.revision + 1, now(), before.row.id
    values = {"title": title, "looked_up": looked_up, "revision": revision, "changed_at": moment}
    connection.execute(update(jobs).where(jobs.c.id == id).values(**values))
    connection.execute(update(texts).where(texts.c.job == id).values(text=text))
    remember(connection, id, revision, moment, who, past)
    return StoredJob(JobRow(id, title, before.row.stage, before.row.waits_on, revision, moment), text)


def remember(
    connection: Connection, id: str, revision: int, moment: datetime, who: Who, past: Sequence[Change]
) -> None:
    """Write changes into the history."""
    rows = [
        {
            "job": id, "revision": revision, "at": moment, "person": who.id, "who": who.name, "path": change.path,
            "before": dumped(change.before), "after": dumped(change.after), "undoes": change.undoes,
            "whole": change.whole,
        }
        for change in past
    ]  # fmt: skip
    connection.execute(insert(changes), rows)


def conflict(connection: Connection, id: str, edit: Edit, stands: Any) -> Conflict:
    """An edit whose place was changed: what stands there, and who last changed it, what holds it, or what is in it."""
    asked = select(changes.c.path, changes.c.who, changes.c.at).where(changes.c.job == id)
    rows = connection.execute(asked.order_by(changes.c.id.desc()))
    last = next((row for row in rows if WHOLE in (row.path, edit.path) or touches(row.path, edit.path)), None)
    return Conflict(edit.path, edit.value, stands, edit.seen, last.who if last else "", last.at if last else None)


def headings(text: str) -> tuple[str, str]:
    """Title and the words that a search looks through. A file with faults has them too."""
    tables = tables_of_text(text)
    header, town = _table(tables, "job"), _table(tables, "town")
    title = header.get("title")
    shown = title if isinstance(title, str) and title else JobHeader.model_construct().title
    places = (shown, *(header.get(key) for key in ("number", "customer", "address")), town.get("name"))
    return shown, " ".join(word for word in places if isinstance(word, str)).lower()


def dumped(value: Any) -> str | None:
    """A value of the history as it is kept: JSON, None as nothing."""
    return None if value is None else json.dumps(value, ensure_ascii=False, default=_moment)


def loaded(kept: str | None) -> Any:
    """The value that was kept."""
    return None if kept is None else json.loads(kept, object_hook=_moment_again)


def _table(tables: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    held = tables.get(name)
    return held if isinstance(held, Mapping) else {}


_MOMENTS: dict[str, type[datetime] | type[date] | type[time]] = {"datetime": datetime, "date": date, "time": time}


def _moment(value: Any) -> dict[str, str]:
    """TOML knows dates, JSON does not."""
    for name, kind in _MOMENTS.items():
        if type(value) is kind:
            return {f"@{name}": value.isoformat()}
    raise TypeError(f"{type(value).__name__} has no place in a job file")


def _moment_again(table: dict[str, Any]) -> Any:
    if len(table) == 1:
        [(name, value)] = table.items()
        if name.startswith("@") and name[1:] in _MOMENTS:
            return _MOMENTS[name[1:]].fromisoformat(value)
    return table
