"""Edits of a job file by several people: different things both stand, the same thing is shown and asked about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from driploop.installation.model import UNKNOWN
from driploop.store.results import Edit
from driploop.survey.syntax import parse_toml
from driploop.survey.write import changed_text


def value_at(tables: Mapping[str, Any], path: str) -> Any:
    """What stands at a path of a job file; None where nothing does, or ``"unknown"``: both mean not known."""
    found: Any = tables
    for step in path.split("."):
        if not isinstance(found, Mapping) or step not in found:
            return None
        found = found[step]
    return None if found == UNKNOWN else found


def apart(text: str, edits: Sequence[Edit]) -> tuple[list[Edit], list[Edit], dict[str, Any]]:
    """Edits that may be written, edits whose place was changed since it was seen, and what stands at each path.

    An edit that wants what stands there already is neither: it has come true.
    """
    tables = parse_toml(text, name="the job")
    now = {edit.path: value_at(tables, edit.path) for edit in edits}
    free = [e for e in edits if _same(now[e.path], e.seen) and not _same(now[e.path], e.value)]
    taken = [e for e in edits if not _same(now[e.path], e.seen) and not _same(now[e.path], e.value)]
    return free, taken, now


def written(text: str, edits: Sequence[Edit]) -> str:
    """The text with edits made; comments and order stay.

    Raises:
        JobFileError: an edit would bring a fault that is not there now; nothing is changed.
        UpdateError: a path that is no field of a job file.
    """
    return changed_text(text, {edit.path: edit.value for edit in edits}, name="the job")


def _same(one: Any, other: Any) -> bool:
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        known = {k: v for k, v in one.items() if v != UNKNOWN}, {k: v for k, v in other.items() if v != UNKNOWN}
        return known[0].keys() == known[1].keys() and all(_same(known[0][key], known[1][key]) for key in known[0])
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        return len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, bool) or isinstance(other, bool):
        return one is other
    return bool(one == other)
