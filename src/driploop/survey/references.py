"""What one part says of another: every id that is named must stand in the file, and supply must be a tree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from driploop.editions import edition_names
from driploop.installation.graph import UTILITY
from driploop.survey.faults import Found
from driploop.survey.layout import SINGLE
from driploop.survey.places import Path
from driploop.survey.prepare import Tables
from driploop.survey.words import listed, nearest, shown

#: Ids of what a proposal adds of itself: the outdoor device, one a building where there are several, or two mains with
#: a panel each; and rods.
NEW_MAIN = "new-main"
NEW_ROD = "new-rod"
SECOND_PANEL = "second-panel"
_MOST_RODS = 12


@dataclass(frozen=True, slots=True)
class Reference:
    """A key whose value names parts of other tables. ``holds`` tells where in the value the ids stand.

    ``also_new`` lets it name what the proposal adds.
    """

    table: str
    key: str
    targets: tuple[str, ...]
    holds: Literal["one", "list", "ids", "values"] = "one"
    also_utility: bool = False
    also_new: bool = False


_FOUND: tuple[Reference, ...] = (
    Reference("buildings", "part_of", ("buildings",)),
    Reference("equipment", "building", ("buildings",)),
    Reference("equipment", "in_sight_of", ("loads", "wishes"), "list"),
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
    Reference("working_hours", "circuits", ("circuits",), "list"),
    Reference("working_hours", "loads", ("loads", "wishes"), "list"),
    Reference("working_hours", "share_percent", ("circuits", "loads", "wishes"), "ids"),
    Reference("load_management", "holds", ("equipment",)),
    Reference("load_management", "circuits", ("circuits",), "list"),
    Reference("load_management", "loads", ("loads", "wishes"), "list"),
)
_WISHED: tuple[Reference, ...] = (
    Reference("wishes", "circuit", ("circuits",), also_new=True),
    Reference("wishes", "panel", ("equipment",), also_new=True),
    Reference("wishes", "building", ("buildings",)),
    Reference("wishes", "supplemental_to", ("loads", "wishes")),
    Reference("wishes", "never_with", ("loads", "wishes"), "list"),
    Reference("wishes", "replaces", ("loads",), "list"),
)
_PROPOSED: tuple[Reference, ...] = (
    Reference("proposal", "outdoor_place", ("buildings",)),
    Reference("proposal", "panel", ("equipment",)),
    Reference("proposal", "disconnect_ratings_a", ("buildings",), "ids"),
    Reference("proposal", "moves", ("circuits",), "ids"),
    Reference("proposal", "moves", ("equipment",), "values", also_new=True),
)
REFERENCES: tuple[Reference, ...] = (
    *_FOUND,
    *_WISHED,
    *_PROPOSED,
    *(
        replace(reference, table=f"proposal.{reference.table}", also_new=True)
        for reference in _FOUND
        if reference.table in ("buildings", "equipment", "runs", "circuits", "electrodes", "bonds", "load_management")
    ),
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
        *_wishes_over_loads(tables),
        *_changed_buildings(tables),
        *_edition(tables.get("town", {})),
        *_order(tables.get("shop", {})),
    ]


def _missing(tables: Tables) -> Iterator[Found]:
    for reference in REFERENCES:
        known = _known(reference, tables)
        for path, part in _parts_of(reference.table, tables):
            if reference.key not in part:
                continue
            for name, at in _names(reference, part[reference.key]):
                itself = name == path[-1] and reference.table.rpartition(".")[2] in reference.targets
                if name not in known or itself:
                    yield _not_there(reference, (*path, reference.key), at, name, known, itself=itself)


def _parts_of(table: str, tables: Tables) -> Iterator[tuple[Path, Tables]]:
    """Each part of a table with its path; the table itself where it stands once."""
    steps = tuple(table.split("."))
    held = tables
    for step in steps:
        held = held.get(step, {})
    if table in SINGLE:
        yield steps, held
    else:
        yield from (((*steps, id), part) for id, part in held.items())


def _known(reference: Reference, tables: Tables) -> dict[str, None]:
    known = {id: None for table in reference.targets for id in tables.get(table, {})}
    if reference.also_utility:
        known[UTILITY] = None
    if reference.also_new:
        proposal = tables.get("proposal", {})
        known |= {id: None for table in reference.targets for id in proposal.get(table, {})}
        known |= dict.fromkeys(_added(reference.targets[0], tables.get("buildings", {})))
    return known


def _added(table: str, buildings: Mapping[str, Tables]) -> Iterator[str]:
    """The ids that a proposal may give to what it adds to a table."""
    if table == "equipment":
        yield from (NEW_MAIN, f"{NEW_MAIN}-1", f"{NEW_MAIN}-2", SECOND_PANEL)
        yield from (f"{NEW_MAIN}-{building}" for building in buildings)
    if table == "electrodes":
        for rods in (NEW_ROD, *(f"{NEW_ROD}-{building}" for building in buildings)):
            yield from (f"{rods}-{number}" for number in range(1, _MOST_RODS + 1))


def _names(reference: Reference, value: Any) -> Iterator[tuple[str, Path]]:
    """The ids a value names, each with its place in the value. Values of a wrong kind are the models' to refuse."""
    named: list[tuple[Any, Path]] = []
    if reference.holds == "one":
        named = [(value, ())]
    elif reference.holds == "list" and isinstance(value, list):
        named = [(item, (str(place),)) for place, item in enumerate(value)]
    elif reference.holds == "ids" and isinstance(value, dict):
        named = [(id, (id,)) for id in value]
    elif reference.holds == "values" and isinstance(value, dict):
        named = [(item, (id,)) for id, item in value.items()]
    yield from ((name, at) for name, at in named if isinstance(name, str))


