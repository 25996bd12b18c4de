"""One field of a form as a page shows it: the fitting input, its choices, what it holds, and what stands in its way."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from starlette.exceptions import HTTPException

from driploop.editions import edition_names
from driploop.installation.graph import UTILITY
from driploop.installation.kinds import UNKNOWN
from driploop.installation.sizes import SIZES
from driploop.store import Conflict
from driploop.store.edits import value_at
from driploop.survey import JobFileError
from driploop.survey.faults import Fault
from driploop.survey.layout import BY_ID, SINGLE
from driploop.web.asking import Asked, asked_of
from driploop.web.proposals import split
from driploop.web.typed import NONE
from driploop.web.words import title_words, value_words

#: A choice of at most so many short words is shown open, to be tapped once.
_MOST_OPEN, _MOST_LETTERS = 4, 34
_OF_THE_FILE = re.compile(r"^Write what is allowed|quotes|brackets|\w = |key")


@dataclass(frozen=True, slots=True)
class FieldView:
    """A field in a form. ``input`` is text, number, whole, long, open, choice or ticks.

    ``seen`` is what the form shows, as JSON, so that two people's answers cannot run over one another.
    """

    path: str
    id: str
    label: str
    help: str
    unit: str
    input: str
    held: tuple[str, ...]
    seen: str
    choices: tuple[tuple[str, str], ...] = ()
    usual: str = ""
    often: bool = False
    error: str = ""
    allowed: str = ""
    conflict: Conflict | None = None
    saved: bool = False

    @property
    def words(self) -> str:
        """What it holds, as one text."""
        return self.held[0] if self.held else ""

    @property
    def known(self) -> bool:
        """Whether it holds an answer."""
        return bool(self.held)

    def typed_as(self, typed: Sequence[str], error: str, allowed: str = "") -> FieldView:
        """The field with what was typed still in it, and why it could not be saved."""
        return replace(self, held=tuple(word for word in typed if word), error=error, allowed=allowed)


def asked_at(path: str) -> Asked:
    """The field that a path leads to.

    Raises:
        HTTPException: 404, it leads to none.
    """
    proposed = split(path)
    if proposed is not None and proposed[2] in asked_of(proposed[0]):
        return asked_of(proposed[0])[proposed[2]]
    steps = path.split(".")
    table = steps[0]
    depth = 3 if table in BY_ID else 2 if table in SINGLE and table != "proposal" else 0
    if len(steps) != depth or steps[-1] not in asked_of(table):
        raise HTTPException(404, "There is no such field.")
    return asked_of(table)[steps[-1]]


def field_view(tables: Mapping[str, Any], path: str) -> FieldView:
    """The field at a path as a form shows it now."""
    asked = asked_at(path)
    value = value_at(tables, path)
    kind, choices = _input(asked, tables, path)
    return FieldView(
        path=path,
        id=path.replace(".", "-"),
        label=asked.label,
        help=asked.help,
        unit=asked.key.unit if kind in ("number", "whole") else "",
        input=kind,
        held=_held(kind, value),
        seen=json.dumps(value, default=str),
        choices=_with_stray(choices, _held(kind, value)) if kind in ("open", "choice", "ticks") else (),
        usual=_usual(asked),
        often=asked.often,
    )


def form_of(tables: Mapping[str, Any], table: str, id: str | None = None) -> tuple[FieldView, ...]:
    """Every field of one thing, in the order in which the walk asks."""
    start = table if id is None else f"{table}.{id}"
    return tuple(field_view(tables, f"{start}.{name}") for name in asked_of(table))


def faults_of(error: JobFileError, path: str) -> tuple[str, str]:
    """What a refused answer is told at its field: what is wrong, and what is allowed."""
    fault = next((each for each in error.faults if each.path == path), error.faults[0])
    told, allowed = told_of(fault)
    return told if fault.path.startswith(path) else f"{fault.path}: {fault.read}. {_do(fault)}".strip(), allowed


def told_of(fault: Fault) -> tuple[str, str]:
    """A fault in the words of a form: what is wrong, and what is allowed."""
    allowed = fault.allowed.replace(f', or "{UNKNOWN}"', ", or not known").replace('"', "")
    return f"{fault.read} cannot be used here. {_do(fault)}".strip(), allowed


def _do(fault: Fault) -> str:
    return "" if _OF_THE_FILE.search(fault.do) else fault.do


def _input(asked: Asked, tables: Mapping[str, Any], path: str) -> tuple[str, tuple[tuple[str, str], ...]]:
    shape = asked.key.shape
    if asked.names is not None:
        own = path.split(".")[-2] if asked.names.targets == (asked.table.removeprefix("proposal."),) else ""
        holders = (tables, tables.get("proposal", {})) if asked.names.also_new else (tables,)
        named = list({
            id: (id, _title(part, id))
            for holder in holders
            for t in asked.names.targets
            for id, part in dict(holder.get(t, {})).items()
            if id != own
        }.values())  # fmt: skip
        also = [(UTILITY, "The utility")] if asked.names.also_utility else []
        return "ticks" if asked.names.holds == "list" else "choice", tuple(also + named)
    if asked.key.name == "edition":
        return "open", tuple((name, name) for name in edition_names())
    if shape.kind == "yes or no":
        return "open", (("yes", "yes"), ("no", "no"))
    if shape.kind == "size":
        return "choice", tuple((size, size) for size in SIZES)
    if shape.kind == "words":
        words = tuple((str(word), str(word)) for word in shape.words)
        short = len(words) <= _MOST_OPEN and sum(len(word) for word, _ in words) <= _MOST_LETTERS
        return "open" if short else "choice", words
    if shape.kind == "list" and shape.item is not None and shape.item.words:
        return "ticks", tuple((str(word), str(word)) for word in shape.item.words)
    if shape.kind in ("rows", "table") or asked.key.name in ("note", "condition"):
        return "long", ()
    return {"number": "number", "whole number": "whole"}.get(shape.kind, "text"), ()


def _held(kind: str, value: Any) -> tuple[str, ...]:
    if value is None or value == UNKNOWN:
        return ()
    if kind == "ticks":
        each = value if isinstance(value, list) else [value]
        return tuple(str(item) for item in each) or (NONE,)
    if kind == "long" and isinstance(value, list):
        rows = (" ".join(value_words(cell) for cell in row.values()) for row in value if isinstance(row, Mapping))
        return ("\n".join(rows) or NONE,)
    if kind == "long" and isinstance(value, Mapping):
        return ("\n".join(f"{id}: {value_words(item)}" for id, item in value.items()),)
    if kind in ("open", "choice") and value in ("true", "false"):
        return ("yes" if value == "true" else "no",)
    return (value_words(value),)


def _with_stray(choices: tuple[tuple[str, str], ...], held: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """The choices, and what the file holds besides, so that saving another field never loses it from sight."""
    known = {word for word, _ in choices} | {NONE}
    return choices + tuple((word, word) for word in held if word not in known)


def _title(part: Any, id: str) -> str:
    return str(part["name"]) if isinstance(part, Mapping) and part.get("name") else title_words(id)


def _usual(asked: Asked) -> str:
    """What is taken where nothing is said, as one wire set; "" where it is not known then."""
    if asked.key.name in ("name", "note"):
        return " "
    table = asked.table.removeprefix("proposal.")
    model = SINGLE.get(table) or BY_ID[table]
    for name, info in model.model_fields.items():
        if (info.alias or name) == asked.key.name and isinstance(info.default, int) and not info.is_required():
            return value_words(info.default)
    return ""
