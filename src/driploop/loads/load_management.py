"""Load management: a system that holds a service, a feeder or vehicle chargers to a set point, and on what conditions
that set point stands as the load.

The edition says whether it may. The set point counts as continuous. What is not held back must fit under it by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import floor, fsum

from driploop.editions import Edition
from driploop.installation import Graph, Installation, Load, LoadManagement
from driploop.loads.nameplate import as_counted, read_nameplate
from driploop.loads.results import Held, Permission
from driploop.worksheet import Cited, WorksheetWriter, plain

SERVICE_OR_FEEDER = "service or feeder"
CHARGERS = "vehicle chargers"
CHARGER = "vehicle charger"
#: Under which name an edition holds the leave to count a set point, by what the system limits.
LEAVE: Mapping[str, str] = {SERVICE_OR_FEEDER: "energy-management", CHARGERS: "evse-load-management"}
REQUIREMENT = "load-management"


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition under which a set point stands as the load. ``met`` is None where nobody knows.

    ``requirement`` is the name under which an edition holds it; where it has none the leave itself is its ground.
    """

    field: str
    what: str
    met: bool | None
    unmet: str
    unknown: str
    mend: str
    requirement: str


def conditions(management: LoadManagement) -> tuple[Condition, ...]:
    """What must be true of a system before its set point stands as the load, besides the numbers."""
    locked = {"behind restricted access": True, "open to anyone": False}.get(management.settings or "")
    return (
        Condition(
            "listed", "Listed for holding current to a set point", management.listed,
            "The system is not listed for holding current to a set point.",
            "Whether the system is listed for holding current to a set point is not known.",
            "Choose one that is listed for it, and keep its papers with the permit.",
            "energy-management-listed",
        ),
        Condition(
            "fails_safe", "With the system dead, what it controls is off or held", management.fails_safe,
            "With the system dead, what it controls runs on unheld.",
            "Whether it fails safe is not known.",
            "With the system dead or its sensor cut, everything it controls must be off or held.",
            "energy-management-fails-safe",
        ),
        Condition(
            "settings", "Its settings lie behind restricted access", locked,
            "Anyone may change its set point.",
            "Who may change its set point is not settled.",
            "Its settings go behind restricted access: a lock, a cover that needs a tool, or a password.",
            "energy-management-settings",
        ),
        Condition(
            "marked", "The equipment carries its set point", management.marked,
            "The equipment does not say that it is held, and to what.",
            "Whether the equipment carries its set point is not known.",
            "Mark the equipment it holds with the set point, durably.",
            "energy-management-marking",
        ),
        Condition(
            "accepted", "The authority takes the set point as the load", management.accepted,
            "The authority does not take the set point as the load.",
            "Whether this office accepts a set point as the calculated load is not known.",
            "Ask the authority in writing before the customer counts on it.",
            "approved-by-ahj",
        ),
    )  # fmt: skip


def set_point(rating_a: float, *, edition: Edition) -> tuple[float, Cited]:
    """The largest whole set point that a rating carries as a continuous load [A], and the percentage it rests on.

    Source: NEC 2023: 220.70 and 750.30, the set point counted as a continuous load (230.42).
    """
    percent = edition.value("continuous_percent")
    return float(floor(rating_a * 100.0 / percent.number)), percent


def controlled(management: LoadManagement, installation: Installation) -> tuple[str, ...]:
    """The loads a system can hold back: those named, and all on the circuits named; in the survey's order."""
    circuits, loads = management.circuits or (), management.loads or ()
    return tuple(id for id, load in installation.loads.items() if id in loads or load.circuit in circuits)


def without(installation: Installation, held: tuple[str, ...]) -> Installation:
    """The installation with the held loads off, and with no system left in it."""
    loads = {id: load for id, load in installation.loads.items() if id not in held}
    # A circuit that fed only what is held back feeds nothing then; left as it is it would count as not known.
    feeds = {load.circuit for load in loads.values()}
    freed = {installation.loads[id].circuit for id in held} - feeds
    circuits = {
        id: circuit.model_copy(update={"purpose": "spare"}) if id in freed else circuit
        for id, circuit in installation.circuits.items()
    }
    return installation.model_copy(update={"loads": loads, "circuits": circuits, "load_management": {}})


def behind_set_points(graph: Graph, tops: tuple[str, ...]) -> Installation:
    """The installation without what hangs on the equipment named: what a set point counts for is not counted twice."""
    parts = graph.installation
    gone = {id for top in tops for id in graph.below(top)}
    circuits = {circuit.id for top in tops for circuit in graph.circuits_below(top)}
    loads = {load.id for top in tops for load in graph.loads_below(top)}
    return parts.model_copy(
        update={
            "equipment": {id: each for id, each in parts.equipment.items() if id not in gone},
            "runs": {id: r for id, r in parts.runs.items() if r.to not in gone and r.from_ not in gone},
            "circuits": {id: each for id, each in parts.circuits.items() if id not in circuits},
            "loads": {id: each for id, each in parts.loads.items() if id not in loads},
            "electrodes": {},
            "bonds": {},
            "load_management": {},
        }
    )