def _not_there(
    reference: Reference, path: Path, at: Path, name: str, known: Mapping[str, None], *, itself: bool
) -> Found:
    others = [id for id in known if not itself or id != name]
    tables = " or ".join(f"[{table}]" for table in reference.targets)
    near = nearest(name, others)
    add = f"add [{reference.targets[0]}.{name}]"
    if itself:
        do = 'A part cannot name itself here; name another, or write "unknown".'
    elif near:
        do = f'Did you mean "{near}"? If not, {add}.'
    else:
        do = f'{add[0].upper()}{add[1:]}, or write "unknown".'
    where = (*path, *at) if reference.holds in ("ids", "values") else path
    return Found(where, shown(name), f"an id of {tables}: {listed(others)}", do, (*path, *at))


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
        in_loop = {above[equipment][1] for equipment in loop}
        first = next(id for id in runs if id in in_loop)
        yield Found(
            ("runs", first, "from"),
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


def _wishes_over_loads(tables: Tables) -> Iterator[Found]:
    for id, wish in tables.get("wishes", {}).items():
        if id in tables.get("loads", {}) and id not in _list(wish.get("replaces")):
            yield Found(
                ("wishes", id),
                f'"{id}", which is also the id of a load',
                "an id of its own, unless it replaces that load",
                f'Write replaces = ["{id}"] if it takes the place of that load; else give it another id.',
            )


def _changed_buildings(tables: Tables) -> Iterator[Found]:
    """A proposal changes buildings that are there; it builds none."""
    known = tables.get("buildings", {})
    for id in tables.get("proposal", {}).get("buildings", {}):
        if id not in known:
            near = nearest(id, known)
            add = f"Add [buildings.{id}]: what is to be built stands there too."
            do = f'Did you mean "{near}"? If not: {add[0].lower()}{add[1:]}' if near else add
            yield Found(("proposal", "buildings", id), shown(id), f"an id of [buildings]: {listed(known)}", do)


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _edition(town: Mapping[str, Any]) -> Iterator[Found]:
    edition = town.get("edition")
    if not isinstance(edition, str):
        return
    known = edition_names()
    spellings = {name.lower().removeprefix("nec ") for name in known}
    if edition.strip().lower().replace("_", " ").removeprefix("nec ") not in spellings:
        allowed = ", ".join(f'"{name}"' for name in known)
        yield Found(("town", "edition"), shown(edition), allowed, "Ask the town which of these it has adopted.")


def _order(shop: Mapping[str, Any]) -> Iterator[Found]:
    """Words that stand twice in the shop's order; the models refuse those that are not known."""
    words = _list(shop.get("order"))
    for place, word in enumerate(words):
        if word in words[:place]:
            at = ("shop", "order", str(place))
            yield Found(at[:2], f"{shown(word)} twice", "each word once, weightiest first", "Name it once.", at)
