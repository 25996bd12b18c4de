"""From the bare tables of a file to what the models take: unknowns left out, yes and no as words, ids in place.

Whatever does not belong becomes a fault and is left out, so that everything else is still checked.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from driploop.installation.kinds import UNKNOWN
from driploop.survey.faults import Found
from driploop.survey.fields import Key, keys_of
from driploop.survey.layout import BY_ID, SINGLE, TABLES
from driploop.survey.places import Path
from driploop.survey.words import nearest, shown, value_fault

Tables = dict[str, Any]

#: No survey of a house or farm holds a larger number.
_LARGEST = 10_000_000
_YES_NO = ("yes", "no")
_ID = re.compile(r"[a-z0-9][a-z0-9_-]*")
#: Other words a person may try for a table.
_SYNONYMS = {
    "header": "job",
    "title": "job",
    "code": "town",
    "panels": "equipment",
    "meters": "equipment",
    "disconnects": "equipment",
    "switches": "equipment",
    "feeders": "runs",
    "service": "runs",
    "cables": "runs",
    "appliances": "loads",
    "grounding": "electrodes",
    "rods": "electrodes",
    "wanted": "wishes",
}


class Preparation:
    """One pass over a file's tables. ``tables`` is ready for the models, ``found`` what was wrong."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.tables: Tables = {}
        self.found: list[Found] = []
        for name, value in data.items():
            if name != "format":
                self._table(name, value)

    def _table(self, name: str, value: Any) -> None:
        if name not in TABLES:
            near = _SYNONYMS.get(name) or nearest(name, TABLES)
            do = f"Did you mean [{near}]?" if near else "Take it out, or put its keys under one of these."
            self._fault((name,), f"[{name}]", f"these tables: {', '.join(TABLES)}", do)
        elif value == UNKNOWN:
            return
        elif not isinstance(value, dict):
            header = f"[{name}.some-id]" if name in BY_ID else f"[{name}]"
            self._fault((name,), shown(value), "a table", f"Write it as a table: {header}, its keys below.")
        elif name in SINGLE:
            self.tables[name] = self._part((name,), value, SINGLE[name])
        else:
            self.tables[name] = self._parts((name,), value, BY_ID[name])

    def _parts(self, table: Path, parts: Mapping[str, Any], model: type[BaseModel]) -> Tables:
        ready: Tables = {}
        for id, value in parts.items():
            path = (*table, id)
            if not isinstance(value, dict) and value != UNKNOWN:
                self._fault(path, shown(value), "a table for each id", self._how_to_hold(".".join(table), id, model))
                continue
            if not _ID.fullmatch(id):
                good = re.sub(r"[^a-z0-9_-]+", "-", id.lower()).strip("-_") or "some-id"
                allowed = "an id of lower case letters, digits, hyphens and underscores"
                self._fault(path, shown(id), allowed, f"Write [{'.'.join(table)}.{good}], here and where it is named.")
                continue
            ready[id] = {**self._part(path, {} if value == UNKNOWN else value, model), "id": id}
        return ready

    @staticmethod
    def _how_to_hold(table: str, id: str, model: type[BaseModel]) -> str:
        if id in keys_of(model):
            return f"{id} is a key of one part: put it under a table with an id, as [{table}.some-id]."
        return f"Write [{table}.{id}] with its keys below, or {id} = {{ key = value }}."

    def _part(self, path: Path, table: Mapping[str, Any], model: type[BaseModel]) -> Tables:
        keys = keys_of(model)
        # What a proposal says is not known of a part is no longer known, whatever was found; elsewhere it is as if
        # nothing had been said.
        laid_over = path[0] == "proposal" and len(path) > 1
        ready: Tables = {}
        for name, value in table.items():
            key = keys.get(name)
            if key is None:
                self._unknown_key(path, name, value, keys)
            elif value == UNKNOWN:
                if laid_over:
                    ready[name] = None
            elif type(value) is str and value not in _YES_NO:
                ready[name] = value  # nearly all values; the models judge them
            elif type(value) is int:
                self._whole((*path, name), value, ready)
            else:
                self._value((*path, name), key, value, ready)
        return ready

    def _unknown_key(self, path: Path, name: str, value: Any, keys: Mapping[str, Key]) -> None:
        if name == "id":
            do = f"Leave it out: the id is the table's own name, {path[-1]}."
        elif near := nearest(name, keys):
            do = f"Did you mean {near} = {shown(value)} ?"
        else:
            do = 'Take it out, or write it as a note = "..."' if "note" in keys else "Take it out."
        self._fault((*path, name), f"{name} = {shown(value)}", f"these keys: {', '.join(keys)}", do)

    def _value(self, path: Path, key: Key, value: Any, ready: Tables) -> None:
        kind = key.shape.kind
        if isinstance(value, list) and kind == "rows" and key.shape.model is not None:
            ready[key.name] = [
                self._part((*path, str(place)), row, key.shape.model) if isinstance(row, dict) else row
                for place, row in enumerate(value)
            ]
        elif isinstance(value, dict) and kind == "parts" and key.shape.model is not None:
            ready[key.name] = self._parts(path, value, key.shape.model)
        elif isinstance(value, dict) and kind == "table":
            ready[key.name] = {id: item for id, item in value.items() if item != UNKNOWN}
        elif isinstance(value, bool) != (kind == "yes or no"):
            if value in _YES_NO and kind == "yes or no":
                ready[key.name] = value == "yes"
            else:
                self.found.append(value_fault(path, key, value))
        elif isinstance(value, float):
            self._decimal(path, key, value, ready)
        elif isinstance(value, datetime.date) and kind == "text":
            ready[key.name] = value.isoformat()
        else:
            ready[key.name] = value

    def _decimal(self, path: Path, key: Key, value: float, ready: Tables) -> None:
        """A number with a point. The models take 2.0 for a listed 2; infinity is nothing anyone measured."""
        if not math.isfinite(value):
            self.found.append(value_fault(path, key, value))
        elif abs(value) > _LARGEST:
            self._beyond_measure(path, value)
        elif key.shape.kind in ("words", "whole number") and value == int(value):
            ready[key.name] = int(value)
        else:
            ready[key.name] = value

    def _whole(self, path: Path, value: int, ready: Tables) -> None:
        if abs(value) <= _LARGEST:
            ready[path[-1]] = value
        else:
            self._beyond_measure(path, value)

    def _beyond_measure(self, path: Path, value: float) -> None:
        do = 'Count the digits and look at the unit; write what was measured, or "unknown".'
        self._fault(path, shown(value), f"a number that a survey can hold, at most {_LARGEST:,}", do)

    def _fault(self, path: Path, read: str, allowed: str, do: str) -> None:
        self.found.append(Found(path, read, allowed, do))
