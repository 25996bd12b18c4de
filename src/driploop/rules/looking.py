"""How rules look at an installation: which questions are worth asking, what a worksheet answered, what enters where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from driploop.circuits.decision import Decision
from driploop.circuits.protect import weigh
from driploop.circuits.reading import system_volts
from driploop.circuits.wire import largest_lawful_device
from driploop.conductors.heat import Heat
from driploop.grounding.sites import enters_building
from driploop.installation import UTILITY, Building, Equipment, Run
from driploop.installation.kinds import TAKEN_DOWN
from driploop.installation.model import Circuit, Electrode, Load
from driploop.loads.writing import conductor_current_of
from driploop.rules.facts import asks as asks_here
from driploop.rules.readings import Readings
from driploop.worksheet import Cited, Verdict, Worksheet

GOING = TAKEN_DOWN | {"replace"}


@dataclass(frozen=True, slots=True)
class Entry:
    """Where a feeder comes into a building: the run, and the equipment at its end."""

    run: Run
    equipment: Equipment
    building: str


def asks(r: Readings, part: Equipment | Run | Circuit | None = None) -> bool:
    """Whether an unknown of this part is worth a question: not where the part goes, and each question only once."""
    return asks_here(r) and (r.proposed or part is None or part.fate not in GOING)


def answer(sheet: Worksheet, key: str) -> Cited | None:
    """What the line of this key answers, None where the worksheet has no such line."""
    return next((line.result for line in sheet.lines if line.key == key), None)


def entries(r: Readings) -> Iterator[Entry]:
    """Every feeder that comes into a building from another place."""
    for run in r.installation.runs.values():
        to = r.installation.equipment.get(run.to or "")
        if to is not None and enters_building(r.graph, run):
            yield Entry(run, to, r.graph.site_of(to.building) or to.id)


def feeders(r: Readings) -> Iterator[Run]:
    """Every run known to lie after the service disconnect."""
    for run in r.installation.runs.values():
        if run.from_ is not None and run.from_ != UTILITY and run.to is not None and not r.graph.is_service_run(run):
            yield run


def new_conductor(r: Readings, electrode: Electrode) -> bool:
    """Whether an electrode's conductor will be run anew: a new electrode, or one that lands elsewhere than found."""
    if electrode.is_new:
        return True
    before = r.found.electrodes.get(electrode.id) if r.found is not None else None
    return before is not None and before.conductor_to != electrode.conductor_to


def building_of(r: Readings, equipment: Equipment) -> Building | None:
    """The building a piece of equipment hangs on, None where the survey names none."""
    return r.installation.buildings.get(equipment.building or "")


def weighed(r: Readings, circuit: Circuit) -> Decision:
    """Wire and load of a circuit weighed against each other, as its protection is read; once for all rules."""
    loads = tuple(r.installation.loads[id] for id in r.graph.loads_on.get(circuit.id, ()))
    panel = r.installation.equipment.get(circuit.from_ or "")
    known = r.weighed.get(circuit.id)
    if known is not None and known[0] is circuit and known[1] is panel and _same(known[2], loads):
        return known[3]
    decision = weigh(circuit, loads, panel, system_volts=system_volts(r.installation), edition=r.edition)[1]
    r.weighed[circuit.id] = (circuit, panel, loads, decision)
    return decision


def largest_device_a(r: Readings, circuit: Circuit, *, hopeful: bool, heat: Heat = "ordinary") -> float | None:
    """``largest_lawful_device`` of a circuit where it starts, read once for all rules. [A]"""
    panel = r.installation.equipment.get(circuit.from_ or "")
    known = r.allowed_a.get((circuit.id, hopeful, heat))
    if known is not None and known[0] is circuit and known[1] is panel:
        return known[2]
    allowed_a = largest_lawful_device(circuit, panel, hopeful=hopeful, heat=heat, edition=r.edition)
    r.allowed_a[circuit.id, hopeful, heat] = (circuit, panel, allowed_a)
    return allowed_a


def _same(one: tuple[Load, ...], other: tuple[Load, ...]) -> bool:
    return len(one) == len(other) and all(here is there for here, there in zip(one, other, strict=True))


def unless_held(r: Readings, equipment: str, rating_a: float) -> Verdict | None:
    """The verdict on a load above a rating: a question where a set point would bring it within, once its conditions
    are known; None, the rule's own verdict, where no system could."""
    node = r.loads.nodes.get(equipment)
    held = node.result("set point") if node is not None else None
    if held is None or held.permitted != "ask":
        return None
    over_a = conductor_current_of(held) - rating_a
    return Verdict.ASK if over_a < r.edition.number("ampere_fraction_dropped_below") else None


def sentence(text: str) -> str:
    """Words of another stage as a sentence: a capital in front, one full stop behind."""
    bare = text.strip().rstrip(".")
    return f"{bare[:1].upper()}{bare[1:]}."
