"""What one part says of another: every id that is named must stand in the file, and supply must be a tree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from driploop.editions import edition_names
from driploop.installation.graph import UTILITY
from driploop.survey.faults import Found
from driploop.survey.layout import BY_ID
from driploop.survey.places import Path
from driploop.survey.prepare import Tables
from driploop.survey.words import listed, nearest, shown

#: The id of the device that a proposal adds outdoors; one a building where there are several.
NEW_MAIN = "new-main"


@dataclass(frozen=True, slots=True)
class Reference:
    """A key whose value names parts of other tables. ``holds`` tells where in the value the ids stand."""

    table: str
    key: str
    targets: tuple[str, ...]
    holds: Literal["one", "list", "ids", "values"] = "one"
    also_utility: bool = False
    also_new: bool = False


REFERENCES: tuple[Reference, ...] = (
    Reference("buildings", "part_of", ("buildings",)),
    Reference("equipment", "building", ("buildings",)),
    Reference("runs", "from", ("equipment",), also_utility=True),
    Reference("runs", "to", ("equipment",)),
    Reference("circuits", "from", ("equipment",)),
    Reference("circuits", "building", ("buildings",)),
    Reference("circuits", "multiwire_with", ("circuits",)),
    Reference("loads", "circuit", ("circuits",)),
    Reference("loads", "panel", ("equipment",)),
    Reference("loads", "building", ("buildings",)),
    Reference("loads", "supplemental_to", ("loads",)),
    Reference("loads", "never_with", ("loads",), "list"),
    Reference("electrodes", "building", ("buildings",)),
    Reference("electrodes", "conductor_to", ("equipment",)),
    Reference("electrodes", "continues_to", ("electrodes",)),
    Reference("bonds", "building", ("buildings",)),
    Reference("bonds", "equipment", ("equipment",)),
    Reference("metered", "meter", ("equipment",)),
    Reference("wishes", "circuit", ("circuits",)),
    Reference("wishes", "panel", ("equipment",), also_new=True),
    Reference("wishes", "building", ("buildings",)),
    Reference("wishes", "supplemental_to", ("loads", "wishes")),
    Reference("wishes", "never_with", ("loads", "wishes"), "list"),
    Reference("wishes", "replaces", ("loads",), "list"),
    Reference("proposal", "outdoor_place", ("buildings",)),
    Reference("proposal", "panel", ("equipment",)),
    Reference("proposal", "disconnect_ratings_a", ("buildings",), "ids"),
    Reference("proposal", "moves", ("circuits",), "ids"),
    Reference("proposal", "moves", ("equipment",), "values", also_new=True),
)
#: Chains that must come to an end.
_CHAINS = (("buildings", "part_of"), ("electrodes", "continues_to"), ("loads", "supplemental_to"))


def check_references(tables: Tables) -> list[Found]:
    """Every fault between parts: ids that are not there, two supplies, loops, a load in two places, the edition."""
    return [
        *_missing(tables),
        *_double_supply(tables.get("runs", {})),
        *_supply_loops(tables.get("runs", {})),
        *(fault for table, key in _CHAINS for fault in _chain_loops(tables.get(table, {}), table, key)),
        *_loads_in_two_places(tables),
        *_edition(tables.get("town", {})),
    ]


def _missing(tables: Tables) -> Iterator[Found]:
    for reference in REFERENCES:
        known = _known(reference, tables)
        by_id = reference.table in BY_ID
        parts = tables.get(reference.table, {}) if by_id else {"": tables.get(reference.table, {})}
        for id, part in parts.items():
            value = part.get(reference.key)
            path = (reference.table, id, reference.key) if by_id else (reference.table, reference.key)
            for name, at in _names(reference, value):
                own = name == id and reference.targets[0] == reference.table
                if isinstance(name, str) and (name not in known or own):
                    yield _not_there(reference, path, (*path, *at), name, [k for k in known if k != id or not own])


def _known(reference: Reference, tables: Tables) -> dict[str, None]:
    known = {id: None for table in reference.targets for id in tables.get(table, {})}
    if reference.also_utility:
        known[UTILITY] = None
    if reference.also_new:
        known[NEW_MAIN] = None
        known |= {f"{NEW_MAIN}-{building}": None for building in tables.get("buildings", {})}
    return known


def _names(reference: Reference, value: Any) -> Iterator[tuple[Any, Path]]:
    """The ids a value names, each with its place in the value. Values of a wrong kind are the models' to refuse."""
    if reference.holds == "one" and isinstance(value, str):
        yield value, ()
    elif reference.holds == "list" and isinstance(value, list):
        yield from ((item, (str(place),)) for place, item in enumerate(value))
    elif reference.holds == "ids" and isinstance(value, dict):
        yield from ((id, (id,)) for id in value)
    elif reference.holds == "values" and isinstance(value, dict):
        yield from ((item, (id,)) for id, item in value.items())


