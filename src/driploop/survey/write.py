"""Writing job files: changes in place that keep comments and order, and never half a file."""

from __future__ import annotations

import os
import secrets
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path as FilePath
from typing import Any

from driploop.survey.edit import add_table, is_written, remove, rename_table, set_value, set_written
from driploop.survey.faults import Fault, JobFileError
from driploop.survey.fields import keys_of
from driploop.survey.layout import BY_ID, FORMAT, SINGLE, TABLES
from driploop.survey.lines import Changed, changed_in_lines
from driploop.survey.migrate import lift_tables, moves_from
from driploop.survey.places import Path, find_places
from driploop.survey.read import job_text_of, read_job_tables, read_job_text
from driploop.survey.syntax import parse_toml, remember_tables, tables_of
from driploop.worksheet import DriploopError

_BOM = "\ufeff"
#: One field set, the fields of one table set, or one thing taken away (None).
Change = tuple[Path, Any]


class UpdateError(DriploopError):
    """A change that has no place in a job file, or could not be made without risk to the rest of it."""


def update_job(path: str | FilePath, changes: Mapping[str, Any]) -> None:
    """Change fields of a job file where they stand; comments, order and all else stay as they are.

    Args:
        path: the job file.
        changes: new values by path, as ``{"circuits.range.ocpd_a": 40}``. None takes a field, part or table away;
            a table adds a part or sets several of its fields, as ``{"loads.fan": {"kind": "motor", "hp": "1/2"}}``.

    Raises:
        JobFileError: the file cannot be read, or the changes would bring a fault that is not there now.
        UpdateError: a path that is no field of a job file.
    """
    text = job_text_of(path)
    changed = changed_text(text, changes, name=str(path))
    if changed != text:
        write_atomic(path, changed)


def changed_text(text: str, changes: Mapping[str, Any], *, name: str = "job.toml") -> str:
    """The text of a job file with changes made, as ``update_job``; the file itself is not touched."""
    mark = _BOM if text.startswith(_BOM) else ""
    text = text.removeprefix(_BOM)
    before_tables = tables_of(text, name=name)
    singles = list(_single_changes(changes))
    changed, tables = _by_lines(text, before_tables, singles) or _by_the_whole(text, singles, name=name)
    if faults := _faults(changed, tables, name=name):
        before = {(fault.path, fault.read) for fault in _faults(text, before_tables, name=name)}
        if new := [fault for fault in faults if (fault.path, fault.read) not in before]:
            raise JobFileError(new)
    return mark + changed


def _by_lines(text: str, tables: Mapping[str, Any], changes: Sequence[Change]) -> Changed | None:
    """The text with fields changed in the lines of their tables, and its tables; None where that cannot be done."""
    for path, value in changes:
        if len(path) != table_depth(path) + 1:
            return None
        after = changed_in_lines(text, tables, path, value)
        if after is None:
            return None
        text, tables = after
    remember_tables(text, tables)
    return text, tables


def _by_the_whole(text: str, changes: Sequence[Change], *, name: str) -> Changed:
    """The text with changes made, and its tables, for whatever may be changed."""
    expected = parse_toml(text, name=name)
    changed = text
    for path, value in changes:
        changed = _with_change(changed, path, value)
        _apply(expected, path, value)
    tables = tables_of(changed, name=name)
    if _filled(tables) != _filled(expected):
        raise UpdateError(f"{name}: the change could not be made in place; nothing was written. Edit the file by hand.")
    return changed, tables


def write_atomic(path: str | FilePath, content: str | bytes) -> None:
    """Write a file whole or not at all: a temporary file beside it, forced to disk, then put in its place.

    Args:
        path: the file; a link is followed, permissions of a file that is there are kept.
        content: what it shall hold: bytes as they are, text as UTF-8 with its line ends as they are.

    Raises:
        OSError: it could not be written; the old file is as it was.
    """
    target = FilePath(os.path.realpath(path))
    temporary = target.with_name(f".{target.name}.{secrets.token_hex(6)}.tmp")
    try:
        handle = os.open(temporary, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), 0o666)
        with os.fdopen(handle, "wb") as file:
            file.write(content.encode("utf-8") if isinstance(content, str) else content)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            os.chmod(temporary, target.stat().st_mode & 0o7777)
        os.replace(temporary, target)
    except BaseException as error:
        with suppress(OSError):
            temporary.unlink()
        if isinstance(error, OSError) and error.errno is not None:  # the person knows the file, not its temporary name
            raise OSError(error.errno, error.strerror, str(path)) from error
        raise
    _sync_folder(target.parent)


def migrate_job(path: str | FilePath) -> str:
    """Rewrite a job file of an older format in today's; comments stay.

    Returns:
        What was done, in a sentence.

    Raises:
        JobFileError: the file cannot be read in either format.
        UpdateError: it cannot be rewritten in place.
    """
    text = job_text_of(path)
    migrated = migrated_text(text, name=str(path))
    if migrated == text:
        return f"{path}: is in format {FORMAT} already; left as it is."
    write_atomic(path, migrated)
    return f"{path}: rewritten in format {FORMAT}; comments and order kept."


