"""What a short circuit draws at the service, and whether what hangs there can break it."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation import Equipment
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, at_home, enclosures, service_equipment, supply_side_devices
from driploop.rules.readings import Readings
from driploop.rules.service import reads
from driploop.worksheet import Verdict


@rule(
    "interrupting-rating-known",
    title="The fault current at the service and what the equipment can interrupt are known",
    why="A breaker asked to break more current than it was built for can explode in its box. "
    "Nobody can tell whether it will without both figures.",
    requirement="interrupting-rating",
    verdict=Verdict.ASK,
)
def interrupting_rating_known(r: Readings) -> Iterator[Found]:
    if not asks(r):
        return
    mains = [*service_equipment(r), *_first_mains_of_a_farm(r), *supply_side_devices(r)]
    if not mains:
        return
    if r.installation.utility.available_fault_current_a is None:
        wrong = "The fault current that the utility's supply can deliver is not known."
        yield Found("utility.available_fault_current_a", wrong, "Ask the utility for it in writing, with the date.")
    for each in mains:
        if each.interrupting_rating_a is None:
            mend = "Read it on the label of the main or the fuses, or choose one not below the fault current."
            yield Found(f"equipment.{each.id}", "Its interrupting rating is not known.", mend)


@rule(
    "interrupting-rating-enough",
    title="Everything can interrupt the fault current at its line terminals",
    why="A short circuit lasts a few thousandths of a second when the breaker can break it. "
    "When it cannot, the breaker bursts and sprays hot metal on whoever stands there.",
    requirement="interrupting-rating",
)
def interrupting_rating_enough(r: Readings) -> Iterator[Found]:
    fault_a = r.installation.utility.available_fault_current_a
    if fault_a is None:
        return
    isolating = [r.graph.equipment(id) for id, role in r.graph.roles.items() if role == "site-isolating device"]
    at_service = {each.id for each in [*service_equipment(r), *supply_side_devices(r), *isolating]}
    for each in enclosures(r):
        rating = each.interrupting_rating_a
        if rating is None or rating >= fault_a:
            continue
        wrong = f"It can interrupt {rating:,.0f} A; the utility's supply can deliver {fault_a:,.0f} A."
        if each.id in at_service:
            mend = "Fit equipment rated for the fault current, or a combination that its label lists as tested."
            yield Found(f"equipment.{each.id}", wrong, mend)
        elif asks(r):
            mend = "Figure the fault current at this enclosure: the conductors ahead of it reduce it."
            yield Found(f"equipment.{each.id}", wrong, mend, Verdict.ASK)


@rule(
    "fault-current-mark",
    title="Service equipment other than a dwelling's is marked with the fault current",
    why="Whoever replaces a breaker years later must know what it has to interrupt. "
    "When the utility sets a larger transformer, the date on the mark shows that the figure is old.",
    requirement="fault-current-mark",
)
def fault_current_mark(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        if at_home(r, each) or r.graph.whole_dwelling(each.id):
            continue
        where = f"equipment.{each.id}"
        if r.installation.utility.available_fault_current_a is None:
            if asks(r):
                wrong = "It needs a mark of the available fault current, and the current is not known."
                yield Found(where, wrong, "Ask the utility; mark current and date.", Verdict.ASK)
        elif not each.is_new and not reads(each.marked or "", ("FAULT",)):
            wrong = "No mark of the available fault current was seen."
            yield Found(where, wrong, "Mark current and date, and keep the calculation.", Verdict.KNOW)


def _first_mains_of_a_farm(r: Readings) -> Iterator[Equipment]:
    """Behind a site-isolating device without breakers, the building disconnects are the first to interrupt a fault."""
    for id, role in r.graph.roles.items():
        if role != "site-isolating device":
            continue
        device = r.graph.equipment(id)
        yield device
        if device.main in ("breaker", "fuses"):
            continue
        below = (r.installation.runs[run] for run in r.graph.runs_out.get(id, ()))
        ends = (r.installation.equipment.get(run.to or "") for run in below if run.ocpd_a is None)
        yield from (end for end in ends if end is not None)
