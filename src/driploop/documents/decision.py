"""The decision sheet: what the outdoor device is and what follows from that, on one page, for whoever holds it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from driploop.documents.places import part_words
from driploop.documents.schedules import equipment_title
from driploop.documents.tables import known
from driploop.documents.text import sentence
from driploop.drawings import deciding_device
from driploop.installation import Circuit
from driploop.installation.kinds import Role
from driploop.planning import Plan
from driploop.rules import Readings
from driploop.worksheet import DriploopError

#: What a device is, in words for somebody who has never opened one.
MEANINGS: dict[Role, str] = {
    "service disconnect": "It is the service disconnect: the utility's supply ends here and the wiring of the place "
    "begins. Its handle turns off all that it feeds.",
    "emergency disconnect": "It is an emergency disconnect and not service equipment: from outside, its handle turns "
    "off all that it feeds, but the service still ends at the service disconnect further on.",
    "meter disconnect": "It is a meter disconnect and not service equipment: it opens the supply ahead of the meter, "
    "and the service still ends at the service disconnect further on.",
    "site-isolating device": "It is a site-isolating device and not service equipment: it opens the supply of the "
    "whole place where the feeders to its buildings begin.",
}
LIVE = (
    "With its handle off, the conductors that come into it, the meter and the drop or lateral are still live; only the "
    "utility can open them."
)


@dataclass(frozen=True, slots=True)
class Follows:
    """One thing that follows: what it is about, what it comes to here, why, and which section says so."""

    about: str
    here: str
    why: str
    section: str


def decision_data(plan: Plan) -> dict[str, Any] | None:
    """The decision sheet as JSON-ready data; None where the survey lists no device that could decide anything."""
    readings = plan.final
    device = deciding_device(readings)
    if device is None:
        return None
    equipment, role = readings.graph.equipment(device), readings.graph.roles[device]
    outdoors = {True: "outdoors", False: "indoors", None: "indoors or outdoors: not known"}[equipment.outdoors]
    where = ", ".join(word for word in (outdoors, equipment.location) if word)
    return {
        "title": equipment.title,
        "outdoors": equipment.outdoors is True,
        "where": sentence(where),
        "what": MEANINGS[role],
        "others": _others(readings, device),
        "live": LIVE,
        "follows": [[f.about, sentence(f.here), sentence(f.why), f.section] for f in follows(plan, device)],
    }


def _others(readings: Readings, device: str) -> str:
    """Devices of the same role, for which the sheet holds as well; where the service ends, if not here."""
    role = readings.graph.roles[device]
    alike = [id for id, each in readings.graph.roles.items() if each == role and id != device]
    if alike:
        return f"The same holds for {_titles(readings, alike)}."
    ends = readings.graph.service_disconnects
    if role in ("emergency disconnect", "meter disconnect") and ends:
        return f"The service ends at {_titles(readings, ends)}."
    return ""


def follows(plan: Plan, device: str) -> Iterator[Follows]:
    """What follows from what a device is: all of it read from the plan, nothing decided here."""
    readings = plan.final
    yield from _bonds(readings)
    yield from _wires(readings, device)
    yield from _electrodes(readings, device)
    yield from _words_on_it(readings, device)
    yield from _surge(readings, device)
    yield from _three_wire_circuits(plan)
    yield from _meter_work(readings)


def _bonds(readings: Readings) -> Iterator[Follows]:
    """Where neutral and ground are joined, and where they are kept apart; places told in the same words together."""
    for required, words in (("bonded", "joined at"), ("isolated", "kept apart at")):
        reasons: dict[tuple[str, str], list[str]] = {}
        for bond in readings.grounding.bonds.values():
            if bond.required == required:
                reasons.setdefault((bond.why, bond.section), []).append(bond.equipment)
        for (why, section), places in reasons.items():
            yield Follows("Neutral and ground", f"{words} {_titles(readings, places)}", why, section)


def _wires(readings: Readings, device: str) -> Iterator[Follows]:
    """How many wires go in and come out; runs told in the same words together."""
    feeding = readings.graph.feeding_run(device)
    runs = [*([feeding.id] if feeding else []), *readings.graph.runs_out.get(device, ())]
    same: dict[tuple[int, str, str], list[str]] = {}
    for run in runs:
        count = readings.grounding.wires.get(run)
        if count is not None:
            same.setdefault((count.needed, count.why, count.section), []).append(run)
    for (needed, why, section), alike in same.items():
        names = ", ".join(readings.installation.runs[run].title for run in alike)
        yield Follows("Wires", f"{needed} wires: {names}", why, section)


def _electrodes(readings: Readings, device: str) -> Iterator[Follows]:
    """Where the conductors from the electrodes of the device's place land."""
    place = readings.graph.site_of(readings.graph.equipment(device).building)
    for system in readings.grounding.systems.values():
        if place != readings.graph.site_of(system.building) or system.lands_at is None:
            continue
        sizes = []
        for conductor in system.conductors:
            electrode = readings.installation.electrodes.get(conductor.electrode)
            if electrode is not None:
                sizes.append(f"{electrode.title}, {conductor.required_copper} copper")
        words = f"its conductors land at {equipment_title(readings, system.lands_at)}"
        yield Follows("Grounding electrodes", f"{words}: {'; '.join(sizes)}" if sizes else words, system.why,
                      system.section)  # fmt: skip


