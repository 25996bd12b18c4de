"""Which facts a stage looks at: it is run once over parts that take a note whenever a field of theirs is read.

A stage is a pure function: a field that it did not look at in one run cannot change what that run gives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Generic, NamedTuple, TypeVar

from driploop.installation import Installation
from driploop.installation.model import Part
from driploop.questions.paths import PARTS

T = TypeVar("T")
#: What an installation holds beside its parts; no stage is watched reading it.
_OF_THE_SITE = tuple(name for name in Installation.model_fields if name not in (*PARTS, "utility"))
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
        """Whether the stage looked at one of these facts; a part that came or went is always seen."""
        return any(not field or field in self.fields.get((table, id), ()) for table, id, field in facts)


def looked_at(stage: Callable[..., object], *installations: Installation) -> Looked:
    """Run a stage over these installations, and tell which fields of their parts it read.

    A part that stands in several of them counts as one. Where the stage builds an installation, a field that it writes
    counts as read, and so does a part in whose place it puts another: neither comes through as it was.
    """
    notes: dict[tuple[str, str], set[str]] = {}
    built = stage(*(_watched(each, notes) for each in installations))
    if isinstance(built, Installation):
        for table in PARTS:
            for id, part in getattr(built, table).items():
                if (table, id) in notes and not isinstance(part, _TakesNotes):
                    notes[table, id].update(type(part).model_fields)
    return Looked(notes)


class Remembered(Generic[T]):
    """A stage that is run again only where it looks at what has changed since it was run for the first time."""

    def __init__(self, stage: Callable[[Installation], T]) -> None:
        self._stage = stage
        self._known: list[tuple[Installation, T, Looked]] = []

    def for_the_first_time(self, installation: Installation) -> T:
        """What the stage gives, remembered. A stage may be run for several installations."""
        given = self._stage(installation)
        self._known.append((installation, given, looked_at(self._stage, installation)))
        return given

    def again(self, installation: Installation) -> T:
        """What the stage gives."""
        for before, given, looked in self._known:
            if not looked.at(held_against(before, installation)[1]):
                return given
        return self._stage(installation)


def held_against(known: Installation, other: Installation) -> tuple[Installation, set[Fact]]:
    """An installation with the very parts of a known one where they are equal, and every fact in which it differs."""
    changed: set[Fact] = set()
    tables: dict[str, Any] = {}
    for table in PARTS:
        ones, others = getattr(known, table), getattr(other, table)
        if ones is others:
            continue
        same = {}
        for id in dict.fromkeys((*ones, *others)):
            here, there = ones.get(id), others.get(id)
            if here is not there and here != there:
                changed.update(_differences(table, id, here, there))
            elif here is not None:
                same[id] = here
        if list(ones) != list(others):
            changed.add(Fact(table, "", ""))
        tables[table] = {**others, **same}
    for name in _OF_THE_SITE:
        if getattr(known, name) != getattr(other, name):
            changed.add(Fact(name, "", ""))
    if known.utility is not other.utility:
        if known.utility == other.utility:
            tables["utility"] = known.utility
        else:
            changed.update(_differences("utility", "", known.utility, other.utility))
    return other.model_copy(update=tables), changed


def _differences(table: str, id: str, here: Part | None, there: Part | None) -> Iterator[Fact]:
    """The fields in which two parts differ; of a part that only one has, all its fields and itself."""
    part = here or there
    assert part is not None
    for name in type(part).model_fields:
        if here is None or there is None or getattr(here, name) != getattr(there, name):
            yield Fact(table, id, name)
    if here is None or there is None:
        yield Fact(table, id, "")


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

    __pydantic_fields_set__: set[str]

    def __getattribute__(self, name: str) -> Any:
        held = object.__getattribute__(self, "__dict__")
        if name in held:
            held[_NOTES].add(name)
        elif name == "__dict__":  # read as a whole, as for a comparison
            held[_NOTES].update(held)
        return super().__getattribute__(name)

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Any:
        """As of any part. To copy is not yet to look: whoever reads the copy is noted."""
        made = type(self).__new__(type(self))
        held = object.__getattribute__(self, "__dict__")
        held[_NOTES].update(update or ())
        object.__setattr__(made, "__dict__", {**held, **(update or {})})
        object.__setattr__(made, "__pydantic_fields_set__", {*self.__pydantic_fields_set__, *(update or ())})
        object.__setattr__(made, "__pydantic_extra__", None)
        object.__setattr__(made, "__pydantic_private__", None)
        return made
