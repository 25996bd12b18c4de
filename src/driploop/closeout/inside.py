"""The walk inside: the panel, bonding, the circuits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from driploop.circuits.duties_arc_fault import in_arc_fault_rooms
from driploop.closeout.enclosures import FIRST, panel
from driploop.closeout.results import Check, Stop
from driploop.closeout.walk import Walk
from driploop.grounding.results import Jumper
from driploop.installation import Circuit

#: Jumpers by the rule that asks for each; those at the service disconnect itself are seen there.
_JUMPERS = {
    "water piping bond": "water-piping-bonded",
    "gas piping bond": "gas-piping-bonded",
    "structural steel bond": "structural-steel-bonded",
    "intersystem bonding conductor": "intersystem-termination-present",
    "supply-side bonding jumper": "knockouts-need-a-jumper",
    "equipotential plane bond": "equipotential-plane",
    "equipment bonding jumper": "old-three-wire-feeder",
}


def panels(walk: Walk) -> Iterator[Check]:
    """Every panel and inside disconnect where the service ends."""
    for each in walk.enclosures("panel", "disconnect"):
        if walk.at_service(each) and not (each.outdoors and walk.r.graph.roles[each.id] in FIRST):
            yield from panel(walk, each, "The panel")


def bonding(walk: Walk) -> Iterator[Check]:
    """Every bond besides the one at the service disconnect, at every place."""
    for jumper in walk.r.grounding.jumpers:
        if jumper.kind in _JUMPERS:
            yield from _jumper(walk, jumper)


def _jumper(walk: Walk, jumper: Jumper) -> Iterator[Check]:
    parts = walk.r.installation
    key = jumper.id.split("/")[1] if "/" in jumper.id else jumper.id
    known = next((kind for kind in ("bonds", "equipment", "runs", "buildings") if key in getattr(parts, kind)), "")
    where = f"{known}.{key}" if known else f"equipment.{jumper.where}"
    lands = parts.equipment.get(jumper.where)
    at = f" at {lands.title}" if lands is not None else ""
    see = f"{jumper.kind} of {jumper.size} {jumper.metal} or larger{at}"
    place = getattr(parts, known)[key].title if known else jumper.where
    yield from walk.line("Bonding", _JUMPERS[jumper.kind], where, place, see, "both ends of it", section=jumper.section)


def circuits(walk: Walk) -> Iterator[Check]:
    """The circuits, panel by panel: every device against its wire, and those that a change of panel awakens."""
    stop: Stop = "The circuits"
    r = walk.r
    for each in walk.enclosures("panel", "disconnect"):
        own = [c for c in r.graph.circuits_of(each.id) if c.purpose != "spare"]
        if not own:
            continue
        see = f"no device larger than its wire: {_devices(own)}"
        where, photograph = f"equipment.{each.id}", "devices with their marks, and the wires before anything is live"
        yield from walk.line(stop, "breaker-protects-the-old-wire", where, each.title, see, photograph)
    for circuit in r.installation.circuits.values():
        yield from _circuit(walk, circuit)


def _devices(circuits: list[Circuit]) -> str:
    """How many circuits of each pair of device and wire: "15 A on 14 AWG copper (6)"."""
    pairs = Counter(
        f"{f'{c.ocpd_a:g} A' if c.ocpd_a else 'a device not read'} on "
        f"{' '.join(part for part in (c.wire_size, c.metal) if part) or 'wire not known'}"
        for c in circuits
    )
    return ", ".join(f"{pair} ({count})" for pair, count in pairs.items())


def _circuit(walk: Walk, circuit: Circuit) -> Iterator[Check]:
    stop: Stop = "The circuits"
    where, place = f"circuits.{circuit.id}", circuit.serves or circuit.title
    if circuit.frame_grounded_by_neutral:
        see = "three wires: the neutral grounds the frame, only where the old terms are kept"
        yield from walk.line(
            stop, "three-wire-range-or-dryer", where, place, see, "the cable where it enters the panel"
        )
    free = walk.r.edition.value("afci_extension_ft")
    longer = circuit.extend_ft is not None and circuit.extend_ft > free.number
    if longer and in_arc_fault_rooms(walk.r.change, circuit):
        guard = "arc-fault protection" if circuit.afci else "whether arc-fault protection is asked for"
        see = f"lengthened by {circuit.extend_ft:g} ft: {guard}"
        yield from walk.line(stop, "afci-when-extended", where, place, see, "the breaker with its test button")
    if circuit.multiwire_with is not None:
        see = "opens together with the circuit that shares its neutral"
        yield from walk.line(
            stop, "multiwire-disconnects-together", where, place, see, "the two-pole device or the tie"
        )
