"""Edits of a job file by several people: different things both stand, the same thing is shown and asked about."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from driploop.installation.kinds import UNKNOWN
from driploop.store.errors import StoreError
from driploop.store.results import Edit
from driploop.survey import read_job_text
from driploop.survey.layout import BY_ID, FORMAT, SINGLE
from driploop.survey.syntax import tables_of
from driploop.survey.write import changed_text, migrated_text, table_depth

#: What faults call the file: the person sees a job, not a file.
NAME = "the job"
#: A job file of ten thousand circuits is smaller. [characters]
LARGEST_TEXT = 4_000_000


@dataclass(frozen=True, slots=True)
class Apart:
    """Edits sorted by what stands at their places now.

    ``free`` may be written. ``taken`` were changed by somebody else since they were seen. An edit that wants what
    stands there already is in neither: it has come true.
    """

    free: tuple[Edit, ...]
    taken: tuple[Edit, ...]


def tables_of_text(text: str) -> Mapping[str, Any]:
    """The tables of a stored job file, to be read only: the last few are kept."""
    return tables_of(text, name=NAME)


def value_at(tables: Mapping[str, Any], path: str) -> Any:
    """What stands at a path of a job file; None where nothing does, or ``"unknown"``: both mean not known."""
    found = written_at(tables, path)
    return None if found == UNKNOWN else found


def written_at(tables: Mapping[str, Any], path: str) -> Any:
    """What is written at a path of a job file, the word for unknown too; None where nothing is."""
    found: Any = tables
    for step in path.split("."):
        if not isinstance(found, Mapping) or step not in found:
            return None
        found = found[step]
    return found


def apart(tables: Mapping[str, Any], edits: Sequence[Edit]) -> Apart:
    """Sort edits by whether their places are as they were seen.

    A set of fields for a part that is there is taken field by field, so that two people can fill in one form; what
    was sent back as it was seen is no edit.

    Raises:
        StoreError: two edits touch the same thing.
    """
    single = [e for edit in edits for e in _field_by_field(tables, edit) if not _exactly(e.value, e.seen)]
    _refuse_overlap(single)
    changing = [edit for edit in single if not _exactly(written_at(tables, edit.path), edit.value)]
    free = tuple(edit for edit in changing if same(value_at(tables, edit.path), edit.seen))
    return Apart(free, tuple(edit for edit in changing if edit not in free))


def written(text: str, edits: Sequence[Edit]) -> str:
    """The text with edits made; comments and order stay.

    Raises:
        JobFileError: an edit would bring a fault that is not there now; nothing is changed.
        UpdateError: a path that is no field of a job file.
        StoreError: a value holds half a character, or the file grew too large.
    """
    for edit in edits:
        if not _can_be_written(tuple(edit.path.split(".")), edit.value):
            raise StoreError(f"{edit.path}: this is no text, number, yes or no, list or table; nothing was written.")
    changed = changed_text(text, {edit.path: edit.value for edit in edits}, name=NAME)
    return _kept_whole(changed)


def accepted(text: str) -> str:
    """A whole file as it is stored: in today's format, comments and order kept.

    Raises:
        JobFileError: the text is no job file.
        StoreError: it holds half a character, or is too large.
    """
    _kept_whole(text)
    read_job_text(text, name=NAME)
    return migrated_text(text.removeprefix("\ufeff"), name=NAME)


def of_today(text: str) -> str:
    """A stored text in today's format; as it is where it is so already, whatever its faults."""
    return text if tables_of_text(text).get("format") == FORMAT else migrated_text(text, name=NAME)


def part_of(path: str) -> str | None:
    """The part of a job file that holds a field, as ``circuits.D3``; None for a part itself and for what has none."""
    steps = tuple(path.split("."))
    if not _is_table(steps[0]):
        return None
    depth = table_depth(steps)
    return ".".join(steps[:depth]) if len(steps) > depth > 1 else None


def touches(one: str, other: str) -> bool:
    """Whether one path is the other, holds it, or stands in it."""
    return f"{one}.".startswith(f"{other}.") or f"{other}.".startswith(f"{one}.")


def same(one: Any, other: Any) -> bool:
    """Whether two values mean the same to a reader of the job: what is unknown is as good as left out."""
    one, other = _known(one), _known(other)
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(same, one, other))
    return _exactly(one, other)


def _can_be_written(steps: tuple[str, ...], value: Any) -> bool:
    """Whether a job file has a way to write a value at a path; None takes a field, part or table away."""
    if isinstance(value, Mapping) and _is_table(steps[0]) and len(steps) <= table_depth(steps):
        return all(isinstance(key, str) and _can_be_written((*steps, key), item) for key, item in value.items())
    return value is None or _can_be_held(value)


def _can_be_held(value: Any) -> bool:
    if isinstance(value, Mapping):
        return all(isinstance(key, str) and _can_be_held(item) for key, item in value.items())
    if isinstance(value, list | tuple):
        return all(map(_can_be_held, value))
    return isinstance(value, str | int) or (isinstance(value, float) and math.isfinite(value))


def _is_table(name: str) -> bool:
    return name in BY_ID or name in SINGLE


def _known(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: item for key, item in value.items() if item is not None and item != UNKNOWN}
    return None if value == UNKNOWN else value


def _exactly(one: Any, other: Any) -> bool:
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    if isinstance(one, tuple):
        one = list(one)
    return bool(one == (list(other) if isinstance(other, tuple) else other))


def _field_by_field(tables: Mapping[str, Any], edit: Edit) -> Iterator[Edit]:
    steps = tuple(edit.path.split("."))
    whole = isinstance(edit.value, Mapping) and isinstance(edit.seen, Mapping)
    there = isinstance(value_at(tables, edit.path), Mapping)
    if not (whole and there and _is_table(steps[0]) and len(steps) <= table_depth(steps)):
        yield edit
        return
    for key, value in edit.value.items():
        yield from _field_by_field(tables, Edit(f"{edit.path}.{key}", value, edit.seen.get(key)))


def _refuse_overlap(edits: Sequence[Edit]) -> None:
    for at, edit in enumerate(edits):
        for other in edits[at + 1 :]:
            if touches(edit.path, other.path):
                raise StoreError(f"{edit.path} and {other.path}: change the same thing at once. Send one of them.")


def _kept_whole(text: str) -> str:
    if len(text) > LARGEST_TEXT:
        raise StoreError(f"The job file has {len(text):,} characters; at most {LARGEST_TEXT:,} are kept.")
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        raise StoreError("There is half a character in this text. Type it anew.") from None
    return text
