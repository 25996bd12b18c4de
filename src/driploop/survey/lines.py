"""One field changed within the lines of its own table, without a look at the rest of the file.

A job file is long and a change is short: to find the places of the whole text and to parse it anew takes far longer
than the change. Where the lines of one table can be told for certain they are changed and parsed alone; the text around
them stays as it is, letter for letter, and so do its tables.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from typing import Any

from driploop.survey.edit import remove, set_value
from driploop.survey.places import Path

#: A text and its tables.
Changed = tuple[str, Mapping[str, Any]]
#: With one of these in the text a line may stand inside a string that goes over several, or end otherwise.
_UNSURE = ('"""', "'''", "\r")
_BARE = re.compile(r"[A-Za-z0-9_-]+")
_NEXT = re.compile(r"^[ \t]*\[", re.MULTILINE)


def changed_in_lines(text: str, tables: Mapping[str, Any], path: Path, value: Any) -> Changed | None:
    """The text with one field set, or taken away where ``value`` is None, and its tables.

    Args:
        text: a valid TOML text.
        tables: its tables; they stay as they are, and parts of them are parts of the tables that are returned.
        path: the field, directly below a table that has a header of its own, or stands in braces on one line.
        value: what shall stand there.

    Returns:
        What ``set_value`` or ``remove`` makes of the whole text, with what a parser reads from that; None where this
        cannot be told without parsing the whole.
    """
    *holder, key = path
    before = _table_at(tables, holder)
    if before is None or isinstance(value, Mapping) or (value is None and key not in before):
        return None
    if isinstance(before.get(key), Mapping) or any(each in text for each in _UNSURE):
        return None
    found, above = _lines_of(text, holder), 0
    if found is None:
        found, above = _line_in_braces(text, holder), len(holder) - 1
    if found is None:
        return None
    start, end = found
    old, within = text[start:end], tuple(path[above:])
    if _parsed(old) != _below(within[:-1], before):  # something of the table stands elsewhere
        return None
    new = remove(old, within) if value is None else set_value(old, within, value)
    read = _parsed(new)
    rest = {name: held for name, held in before.items() if name != key}
    after = rest if value is None else {**rest, key: list(value) if isinstance(value, tuple) else value}
    if read is None or read != _below(within[:-1], after):
        return None
    return text[:start] + new + text[end:], _with_table(tables, holder, _below(holder[:above], read))


def _lines_of(text: str, table: Sequence[str]) -> tuple[int, int] | None:
    """Where the header of a table begins, and the next header, or what may be one.

    No string goes over several lines here. A list may: but no line of it is the header of a table of a job file, and
    lines that end within a list do not parse.
    """
    if not all(map(_BARE.fullmatch, table)):
        return None
    name = r"[ \t]*\.[ \t]*".join(map(re.escape, table))
    headers = list(re.finditer(rf"^[ \t]*\[[ \t]*{name}[ \t]*\][ \t]*(?:#.*)?$", text, re.MULTILINE))
    if len(headers) != 1:
        return None
    after = _NEXT.search(text, headers[0].end())
    return headers[0].start(), after.start() if after is not None else len(text)


def _line_in_braces(text: str, table: Sequence[str]) -> tuple[int, int] | None:
    """The line of a table that is written in braces under the header of the table around it."""
    *around, id = table
    found = _lines_of(text, around) if around and _BARE.fullmatch(id) else None
    if found is None:
        return None
    lines = list(re.finditer(rf"^[ \t]*{re.escape(id)}[ \t]*=.*\n?", text[slice(*found)], re.MULTILINE))
    return (found[0] + lines[0].start(), found[0] + lines[0].end()) if len(lines) == 1 else None


def _parsed(text: str) -> dict[str, Any] | None:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError):
        return None


def _table_at(tables: Mapping[str, Any], path: Sequence[str]) -> Mapping[str, Any] | None:
    found: Any = tables
    for step in path:
        found = found.get(step) if isinstance(found, Mapping) else None
    return found if isinstance(found, Mapping) else None


def _below(path: Sequence[str], table: Mapping[str, Any]) -> Mapping[str, Any]:
    for step in reversed(path):
        table = {step: table}
    return table


def _with_table(tables: Mapping[str, Any], path: Sequence[str], read: Mapping[str, Any]) -> Mapping[str, Any]:
    """The tables with one of them as it was read, everything in the same order."""
    step, *rest = path
    return {**tables, step: _with_table(tables[step], rest, read[step]) if rest else read[step]}
