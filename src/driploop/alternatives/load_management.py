"""Load management: a listed system that holds the service to a set point, as one way to stay with what is there.

The edition says whether the set point may stand as the load. It counts as continuous, so that it may be no more than
the rating divided by the percentage for continuous loads; what is not managed must fit under it by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor

from driploop.alternatives.trade import managed_kinds
from driploop.editions import Edition
from driploop.installation import Graph
from driploop.loads import read_loads
from driploop.rules import Readings
from driploop.worksheet import Cited, DriploopError, Finding, Verdict, Worksheet, WorksheetWriter, plain

REQUIREMENT = "energy-management"
RULE = "load-management-conditions"
#: Findings that rest on the load without the system; with it the set point is the load.
ANSWERED = frozenset({"service-carries-the-load", "conductor-carries-the-load", "panel-bus-carries-the-load"})


@dataclass(frozen=True, slots=True)
class Managed:
    """A service held to a set point. ``unmanaged_a`` is what stays when everything managed is held back. [A]"""

    service: str
    rating_a: float
    setpoint_a: float
    unmanaged_a: float
    loads: tuple[str, ...]
    worksheet: Worksheet
    conditions: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class NotManaged:
    """Why load management is no way here, with the section where there is one."""

    reason: str
    section: str = ""


def set_point(rating_a: float, *, edition: Edition) -> tuple[float, Cited]:
    """The largest whole set point that a service of this rating may be held to [A], and the percentage it rests on.

    Source: NEC 2023: 220.70 and 750.30, the set point counted as a continuous load (230.42).
    """
    percent = edition.value("continuous_percent")
    return float(floor(rating_a * 100.0 / percent.number)), percent


def managed_service(kept: Readings, service: str, rating_a: float, *, edition: Edition) -> Managed | NotManaged:
    """The service as found, held to a set point.

    Args:
        kept: the readings of the installation kept as it is, wishes for now included.
        service: the service disconnect.
        rating_a: its rating. [A]
        edition: the code edition in force.
    """
    try:
        known = edition.has(REQUIREMENT) and edition.known(REQUIREMENT)
    except DriploopError:
        known = False
    if not known:
        return NotManaged(
            f"{edition.name} has no rule known here by which a set point may stand as the calculated load; "
            "ask the authority before it is counted on"
        )
    entry = edition.entry(REQUIREMENT)
    below = {load.id for load in kept.graph.loads_below(service)}
    held = tuple(id for id, load in kept.installation.loads.items() if id in below and load.kind in managed_kinds())
    if not held:
        return NotManaged("no load is listed that a system could hold back", entry.section)
    unmanaged_a = _without(kept, held, service, edition=edition)
    setpoint_a, percent = set_point(rating_a, edition=edition)
    sheet = WorksheetWriter(f"load-management/{service}", f"Load management at {kept.graph.equipment(service).title}")
    sheet.number("Rating", "as found", rating_a, "A", key="rating")
    sheet.cite("Counted as continuous", percent.text, percent, key="percent")
    working = f"{plain(rating_a)} / {plain(percent.number)} percent, whole amperes"
    sheet.number("Largest set point", working, setpoint_a, "A", entry.section, key="setpoint")
    titles = ", ".join(kept.installation.loads[id].title for id in held)
    sheet.number("Load with these held back", titles, unmanaged_a, "A", key="unmanaged")
    sheet.number("Left for them under the set point", f"{plain(setpoint_a)} - {plain(unmanaged_a)}",
                 setpoint_a - unmanaged_a, "A", key="left")  # fmt: skip
    if unmanaged_a > setpoint_a:
        return NotManaged(
            f"even with {titles} held back {unmanaged_a:.0f} A stays, above the largest set point of {setpoint_a:g} A",
            entry.section,
        )
    conditions = tuple(_conditions(service, setpoint_a, titles, entry.section))
    return Managed(service, rating_a, setpoint_a, unmanaged_a, held, sheet.done(), conditions)


def _without(kept: Readings, held: tuple[str, ...], service: str, *, edition: Edition) -> float:
    installation = kept.installation
    loads = {id: load for id, load in installation.loads.items() if id not in held}
    # A circuit that fed only what is held back feeds nothing then; left as it is it would count as not known.
    feeds = {load.circuit for load in loads.values()}
    freed = {installation.loads[id].circuit for id in held} - feeds
    circuits = {
        id: circuit.model_copy(update={"purpose": "spare"}) if id in freed else circuit
        for id, circuit in installation.circuits.items()
    }
    graph = Graph(installation.model_copy(update={"loads": loads, "circuits": circuits}))
    return read_loads(graph, edition=edition).nodes[service].conductor_current_a


def _conditions(service: str, setpoint_a: float, titles: str, section: str) -> list[Finding]:
    why = "The service then rests on the system: one that fails open lets the old conductors burn."
    asked = (
        ("Whether the system is listed for holding a service to a set point is not known.",
         "Choose one that is listed for it, and keep its papers with the permit."),
        ("Whether it fails safe is not known.", f"With the system dead, {titles} must be off."),
        (f"Who may change the set point of {setpoint_a:g} A is not settled.",
         "Its settings go behind restricted access, and the equipment is marked with the set point."),
        ("Whether this office accepts a set point as the calculated load is not known.",
         "Ask the authority in writing before the customer counts on it."),
    )  # fmt: skip
    return [Finding(RULE, Verdict.ASK, f"equipment.{service}", wrong, mend, section, why) for wrong, mend in asked]
