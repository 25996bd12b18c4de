"""The walk inside: the panel, bonding, the circuits."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from driploop.closeout.outside import service_device
from driploop.closeout.results import Check, Stop
from driploop.closeout.walk import Walk, measured
from driploop.grounding.results import Jumper
from driploop.installation import Circuit, Equipment, Run

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
        if walk.at_service(each) and not (each.outdoors and each.kind == "disconnect"):
            yield from panel(walk, each, "The panel")


def panel(walk: Walk, each: Equipment, stop: Stop) -> Iterator[Check]:
    """One panel or disconnect: its supply, its neutral, its place, what is inside."""
    r, where, place = walk.r, f"equipment.{each.id}", each.title
    role = r.graph.roles[each.id]
    if role in ("service disconnect", "emergency disconnect", "meter disconnect"):
        if not each.outdoors:
            yield from service_device(walk, each, stop)
    else:
        yield from _fed(walk, each, r.graph.feeding_run(each.id), stop)
    if each.kind == "panel":
        see = "every circuit written down by what it feeds; openings closed; each neutral under its own screw"
        yield from walk.line(stop, "directory-says-what-is-fed", where, place, see, "the directory, and the open panel "
                             "before anything is live")  # fmt: skip
    space = r.edition
    see = (
        f"{measured(each.working_width_in, 'in')} wide, {measured(each.working_depth_in, 'in')} deep, "
        f"{measured(each.working_height_in, 'in')} high; {space.value('working_width_in').text} wide or more"
    )
    yield from walk.line(stop, "working-space-width", where, place, see, "the space before it, with a tape")


def _fed(walk: Walk, each: Equipment, run: Run | None, stop: Stop) -> Iterator[Check]:
    r, where, place = walk.r, f"equipment.{each.id}", each.title
    if run is not None and (count := r.grounding.wires.get(run.id)) is not None:
        see = f"fed by {count.needed} wires"
        if (sizing := r.conductors.runs.get(run.id)) is not None and sizing.line_size is not None:
            see += f": lines {sizing.line_size} {sizing.metal}, neutral {sizing.neutral_size or 'none'}"
            see += f", ground {sizing.egc_size} {sizing.egc_metal or ''}".rstrip() if sizing.egc_size else ""
            see += f", behind {sizing.ocpd_a:g} A" if sizing.ocpd_a else ""
        same_place = r.graph.site_of(each.building) == _site(walk, run)
        rule = "four-wire-downstream" if same_place else "four-wires-to-a-building"
        photograph = "the conductors where they come in, before anything is live"
        yield from walk.line(stop, rule, f"runs.{run.id}", run.title, see, photograph, section=count.section)
    bond = r.grounding.bonds.get(each.id)
    if bond is not None and bond.required == "isolated":
        see = "neutrals on a bar apart from the box, screw and strap taken out; grounds on their own bar"
        photograph = "both bars, and the empty hole of the screw, before anything is live"
        yield from walk.line(stop, "bond-once", where, place, see, photograph, section=bond.section)


def _site(walk: Walk, run: Run) -> str | None:
    source = walk.r.installation.equipment.get(run.from_ or "")
    return walk.r.graph.site_of(source.building) if source is not None else None


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
        yield from walk.line(stop, "breaker-protects-the-old-wire", f"equipment.{each.id}", each.title, see,
                             "the devices with their marks, and the wires behind them before anything is live")  # fmt: skip
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
        yield from walk.line(stop, "three-wire-range-or-dryer", where, place, see, "the cable where it enters the panel")
    free = walk.r.edition.value("afci_extension_ft")
    if circuit.extend_ft is not None and circuit.extend_ft > free.number:
        guard = "arc-fault protection" if circuit.afci else "whether arc-fault protection is asked for"
        see = f"lengthened by {circuit.extend_ft:g} ft: {guard}"
        yield from walk.line(stop, "afci-when-extended", where, place, see, "the breaker with its test button")
    if circuit.multiwire_with is not None:
        see = "opens together with the circuit that shares its neutral"
        yield from walk.line(stop, "multiwire-disconnects-together", where, place, see, "the two-pole device or the tie")
