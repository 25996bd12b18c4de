"""Which facts a stage looks at: it is run once over parts that take a note whenever a field of theirs is read.

A stage is a pure function: a field that it did not look at in one run cannot change what that run gives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple

from driploop.installation import Installation
from driploop.installation.model import Part
from driploop.questions.paths import PARTS

#: Under this key a part that is watched holds the names of its fields that were read.
_NOTES = "fields that were read"


class Fact(NamedTuple):
    """One field of one part; "" where the part itself came or went. The utility is a part without an id."""

    table: str
    id: str
    field: str


@dataclass(frozen=True, slots=True)
class Looked:
    """What one stage looked at: the names of fields by table and id, of every part that it was given."""

    fields: Mapping[tuple[str, str], set[str]]

    def at(self, facts: Iterable[Fact]) -> bool:
        """Whether the stage looked at one of these facts, or was never given the part."""
        for table, id, field in facts:
            read = self.fields.get((table, id))
            if read is None or not field or field in read:
                return True
        return False


def looked_at(stage: Callable[..., object], *installations: Installation) -> Looked:
    """Run a stage over these installations, and tell which fields of their parts it read.

    A part that stands in several of them counts as one.
    """
    notes: dict[tuple[str, str], set[str]] = {}
    stage(*(_watched(each, notes) for each in installations))
    return Looked(notes)


def _watched(installation: Installation, notes: dict[tuple[str, str], set[str]]) -> Installation:
    tables: dict[str, Any] = {
        table: {
            id: _watched_part(part, notes.setdefault((table, id), set()))
            for id, part in getattr(installation, table).items()
        }
        for table in PARTS
    }
    utility = _watched_part(installation.utility, notes.setdefault(("utility", ""), set()))
    return installation.model_copy(update={**tables, "utility": utility})


def _watched_part(part: Part, notes: set[str]) -> Part:
    made = part.model_copy(update={_NOTES: notes})
    object.__setattr__(made, "__class__", _watching(type(part)))
    return made


@cache
def _watching(kind: type[Part]) -> type[Part]:
    """The kind of part that takes notes."""
    made: type[Part] = type(
        f"Watched{kind.__name__}", (_TakesNotes, kind), {"__module__": __name__, "model_config": {"defer_build": True}}
    )
    return made


class _TakesNotes:
    """Notes what is read of a part. Copies of the part go on in its name."""

    def __getattribute__(self, name: str) -> Any:
        held = object.__getattribute__(self, "__dict__")
        if name in held:
            held[_NOTES].add(name)
        elif name == "__dict__":  # read as a whole, as for a comparison
            held[_NOTES].update(held)
        return super().__getattribute__(name)

    def __copy__(self) -> Any:
        kind = type(self)
        made = kind.__new__(kind)
        object.__setattr__(made, "__dict__", dict(object.__getattribute__(self, "__dict__")))
        for slot in ("__pydantic_fields_set__", "__pydantic_extra__", "__pydantic_private__"):
            object.__setattr__(made, slot, object.__getattribute__(self, slot))
        object.__setattr__(made, "__pydantic_fields_set__", set(made.__pydantic_fields_set__))
        return made
