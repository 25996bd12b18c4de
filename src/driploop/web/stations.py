"""The walk: which thing of a job is met where, in the order in which a person goes round the place."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from driploop.installation.graph import UTILITY
from driploop.installation.kinds import UNKNOWN
from driploop.survey.layout import BY_ID, SINGLE
from driploop.web.asking import asked_of
from driploop.web.numbering import id_after, next_space, next_words
from driploop.web.words import title_words, value_words


@dataclass(frozen=True, slots=True)
class Station:
    """One stop of the walk. ``singles`` are asked once, ``adds`` are the kinds of things that are met here."""

    slug: str
    title: str
    lead: str
    singles: tuple[str, ...]
    adds: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing of the job as the walk lists it. ``id`` is None for a table that stands once."""

    table: str
    id: str | None
    title: str
    kind: str
    facts: str
    open: int
    asked: int = 0

    @property
    def path(self) -> str:
        """Its path in the job file."""
        return self.table if self.id is None else f"{self.table}.{self.id}"

    @property
    def address(self) -> str:
        """Its address below the walk."""
        return f"{self.table}/{self.id}" if self.id is not None else self.table


STATIONS = (
    Station("job", "Before you go", "Whose place it is, and whose rules bind the job.", ("job", "town", "site"), ()),
    Station(
        "outside", "Outside", "From the pole to the meter, and what goes into the earth. With the eyes only.",
        ("utility", "soil"), ("equipment", "runs", "electrodes"),
    ),
    Station(
        "inside", "Inside", "What hangs on the wall, what each fuse or breaker feeds, the nameplates.",
        (), ("buildings", "equipment", "runs", "circuits", "loads", "bonds"),
    ),
    Station(
        "other-buildings", "Other buildings", "Each barn, shed or unit with its feeder and its panel.",
        (), ("buildings", "equipment", "runs"),
    ),
    Station(
        "wishes", "Wishes", "What the customer wants now or later, and what is known of the demand.",
        (), ("wishes", "metered", "working_hours", "load_management"),
    ),
)  # fmt: skip

#: What one of each table is called, and the start of the id that is proposed for a new one.
KINDS: Mapping[str, tuple[str, str]] = {
    "job": ("Job", ""), "town": ("Town", ""), "site": ("Place", ""), "utility": ("Utility", ""), "soil": ("Soil", ""),
    "shop": ("Shop", ""), "buildings": ("Building", "building"),
    "equipment": ("Meter, disconnect, panel or box", "panel"), "runs": ("Run of wires", "run"),
    "circuits": ("Circuit", "circuit"), "loads": ("Appliance or motor", "load"), "electrodes": ("Electrode", "rod"),
    "bonds": ("Bond of pipes or steel", "bond"), "metered": ("Measured demand", "demand"),
    "working_hours": ("Working hours", "hours"), "load_management": ("Load management", "control"),
    "wishes": ("Wish", "wish"),
}  # fmt: skip
#: What is not the same for the next one of a kind, and so is not copied.
OWN = frozenset({"name", "note", "position", "serves", "multiwire_with", "continues_to", "replaces", "marked"})
#: Words that tell one thing from its neighbours; sizes and numbers do as well.
_TELLING = frozenset({"use", "method", "serves", "location", "ocpd", "when", "edition", "customer", "supply"})
_MOST_FACTS = 4
#: Kinds of which one thing is much like the next.
SERIES = ("circuits", "loads", "electrodes", "runs", "equipment")


def station_of(slug: str) -> Station | None:
    """The station of an address, None where there is none."""
    return next((each for each in STATIONS if each.slug == slug), None)


def things_at(station: Station, tables: Mapping[str, Any]) -> tuple[Thing, ...]:
    """What is met at one station, in the order of the file."""
    return tuple(thing for thing in things_of(tables) if where_met(thing, tables) == station.slug)


def things_of(tables: Mapping[str, Any]) -> Iterator[Thing]:
    """Everything the walk asks about, in the order of the file's tables."""
    for station in STATIONS:
        for table in station.singles:
            yield thing_of(tables, table, None)
    for table in BY_ID:
        for id in _parts(tables, table):
            yield thing_of(tables, table, id)


def thing_of(tables: Mapping[str, Any], table: str, id: str | None) -> Thing:
    """One thing as the walk lists it."""
    part = _part(tables, table, id)
    title = str(part.get("name") or title_words(id)) if id is not None else KINDS[table][0]
    often = [each for each in asked_of(table).values() if each.often and each.key.name != "name"]
    known = [each for each in often if part.get(each.key.name, UNKNOWN) != UNKNOWN]
    facts = [
        f"{value_words(part[each.key.name])} {each.key.unit}".strip()
        for each in known
        if part[each.key.name]
        and (each.key.name in _TELLING or each.key.shape.kind in ("number", "whole number", "size"))
    ]
    kind = str(part.get("kind") or KINDS[table][0])
    return Thing(table, id, title, kind, ", ".join(facts[:_MOST_FACTS]), len(often) - len(known), len(often))