def migrated_text(text: str, *, name: str = "job.toml") -> str:
    """The text of a job file in today's format, as ``migrate_job``."""
    read_job_text(text, name=name)
    mark = _BOM if text.startswith(_BOM) else ""
    text = text.removeprefix(_BOM)
    tables = parse_toml(text, name=name)
    format = int(tables["format"])
    if format == FORMAT:
        return mark + text
    migrated = text
    for move in moves_from(format):
        migrated = _moved(migrated, move.old, move.new)
    migrated = set_value(migrated, ("format",), FORMAT)
    if parse_toml(migrated, name=name) != {**lift_tables(tables, format=format), "format": FORMAT}:
        raise UpdateError(f"{name}: the file could not be lifted in place; nothing was written. Rewrite it by hand.")
    return mark + migrated


def _moved(text: str, old: Path, new: Path) -> str:
    if len(old) == 1:
        return rename_table(text, old[0], new[0])
    places = find_places(text)
    place = places.keys.get(old)
    if place is None or new in places.keys:
        return text
    written = text[place.value_start : place.value_end]
    if not place.inline and new[:-1] not in places.keys:  # a comment on the line moves along
        end = text.find("\n", place.value_end)
        written = text[place.value_start : end if end >= 0 else len(text)].rstrip("\r")
    return set_written(remove(text, old), new, written)


def _single_changes(changes: Mapping[str, Any]) -> Iterator[Change]:
    """Each change as one field set, the fields of one table set or one thing taken away (None)."""
    for dotted, value in changes.items():
        path = tuple(dotted.split("."))
        if path[0] not in TABLES or path[0] == "format" or not all(path):
            raise UpdateError(f"{dotted!r} is no field of a job file. Name table, id and key: circuits.range.ocpd_a")
        yield from _single(path, value)


def _single(path: Path, value: Any) -> Iterator[Change]:
    depth = table_depth(path)
    if value is None or len(path) > depth or (len(path) == depth > 1 and isinstance(value, Mapping)):
        yield path, value
    elif not isinstance(value, Mapping):
        raise UpdateError(f"{'.'.join(path)!r} is a table; give its keys and values, or None to take it away.")
    else:
        if len(path) == depth:
            yield path, {}
        for key, item in value.items():
            yield from _single((*path, key), item)


def table_depth(path: Path) -> int:
    """How many steps of a path lead to the table whose keys are fields; its first must be a table of a job file."""
    if path[0] in BY_ID:
        return 2
    key = keys_of(SINGLE[path[0]]).get(path[1]) if len(path) > 1 else None
    return 3 if key is not None and key.shape.kind == "parts" else 1


def _with_change(text: str, path: Path, value: Any) -> str:
    if value is None:
        return remove(text, path)
    if len(path) > table_depth(path):
        return set_value(text, path, value)
    if not is_written(text, path):
        return add_table(text, path, {key: item for key, item in value.items() if item is not None})
    for key, item in value.items():
        text = _with_change(text, (*path, key), item)
    return text


def _apply(tables: dict[str, Any], path: Path, value: Any) -> None:
    holder = tables
    for step in path[:-1]:
        if value is None and step not in holder:
            return
        holder = holder.setdefault(step, {})
        if not isinstance(holder, dict):
            raise UpdateError(f"{'.'.join(path)!r} is no field of a job file: {step!r} holds a value, not a table.")
    if value is None:
        holder.pop(path[-1], None)
    elif isinstance(value, Mapping) and len(path) == table_depth(path):
        holder.setdefault(path[-1], {})
        for key, item in value.items():
            _apply(tables, (*path, key), item)
    else:
        holder[path[-1]] = _plain(value)


def _filled(tables: Mapping[str, Any]) -> dict[str, Any]:
    """The tables without those that only hold parts and hold none: they come and go with their last part."""
    filled: dict[str, Any] = {}
    for name, held in tables.items():
        if isinstance(held, Mapping) and name in SINGLE:
            keys = keys_of(SINGLE[name])
            held = {key: item for key, item in held.items() if item or key not in keys or not keys[key].shape.model}
        if held or name not in (*BY_ID, "proposal"):
            filled[name] = held
    return filled


def _plain(value: Any) -> Any:
    """A value as TOML will give it back: lists for tuples, tables for mappings."""
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    return value


def _faults(text: str, tables: Mapping[str, Any], *, name: str) -> tuple[Fault, ...]:
    try:
        read_job_tables(tables, text, name=name)
    except JobFileError as error:
        return error.faults
    return ()


def _sync_folder(folder: FilePath) -> None:
    if not hasattr(os, "O_DIRECTORY"):
        return
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
