"""Load management as one way to stay with what is there: the system a proposal puts in, held to what the service bears.

Whether and on what conditions its set point stands as the load is read by the loads and told by the rules, as for any
job that states a system: nothing of it is decided here.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from driploop.alternatives.trade import charger_least_a, managed_kinds
from driploop.editions import Edition
from driploop.installation import Graph, Installation, LoadManagement, Proposal
from driploop.loads import read_loads
from driploop.loads.load_management import CHARGER, CHARGERS, LEAVE, SERVICE_OR_FEEDER, conditions, set_point, without
from driploop.rules import Readings
from driploop.worksheet import Worksheet, WorksheetWriter, plain

SYSTEM = "load-management"
#: Findings that rest on the load without the system; with it the set point is the load.
ANSWERED = frozenset({"service-carries-the-load", "conductor-carries-the-load", "panel-bus-carries-the-load"})


@dataclass(frozen=True, slots=True)
class NotManaged:
    """Why load management is no way here, with the section where there is one."""

    reason: str
    section: str = ""


@dataclass(frozen=True, slots=True)
class Chosen:
    """A system as it would be put in, and how its set point was found."""

    system: LoadManagement
    worksheet: Worksheet


def system_for(kept: Readings, service: str, rating_a: float, *, edition: Edition) -> Chosen | NotManaged:
    """The system that lets the service stay: over the whole service, else over vehicle chargers alone.

    Args:
        kept: the readings of the installation kept as it is, wishes for now included.
        service: the service disconnect.
        rating_a: its rating. [A]
        edition: the code edition in force.
    """
    whole, chargers = LEAVE[SERVICE_OR_FEEDER], LEAVE[CHARGERS]
    below = {load.id: load for load in kept.graph.loads_below(service)}
    if edition.has(whole) and edition.known(whole):
        loads = tuple(id for id in kept.installation.loads if id in below and below[id].kind in managed_kinds())
        if not loads:
            return NotManaged("no load is listed that a system could hold back", edition.section(whole))
        return _over_the_service(kept, service, rating_a, loads, edition=edition)
    loads = tuple(id for id in kept.installation.loads if id in below and below[id].kind == CHARGER)
    if loads and edition.has(chargers) and edition.known(chargers):
        return _over_chargers(kept, service, rating_a, loads, edition=edition)
    return NotManaged(
        f"{edition.name} has no rule known here by which a set point may stand as the calculated load, "
        "but for vehicle chargers; ask the authority before it is counted on"
    )


def _over_the_service(
    kept: Readings, service: str, rating_a: float, loads: tuple[str, ...], *, edition: Edition
) -> Chosen | NotManaged:
    section = edition.section(LEAVE[SERVICE_OR_FEEDER])
    setpoint_a, percent = set_point(rating_a, edition=edition)
    sheet = _sheet(kept, service, rating_a)
    sheet.cite("Counted as continuous", percent.text, percent, key="percent")
    working = f"{plain(rating_a)} / {plain(percent.number)} percent, whole amperes"
    sheet.number("Largest set point", working, setpoint_a, "A", section, key="setpoint")
    unmanaged_a = _unmanaged(sheet, kept, service, loads, edition=edition)
    if unmanaged_a > setpoint_a:
        titles = ", ".join(kept.installation.loads[id].title for id in loads)
        return NotManaged(
            f"even with {titles} held back {unmanaged_a:.0f} A stays, above the largest set point of {setpoint_a:g} A",
            section,
        )
    sheet.number("Left for them under the set point", f"{plain(setpoint_a)} - {plain(unmanaged_a)}",
                 setpoint_a - unmanaged_a, "A", key="left")  # fmt: skip
    return Chosen(_system(SERVICE_OR_FEEDER, service, setpoint_a, loads), sheet.done())


def _over_chargers(
    kept: Readings, service: str, rating_a: float, loads: tuple[str, ...], *, edition: Edition
) -> Chosen | NotManaged:
    section = edition.section(LEAVE[CHARGERS])
    sheet = _sheet(kept, service, rating_a)
    unmanaged_a = _unmanaged(sheet, kept, service, loads, edition=edition)
    percent = edition.value("continuous_percent")
    sheet.cite("Counted as continuous", percent.text, percent, key="percent")
    left_a = max(0.0, rating_a - unmanaged_a)
    setpoint_a = float(floor(left_a * 100.0 / percent.number))
    working = f"({plain(rating_a)} - {plain(unmanaged_a)}) / {plain(percent.number)} percent, whole amperes"
    sheet.number("Set point of the chargers, together", working, setpoint_a, "A", section, key="setpoint")
    if setpoint_a < charger_least_a():
        least = f"a charger needs {charger_least_a():g} A at least"
        return NotManaged(f"the service leaves {setpoint_a:g} A for vehicle charging; {least}", section)
    return Chosen(_system(CHARGERS, None, setpoint_a, loads), sheet.done())


def _sheet(kept: Readings, service: str, rating_a: float) -> WorksheetWriter:
    sheet = WorksheetWriter(f"load-management/{service}", f"Load management at {kept.graph.equipment(service).title}")
    sheet.number("Rating", "as found", rating_a, "A", key="managed_rating")
    return sheet


def _unmanaged(
    sheet: WorksheetWriter, kept: Readings, service: str, loads: tuple[str, ...], *, edition: Edition
) -> float:
    off = read_loads(Graph(without(kept.installation, loads)), edition=edition)
    titles = ", ".join(kept.installation.loads[id].title for id in loads)
    unmanaged_a = off.nodes[service].conductor_current_a
    return sheet.number("Load with these held back", titles, unmanaged_a, "A", key="unmanaged")


def _system(limits: str, holds: str | None, setpoint_a: float, loads: tuple[str, ...]) -> LoadManagement:
    fields = {"id": SYSTEM, "limits": limits, "holds": holds, "set_point_a": setpoint_a, "loads": loads}
    return LoadManagement.model_validate({name: value for name, value in fields.items() if value is not None})


def with_system(proposal: Proposal, system: LoadManagement) -> Proposal:
    """The proposal with the system in it."""
    return proposal.model_copy(update={"load_management": {**proposal.load_management, system.id: system}})


def as_if_answered(installation: Installation) -> Installation:
    """The installation as it is once every condition of its systems is answered as it must be."""
    must = {"settings": "behind restricted access"}
    return installation.model_copy(
        update={
            "load_management": {
                id: system.model_copy(
                    update={each.field: must.get(each.field, True) for each in conditions(system) if each.met is None}
                )
                for id, system in installation.load_management.items()
            }
        }
    )
