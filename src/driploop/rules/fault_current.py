"""What a short circuit draws at each enclosure, and whether what hangs there can break it."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.fault_current import FaultReading, RatingCheck
from driploop.installation import Equipment
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, at_home, enclosures, service_equipment, supply_side_devices
from driploop.rules.readings import Readings, fault_currents
from driploop.rules.service import reads
from driploop.worksheet import Verdict

_SUPPLY = "utility.available_fault_current_a"


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
    faults = fault_currents(r)
    if not faults.supply_known and any(_undecided(faults, each) for each in [*mains, *enclosures(r)]):
        wrong = "The fault current that the utility's supply can deliver is not known, and a rating hangs on it."
        yield Found(_SUPPLY, wrong, "Ask the utility for it in writing, with the date.")
    for each in mains:
        if each.interrupting_rating_a is None:
            check = faults.rating(each)
            wanted = f"{check.most_a:,.0f} A" if check is not None else "the fault current"
            mend = f"Read it on the label of the main or the fuses, or choose one not below {wanted}."
            yield Found(f"equipment.{each.id}", "Its interrupting rating is not known.", mend)


@rule(
    "interrupting-rating-enough",
    title="Everything can interrupt the fault current at its line terminals",
    why="A short circuit lasts a few thousandths of a second when the breaker can break it. "
    "When it cannot, the breaker bursts and sprays hot metal on whoever stands there.",
    requirement="interrupting-rating",
)
def interrupting_rating_enough(r: Readings) -> Iterator[Found]:
    faults = fault_currents(r)
    for each in enclosures(r):
        check = faults.rating(each) if each.interrupting_rating_a is not None else None
        if check is None or check.rating_a is None:
            continue
        where, rating = f"equipment.{each.id}", f"It can interrupt {check.rating_a:,.0f} A"
        if check.verdict == "short":
            wrong = f"{rating}; a fault here draws {check.least_a:,.0f} A or more."
            yield Found(where, wrong, _mend(each))
        elif check.verdict == "open" and asks(r):
            wrong = f"{rating}; a fault here draws between {check.least_a:,.0f} and {check.most_a:,.0f} A."
            yield Found(where, wrong, _settle(faults, check), Verdict.ASK)


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
        faults = fault_currents(r)
        if not faults.transformer_known or each.id not in faults.largest:
            if asks(r):
                wrong = "It needs a mark of the available fault current, and the current is not known."
                yield Found(where, wrong, "Ask the utility; mark current and date.", Verdict.ASK)
        elif not each.is_new and not reads(each.marked or "", ("FAULT",)):
            wrong = "No mark of the available fault current was seen."
            mend = f"Mark {faults.available_a(each.id):,.0f} A and the date, and keep the calculation."
            yield Found(where, wrong, mend, Verdict.KNOW)


def _undecided(faults: FaultReading, equipment: Equipment) -> bool:
    check = faults.rating(equipment)
    return check is None or check.verdict in ("open", "not known")


def _mend(equipment: Equipment) -> str:
    if equipment.series_rating == "marked" and equipment.series_rated_a is None:
        return (
            "Read on its label what the tested combination with the main ahead stands; "
            "if it is less, fit equipment rated for the fault current."
        )
    return "Fit equipment rated for the fault current, or a combination that its label lists as tested."


def _settle(faults: FaultReading, check: RatingCheck) -> str:
    if faults.supply_known:
        return f"Fit equipment rated {check.most_a:,.0f} A or more, or measure the runs ahead and figure it again."
    return f"Ask the utility for the fault current, or fit equipment rated {check.most_a:,.0f} A or more."


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
