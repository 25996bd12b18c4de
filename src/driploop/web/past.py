"""A change of the history in words: what was changed, from what, to what."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from driploop.survey.layout import BY_ID, SINGLE
from driploop.web.asking import asked_of, label_of
from driploop.web.words import title_words, value_words

_BESIDE = {"stage": "Reached", "waits_on": "Waits on"}
#: A value is told to so many letters; the job file and the export have all of it.
_MOST = 160


def what_words(path: str) -> str:
    """What a path of the history names: "Range: its rating", "Reached", "The whole job file"."""
    if not path:
        return "The whole job file"
    if path.startswith("@"):
        name, _, rest = path[1:].partition(".")
        if name in _BESIDE:
            return _BESIDE[name]
        return f"{title_words(name)} of {title_words(rest.rpartition('.')[2])}" if rest else title_words(name)
    table, *rest_of = path.split(".")
    if table in BY_ID and rest_of:
        thing = f"{title_words(rest_of[0])} ({title_words(table).lower()})"
        return f"{thing}: {label_of(rest_of[1]).lower()}" if len(rest_of) > 1 else thing
    if table in SINGLE and rest_of:
        return f"{title_words(table)}: {label_of(rest_of[0]).lower()}"
    return title_words(path.replace(".", " "))


def from_to(path: str, before: Any, after: Any) -> tuple[str, str]:
    """What stood there, and what was put there. A whole thing is told by whether it is there."""
    if not path:
        return ("as it was" if before is not None else "nothing", "another file" if before is not None else "begun")
    return _told(path, before), _told(path, after)


def _told(path: str, value: Any) -> str:
    if isinstance(value, Mapping) and not value:
        return "there, nothing known"
    words = value_words(value)
    if not words:
        whole = path.split(".")[0] in BY_ID and path.count(".") == 1
        return "nothing" if whole or path.startswith("@") else "not known"
    unit = _unit(path) if isinstance(value, int | float) and not isinstance(value, bool) else ""
    words = f"{words} {unit}".strip()
    return words if len(words) <= _MOST else f"{words[:_MOST]}…"


def _unit(path: str) -> str:
    steps = path.split(".")
    table, key = steps[0], steps[-1]
    if (table in BY_ID and len(steps) == 3) or (table in SINGLE and len(steps) == 2):
        asked = asked_of(table).get(key)
        return asked.key.unit if asked is not None else ""
    return ""
