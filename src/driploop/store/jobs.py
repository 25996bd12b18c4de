"""Jobs in the database: list, search, read, change with history, undo, delete."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, Select, delete, func, insert, select, update

from driploop.store.beside import last_looked_at, look_at, note_on, notes_of
from driploop.store.edits import accepted, apart, of_today, part_of, tables_of_text, value_at, written, written_at
from driploop.store.engine import Store
from driploop.store.errors import StoreError
from driploop.store.past import history, undo
from driploop.store.records import (
    BESIDE,
    ROW,
    WHOLE,
    Change,
    conflict,
    headings,
    job_row,
    new_id,
    now,
    remember,
    stored,
    write,
)
from driploop.store.results import Conflict, Edit, JobRow, Saved, StoredJob, Who
from driploop.store.tables import STAGES, WAITS_ON, changes, jobs, looked_at, texts

__all__ = [
    "add_job",
    "change_job",
    "delete_job",
    "history",
    "last_looked_at",
    "list_jobs",
    "look_at",
    "move_on",
    "note_on",
    "notes_of",
    "read_stored",
    "replace_text",
    "undo",
]


def add_job(store: Store, text: str, *, who: Who) -> StoredJob:
    """Keep a new job file; one of an older format is brought up to date, comments kept.

    Raises:
        JobFileError: the text is no job file; nothing is kept.
    """
    text = accepted(text)
    moment, id = now(), new_id()
    title, looked_up = headings(text)
    with store.writing() as connection:
        connection.execute(
            insert(jobs).values(
                id=id, title=title, looked_up=looked_up, revision=1, stage=STAGES[0], waits_on=WAITS_ON[0],
                created_at=moment, changed_at=moment,
            )
        )  # fmt: skip
        connection.execute(insert(texts).values(job=id, text=text))
        remember(connection, id, 1, moment, who, [Change(WHOLE, None, text)])
        connection.execute(insert(looked_at).values(job=id, person=who.id or "", text=text))
    return StoredJob(JobRow(id, title, STAGES[0], WAITS_ON[0], 1, moment), text)


def list_jobs(
    store: Store, *, search: str = "", stage: str = "", waits_on: str = "", start: int = 0, count: int = 50
) -> tuple[tuple[JobRow, ...], int]:
    """Jobs, last changed first, and how many there are in all that fit.

    Args:
        search: words that must all occur in title, number, customer, address or town.
        stage: one of ``STAGES``, "" for all.
        waits_on: one of ``WAITS_ON``, "" for all.
        start: so many are passed over.
        count: so many are handed out at most.
    """
    asked = _fitting(select(*ROW), search, stage, waits_on)
    counted = _fitting(select(func.count()).select_from(jobs), search, stage, waits_on)
    page = asked.order_by(jobs.c.changed_at.desc(), jobs.c.id).offset(max(start, 0)).limit(max(count, 0))
    with store.reading() as connection:
        rows = connection.execute(page).all()
        total = connection.execute(counted).scalar_one()
    return tuple(job_row(row) for row in rows), total


def read_stored(store: Store, id: str) -> StoredJob:
    """One job with its file. Raises NotThereError."""
    with store.reading() as connection:
        return stored(connection, id)


def change_job(store: Store, id: str, edits: Sequence[Edit], *, who: Who) -> Saved:
    """Write what may be written of some edits; what somebody else changed in between comes back to be decided.

    Raises:
        NotThereError: there is no such job.
        JobFileError: an edit would bring a fault; nothing is written, nothing is lost.
        UpdateError: a path that is no field of a job file.
        StoreError: two of the edits touch the same thing.
    """
    with store.writing() as connection:
        before = stored(connection, id, hold=True)
        text = of_today(before.text)
        tables = tables_of_text(text)
        sorted_ = apart(tables, edits)
        conflicts = [conflict(connection, id, edit, value_at(tables, edit.path)) for edit in sorted_.taken]
        free = []
        for edit in sorted_.free:
            gone = _in_a_part_taken_away(connection, id, tables, edit)
            conflicts += [] if gone is None else [gone]
            free += [edit] if gone is None else []
        if not free:
            return Saved(before, (), tuple(conflicts))
        after_text = written(text, free)
        past = [_change(tables, edit, text) for edit in free]
        after = write(connection, before, after_text, who, past)
    return Saved(after, tuple(edit.path for edit in free), tuple(conflicts))


def replace_text(store: Store, id: str, text: str, *, who: Who, seen_revision: int) -> Saved:
    """Put another whole file in a job's place, as an import does; refused where the job was changed since it was seen.

    Raises:
        NotThereError: there is no such job.
        JobFileError: the text is no job file.
    """
    text = accepted(text)
    with store.writing() as connection:
        before = stored(connection, id, hold=True)
        if before.text == text:
            return Saved(before, ())
        if before.row.revision != seen_revision:
            return Saved(before, (), (conflict(connection, id, Edit(WHOLE, text), before.text),))
        after = write(connection, before, text, who, [Change(WHOLE, before.text, text)])
    return Saved(after, (WHOLE,))


def move_on(store: Store, id: str, *, stage: str | None = None, waits_on: str | None = None, who: Who) -> JobRow:
    """Say what a job has reached, or whom it waits on.

    Raises:
        NotThereError: there is no such job.
        StoreError: the word is none of those allowed.
    """
    wanted = {"stage": (stage, STAGES), "waits_on": (waits_on, WAITS_ON)}
    for name, (word, allowed) in wanted.items():
        if word is not None and word not in allowed:
            raise StoreError(f"{name}: {word!r} is none of {', '.join(allowed)}.")
    with store.writing() as connection:
        before = stored(connection, id, hold=True).row
        values = {name: word for name, (word, _) in wanted.items() if word not in (None, getattr(before, name))}
        if values:
            moment = now()
            connection.execute(update(jobs).where(jobs.c.id == id).values(**values, changed_at=moment))
            past = [Change(f"{BESIDE}{name}", getattr(before, name), word) for name, word in values.items()]
            remember(connection, id, before.revision, moment, who, past)
        return stored(connection, id).row


def delete_job(store: Store, id: str) -> None:
    """Delete a job with its history, notes, photographs and their files. Raises NotThereError."""
    from driploop.store.photographs import drop_files, drop_folders, give_up

    with store.writing() as connection:
        stored(connection, id, hold=True)
        given_up = give_up(connection, id)
        connection.execute(delete(jobs).where(jobs.c.id == id))
    drop_files(store, given_up)
    drop_folders(store, id)


def _fitting(asked: Select[Any], search: str, stage: str, waits_on: str) -> Select[Any]:
    for word in search.lower().split():
        asked = asked.where(jobs.c.looked_up.contains(word, autoescape=True))
    if stage:
        asked = asked.where(jobs.c.stage == stage)
    if waits_on:
        asked = asked.where(jobs.c.waits_on == waits_on)
    return asked


def _change(tables: Mapping[str, Any], edit: Edit, text: str) -> Change:
    takes_a_part = edit.value is None and isinstance(written_at(tables, edit.path), dict)
    return Change(edit.path, written_at(tables, edit.path), edit.value, whole=text if takes_a_part else None)


def _in_a_part_taken_away(connection: Connection, id: str, tables: Mapping[str, Any], edit: Edit) -> Conflict | None:
    """A field of a part that somebody took away in between: it must not bring the part back by itself."""
    part = part_of(edit.path)
    if part is None or edit.value is None or written_at(tables, part) is not None:
        return None
    asked = select(changes.c.after).where(changes.c.job == id, changes.c.path == part).order_by(changes.c.id.desc())
    last = connection.execute(asked.limit(1)).one_or_none()
    if last is None or last.after is not None:
        return None
    value: Any = edit.value
    for step in reversed(edit.path.removeprefix(f"{part}.").split(".")):
        value = {step: value}
    return conflict(connection, id, Edit(part, value), None)