def _words_on_it(readings: Readings, device: str) -> Iterator[Follows]:
    for label in readings.labels:
        if label.equipment == device and not label.id.startswith("directory"):
            yield Follows("Words on it", " / ".join(label.words), label.why, label.section)


def _surge(readings: Readings, device: str) -> Iterator[Follows]:
    """Surge protection, where this edition asks for it at a dwelling's service."""
    edition, name = readings.edition, "surge-protection-service"
    if not edition.has(name) or not readings.graph.dwelling_units_below(device):
        return
    below = [readings.installation.runs[run].to or "" for run in readings.graph.runs_out.get(device, ())]
    kinds = {id: readings.graph.equipment(id).surge_protection for id in (device, *below)}
    fitted = [id for id, kind in kinds.items() if kind in ("type 1", "type 2")]
    here = f"at {_titles(readings, fitted)}" if fitted else "not known yet" if None in kinds.values() else "none yet"
    why = "a surge from the line kills smoke alarms and ground-fault devices without anyone seeing it"
    yield Follows("Surge protection", here, why, edition.section(name))


def _three_wire_circuits(plan: Plan) -> Iterator[Follows]:
    """Ranges and dryers whose frame the neutral grounds: what becomes of each."""
    findings = plan.proposed_findings if plan.proposed else plan.found_findings
    spoken_of = {finding.where for finding in findings}
    renewed: list[Circuit] = []
    at_fault: list[Circuit] = []
    stay: list[Circuit] = []
    for id, circuit in plan.found.installation.circuits.items():
        now = plan.final.installation.circuits.get(id)
        if not circuit.frame_grounded_by_neutral or now is None:
            continue
        if not now.frame_grounded_by_neutral:
            renewed.append(now)
        else:
            (at_fault if f"circuits.{id}" in spoken_of else stay).append(now)
    section = _section(plan, "three-wire-range-dryer")
    apart = "where neutral and ground are apart, the neutral as ground puts voltage on the frame"
    broken = "an old circuit may keep it on the old terms; a broken neutral would put line voltage on the frame"
    for circuits, here, why in (
        (renewed, "renewed with a ground of its own", apart),
        (at_fault, "frame grounded by the neutral, see the findings", apart),
        (stay, "stays, its frame grounded by the neutral", broken),
    ):
        if circuits:
            yield Follows("Three-wire circuits", f"{here}: {_served(plan, circuits)}", why, section)


def _served(plan: Plan, circuits: Iterable[Circuit]) -> str:
    names = (part_words(each, plan.final.installation).removeprefix("Circuit: ") for each in circuits)
    return ", ".join(names)


def _meter_work(readings: Readings) -> Iterator[Follows]:
    by = readings.installation.utility.meter_work_by
    here = f"the seal, the meter and the line side: {known(by)}"
    yield Follows("Who opens the supply", here, "what is ahead of this device stays live until it is opened there", "")


def _section(plan: Plan, requirement: str) -> str:
    """The section of a requirement, "" where the edition does not know it."""
    try:
        return plan.edition.section(requirement)
    except DriploopError:
        return ""


def _titles(readings: Readings, ids: Iterable[str]) -> str:
    *first, last = [equipment_title(readings, id) for id in ids]
    return f"{', '.join(first)} and {last}" if first else last