def where_met(thing: Thing, tables: Mapping[str, Any]) -> str:
    """The slug of the station at which a thing is met."""
    single = next((station.slug for station in STATIONS if thing.table in station.singles), None)
    if single is not None or thing.id is None:
        return single or STATIONS[0].slug
    if thing.table in ("wishes", "metered", "working_hours", "load_management"):
        return "wishes"
    if _is_of_the_supply(tables, thing.table, thing.id):
        return "outside"
    building = _building(tables, thing.table, thing.id)
    if building is not None and _part(tables, "buildings", building).get("use") == "yard pole":
        return "outside"
    if building is not None and building != home(tables):
        return "other-buildings"
    return "outside" if _is_outside(tables, thing.table, thing.id) else "inside"


def home(tables: Mapping[str, Any]) -> str | None:
    """The id of the building the walk begins at: the first dwelling, else the first of all."""
    buildings = _parts(tables, "buildings")
    dwellings = (id for id, part in buildings.items() if "dwelling" in str(part.get("use", "")))
    return next(dwellings, next(iter(buildings), None))


def progress(things: Sequence[Thing]) -> tuple[int, int]:
    """How many of the usual questions about some things are answered, and how many there are."""
    asked = sum(thing.asked for thing in things)
    return asked - sum(thing.open for thing in things), asked


def next_id(tables: Mapping[str, Any], table: str) -> str:
    """An id for one more thing of a table that no other thing of it has."""
    taken = _parts(tables, table)
    number = len(taken) + 1
    while f"{KINDS[table][1]}-{number}" in taken:
        number += 1
    return f"{KINDS[table][1]}-{number}"


def id_of(called: str) -> str:
    """An id for what a person calls a thing: "Back porch" is ``back-porch``; "" where nothing of it fits an id."""
    return re.sub(r"[^a-z0-9_]+", "-", called.lower()).strip("-_")


def like(tables: Mapping[str, Any], table: str, id: str) -> dict[str, Any]:
    """What the next thing of a kind has in common with one that is there, with the next free number where it has one
    in its name or in its space."""
    part = _part(tables, table, id)
    same = {key: value for key, value in part.items() if key not in OWN and value != UNKNOWN}
    names = {str(each.get("name")) for each in _parts(tables, table).values() if isinstance(each, Mapping)}
    own = {
        "name": next_words(str(part.get("name") or ""), names),
        "position": next_space(tables, id) if table == "circuits" else "",
    }
    return same | {key: words for key, words in own.items() if words}


def id_like(tables: Mapping[str, Any], table: str, id: str) -> str:
    """The id for the next thing like one that is there."""
    return id_after(id, _parts(tables, table))


def last_of(things: Sequence[Thing], table: str) -> Thing | None:
    """The thing of a kind that was listed last."""
    return next((thing for thing in reversed(things) if thing.table == table), None)


def leaving(tables: Mapping[str, Any], equipment: str) -> tuple[Thing, ...]:
    """The circuits that leave a panel or box, in the order of the file."""
    circuits = _parts(tables, "circuits")
    ids = (id for id, part in circuits.items() if isinstance(part, Mapping) and part.get("from") == equipment)
    return tuple(thing_of(tables, "circuits", id) for id in ids)


def is_there(tables: Mapping[str, Any], table: str, id: str | None) -> bool:
    """Whether a job has this thing. A table that stands once is always there."""
    return table in SINGLE and table != "proposal" if id is None else id in _parts(tables, table)


def _parts(tables: Mapping[str, Any], table: str) -> dict[str, Any]:
    return dict(tables.get(table, {})) if table in BY_ID else {}


def _part(tables: Mapping[str, Any], table: str, id: str | None) -> dict[str, Any]:
    return dict(tables.get(table, {})) if id is None else dict(_parts(tables, table).get(id, {}))


def _building(tables: Mapping[str, Any], table: str, id: str) -> str | None:
    """The building a thing belongs to, as far as the file tells."""
    part = _part(tables, table, id)
    if table == "buildings":
        return id
    if named := part.get("building"):
        return str(named) if named != UNKNOWN else None
    for key, holder in (("to", "equipment"), ("from", "equipment"), ("circuit", "circuits"), ("panel", "equipment")):
        other = part.get(key)
        if isinstance(other, str) and other in _parts(tables, holder):
            return _building(tables, holder, other)
    return None


def _is_of_the_supply(tables: Mapping[str, Any], table: str, id: str) -> bool:
    part = _part(tables, table, id)
    if table == "runs":
        return part.get("from") == UTILITY or part.get("owner") == "utility"
    return table == "equipment" and part.get("kind") in ("meter", "utility")


def _is_outside(tables: Mapping[str, Any], table: str, id: str) -> bool:
    part = _part(tables, table, id)
    if table == "equipment":
        return part.get("outdoors") is True
    return table == "electrodes" or (table == "runs" and part.get("overhead") is True)