def _not_there(reference: Reference, path: Path, at: Path, name: str, known: list[str]) -> Found:
    tables = " or ".join(f"[{table}]" for table in reference.targets)
    near = nearest(name, known)
    add = f"add [{reference.targets[0]}.{name}]" if name else "name one of these"
    do = f'Did you mean "{near}"? If not, {add}.' if near else f'{add.capitalize()}, or write "unknown".'
    if name == path[1] and reference.targets[0] == reference.table:
        do = 'A part cannot name itself here; name another, or write "unknown".'
    where = at if reference.holds in ("ids", "values") else path
    return Found(where, shown(name), f"an id of {tables}: {listed(known)}", do, at)


def _double_supply(runs: Mapping[str, Tables]) -> Iterator[Found]:
    first: dict[str, str] = {}
    for id, run in runs.items():
        to = run.get("to")
        if not isinstance(to, str):
            continue
        if to in first:
            yield Found(
                ("runs", id, "to"),
                f'"{to}", which runs.{first[to]} already feeds',
                "one supply for one piece of equipment",
                "Mend 'to' here or there; a second supply of its own kind needs equipment of its own.",
            )
        first.setdefault(to, id)


def _supply_loops(runs: Mapping[str, Tables]) -> Iterator[Found]:
    above: dict[str, tuple[str, str]] = {}
    for id, run in runs.items():
        source, to = run.get("from"), run.get("to")
        if isinstance(source, str) and isinstance(to, str):
            above.setdefault(to, (source, id))
    for loop in _loops({to: source for to, (source, _) in above.items()}):
        run = next(id for id in runs if id in {above[equipment][1] for equipment in loop})
        yield Found(
            ("runs", run, "from"),
            " fed from ".join([*loop, loop[0]]),
            "supply that starts at the utility and never comes back to itself",
            "Mend 'from' or 'to' of one of these runs.",
        )


def _chain_loops(parts: Mapping[str, Tables], table: str, key: str) -> Iterator[Found]:
    links = {id: part[key] for id, part in parts.items() if isinstance(part.get(key), str)}
    for loop in _loops(links):
        if len(loop) > 1:  # a part that names itself is already a fault
            read = " -> ".join([*loop, loop[0]])
            yield Found((table, loop[0], key), read, "a chain that ends", f"Take {key} away from one of these.")


def _loops(links: Mapping[str, str]) -> Iterator[list[str]]:
    """Each loop of the links once, from its first member in their order."""
    done: set[str] = set()
    for start in links:
        walk: dict[str, None] = {}
        here: str | None = start
        while here is not None and here not in done and here not in walk:
            walk[here] = None
            here = links.get(here)
        if here in walk:
            members = list(walk)
            members = members[members.index(here) :]
            first = min(members, key=list(links).index)
            place = members.index(first)
            yield members[place:] + members[:place]
        done |= walk.keys()


def _loads_in_two_places(tables: Tables) -> Iterator[Found]:
    circuits = tables.get("circuits", {})
    for table in ("loads", "wishes"):
        for id, load in tables.get(table, {}).items():
            circuit, panel = load.get("circuit"), load.get("panel")
            source = circuits[circuit].get("from") if isinstance(circuit, str) and circuit in circuits else None
            if isinstance(panel, str) and source is not None and panel != source:
                yield Found(
                    (table, id, "panel"),
                    f'"{panel}", while its circuit {circuit} leaves "{source}"',
                    "one place for one load",
                    "Leave 'panel' out where a circuit is named, or mend the circuit.",
                )


def _edition(town: Mapping[str, Any]) -> Iterator[Found]:
    edition = town.get("edition")
    if not isinstance(edition, str):
        return
    known = edition_names()
    spellings = {name.lower().removeprefix("nec ") for name in known}
    if edition.strip().lower().replace("_", " ").removeprefix("nec ") not in spellings:
        allowed = ", ".join(f'"{name}"' for name in known)
        yield Found(("town", "edition"), shown(edition), allowed, "Ask the town which of these it has adopted.")
