"""Reading a job file: all of it or nothing, and every fault at once."""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from pydantic import ValidationError

from driploop.installation import Job
from driploop.survey.contradictions import check_contradictions
from driploop.survey.faults import Fault, Found, JobFileError
from driploop.survey.fields import keys_of
from driploop.survey.layout import BY_ID, FORMAT, SINGLE, JobFile
from driploop.survey.migrate import OLDEST, lift_tables, looks_like, written_path
from driploop.survey.places import Path, find_places
from driploop.survey.prepare import Preparation, Tables
from driploop.survey.references import check_references
from driploop.survey.syntax import tables_of
from driploop.survey.words import nearest, shown, value_fault

_BOM = "\ufeff"
#: The jobs read last, with their texts: what was read to see that it can be stored is read again to be planned.
_LAST: deque[tuple[str, Job]] = deque(maxlen=16)


def read_job(path: str | FilePath) -> Job:
    """The job in a file.

    Args:
        path: a TOML job file, UTF-8.

    Returns:
        The job, every field that is left out or "unknown" as None.

    Raises:
        JobFileError: the file cannot be opened, or anything in it cannot be used; all faults at once.
    """
    return read_job_text(job_text_of(path), name=str(path))


def read_job_text(text: str, *, name: str = "job.toml") -> Job:
    """The job in a text.

    Args:
        text: what a job file holds.
        name: what to call the file in faults.

    Returns:
        The job, as ``read_job``.

    Raises:
        JobFileError: anything in it cannot be used; all faults at once.
    """
    text = text.removeprefix(_BOM)
    return read_job_tables(tables_of(text, name=name), text, name=name)


def read_job_tables(tables: Mapping[str, Any], text: str, *, name: str) -> Job:
    """As ``read_job_text``, for a text whose tables were read already."""
    for known, job in tuple(_LAST):
        if known == text:
            return job
    reading = _read(tables, name=name)
    if reading.found or reading.file is None:
        raise JobFileError(_located(reading.found, text, name=name, format=reading.format))
    job = reading.file.as_job()
    _LAST.append((text, job))
    return job


def job_text_of(path: str | FilePath, *, what: str = "a job file") -> str:
    """The text of a file, line ends as they are. Raises JobFileError in plain words when it cannot be read.

    ``what`` is what the file should be, for those words.
    """
    file = FilePath(path)

    def refuse(read: str, do: str, line: int | None = None) -> JobFileError:
        return JobFileError([Fault(str(path), line, "", read, f"{what}: TOML text in UTF-8", do)])

    try:
        raw = file.read_bytes()
    except FileNotFoundError:
        raise refuse("no such file", _where_to_look(file)) from None
    except IsADirectoryError:
        raise refuse("a folder", _where_to_look(file / "job.toml")) from None
    except OSError as error:
        raise refuse(f"cannot be opened: {error.strerror}", "Check the name and that you may read it.") from None
    if b"\0" in raw and not raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        line = raw.count(b"\n", 0, raw.index(b"\0")) + 1
        raise refuse("no text: a picture, a PDF or a program's own file", "Name the job file itself.", line)
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise refuse("a character that is not UTF-8", 'Save the file again as "UTF-8".', line) from None


def _where_to_look(file: FilePath) -> str:
    try:
        names = sorted(other.name for other in file.parent.glob("*.toml"))
    except OSError:
        names = []
    near = nearest(file.name, names)
    if near:
        return f"Did you mean {near}?"
    return f"Job files there: {', '.join(names[:12])}." if names else "Check the name; driploop new writes a new one."


@dataclass(frozen=True, slots=True)
class _Reading:
    file: JobFile | None
    found: list[Found]
    format: int


def _read(data: Mapping[str, Any], *, name: str) -> _Reading:
    format, found = _format(data, name=name)
    ready = Preparation(lift_tables(data, format=format))
    found += ready.found
    found += check_references(ready.tables)
    found += check_contradictions(ready.tables)
    try:
        return _Reading(JobFile.model_validate(ready.tables), found, format)
    except ValidationError as error:
        refused = [_refused(fault["loc"], ready.tables) for fault in error.errors(include_url=False)]
        return _Reading(None, [*found, *dict.fromkeys(refused)], format)


def _format(data: Mapping[str, Any], *, name: str) -> tuple[int, list[Found]]:
    """The file's format, today's where it cannot be told. Raises for a format of the future: nothing else holds."""
    allowed = f"format = {FORMAT} (older files: from {OLDEST})"
    if "format" not in data:
        like = looks_like(data)
        return like, [Found(("format",), "nothing", allowed, f"Write format = {like} as the first line.")]
    format = data["format"]
    if not isinstance(format, int) or isinstance(format, bool) or format < OLDEST:
        return FORMAT, [Found(("format",), shown(format), allowed, f"Write format = {FORMAT} as the first line.")]
    if format > FORMAT:
        do = "This file was written by a newer program. Read it with that one; changing the number would not help."
        raise JobFileError([Fault(name, 1, "format", shown(format), allowed, do)])
    return format, []


def _refused(location: tuple[int | str, ...], tables: Tables) -> Found:
    """A fault that a model found, in our words."""
    table = str(location[0])
    model = BY_ID.get(table) or SINGLE[table]
    depth = 3 if table in BY_ID else 2
    key = keys_of(model)[str(location[depth - 1])]
    while key.shape.model is not None and len(location) > depth + 1:
        depth += 2
        key = keys_of(key.shape.model)[str(location[depth - 1])]
    path = tuple(str(step) for step in location[:depth])
    value: Any = tables
    for step in path:
        value = value[int(step)] if isinstance(value, list) else value[step]
    if len(location) == depth:
        return value_fault(path, key, value)
    return value_fault(path, key, value[location[depth]], item=str(location[depth]))


def _located(found: list[Found], text: str, *, name: str, format: int) -> list[Fault]:
    places = find_places(text)
    faults: list[Fault] = []
    for fault in found:
        path = written_path(fault.path, format=format)
        at: Path = written_path(fault.at or fault.path, format=format)
        line = places.line(at)
        line = 1 if line is None and path == ("format",) else line
        faults.append(Fault(name, line, ".".join(path), fault.read, fault.allowed, fault.do))
    return sorted(faults, key=lambda fault: fault.line or 0)