def charger_shares(graph: Graph, held: Held, *, volts: float, edition: Edition) -> Mapping[str, tuple[float, str]]:
    """The share of its load that each charger counts with when all are held together [0 to 1], and why in words."""
    parts = graph.installation
    counted = {id: _counted_va(parts.loads[id], graph, volts=volts, edition=edition) for id in held.loads}
    together_va, held_va = fsum(counted.values()), (held.set_point_a or 0.0) * volts
    if not together_va or held_va >= together_va:
        return {}
    words = f"held to {plain(held.set_point_a or 0.0)} A, all together ({held.section})"
    return dict.fromkeys(held.loads, (held_va / together_va, words))


def _counted_va(load: Load, graph: Graph, *, volts: float, edition: Edition) -> float:
    circuit = graph.installation.circuits.get(load.circuit or "")
    plate = read_nameplate(load, circuit=circuit, building=load.building, system_volts=volts, edition=edition)
    return as_counted(plate, edition=edition).va * load.count


def judged(management: LoadManagement, graph: Graph, *, unmanaged_a: float | None, edition: Edition) -> Held:
    """Whether a system's set point stands as the load: the edition's leave, what it holds, its conditions, the room.

    ``unmanaged_a`` is the load at the held equipment with everything held back [A]; None where it could not be read.
    """
    loads = controlled(management, graph.installation)
    where = management.holds if management.holds in graph.installation.equipment else None
    leave = LEAVE.get(management.limits or "")
    section = edition.section(leave) if leave is not None and edition.has(leave) else edition.section(REQUIREMENT)
    reasons = list(_reasons(management, graph, loads, unmanaged_a, edition=edition))
    refused = [why for permitted, why in reasons if permitted == "no"]
    permitted: Permission = "no" if refused else "ask" if reasons else "yes"
    why = "; ".join(refused or [why for _, why in reasons])
    return Held(management.id, where, management.set_point_a, loads, unmanaged_a, permitted, why, section)


def _reasons(
    management: LoadManagement, graph: Graph, loads: tuple[str, ...], unmanaged_a: float | None, *, edition: Edition
) -> Iterator[tuple[Permission, str]]:
    """Why a set point may not stand, or is not yet shown to stand; nothing where it may."""
    leave = LEAVE.get(management.limits or "")
    if leave is None:
        yield "ask", "what it limits is not known"
    elif not edition.has(leave):
        yield "no", f"{edition.name} has no rule known here by which this set point may stand as the calculated load"
    elif not edition.known(leave):
        yield "ask", f"what {edition.name} says of it was not seen"
    if management.limits != CHARGERS and management.holds not in graph.installation.equipment:
        yield "ask", "which service or feeder it holds is not known"
    if management.set_point_a is None:
        yield "ask", "its set point is not known"
    if management.loads is None and management.circuits is None:
        yield "ask", "what it can hold back is not known"
    elif not loads:
        yield "no", "nothing that is listed here can be held back by it"
    yield from _chargers_only(management, graph, loads)
    if unmanaged_a is not None and management.set_point_a is not None and unmanaged_a > management.set_point_a:
        stays = f"with all of it held back {plain(round(unmanaged_a))} A stays"
        yield "no", f"{stays}, above the set point of {plain(management.set_point_a)} A"
    for each in conditions(management):
        if not each.met:
            yield ("ask" if each.met is None else "no"), (each.unknown if each.met is None else each.unmet).rstrip(".")


def _chargers_only(
    management: LoadManagement, graph: Graph, loads: tuple[str, ...]
) -> Iterator[tuple[Permission, str]]:
    if management.limits != CHARGERS:
        return
    others = [graph.installation.loads[id] for id in loads if graph.installation.loads[id].kind != CHARGER]
    if others:
        names = ", ".join(load.title for load in others)
        yield "no", f"only vehicle chargers may be counted so, and it holds back {names}"


def write_conditions(sheet: WorksheetWriter, management: LoadManagement, held: Held, *, edition: Edition) -> None:
    """The set point, what it leaves, and each condition with its answer, as lines of a worksheet."""
    sheet.number("Set point", "as stated", held.set_point_a or 0.0, "A", held.section, key="setpoint")
    if held.unmanaged_a is not None:
        sheet.number("Load with what it controls held back", "read without it", held.unmanaged_a, "A", key="unmanaged")
        left_a = (held.set_point_a or 0.0) - held.unmanaged_a
        working = f"{plain(held.set_point_a or 0.0)} - {plain(held.unmanaged_a)}"
        sheet.number("Left for what it controls", working, left_a, "A", key="left")
    for each in conditions(management):
        answer = {True: "yes", False: "no", None: "not known"}[each.met]
        section = section_of(each, held, edition=edition)
        sheet.write(each.what, "stated" if each.met is not None else "to be asked", answer, "", section,
                    key=f"condition_{each.field}")  # fmt: skip


def section_of(condition: Condition, held: Held, *, edition: Edition) -> str:
    """Where a condition stands in this edition; the leave's own section where it has no place of its own."""
    return edition.section(condition.requirement) if edition.has(condition.requirement) else held.section
