"""What a replacement awakens in old wiring, and what it may leave as it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from driploop.circuits.wire import wire_class
from driploop.editions import Edition
from driploop.installation import Circuit, Equipment, Load
from driploop.installation.graph import DWELLING_USES
from driploop.installation.sizes import rank
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, enclosures, holds_overcurrent_devices, named, was_there
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_FRAME_LOADS = frozenset({"range", "oven", "cooktop", "dryer"})
_SE = ("SE cable", "SER cable")
_NO_ARC_FAULT = ("bathroom", "garage", "outdoor", "spare")
_ROOMS_WITH_ARC_FAULT = ("general", "small appliance", "laundry")
_HVAC = ("air conditioner", "heat pump")
_OLD = ("rubber and cloth", "R")
_BAD_ROOMS = ("bathroom", "clothes closet", "over steps")
#: What offices say of a panel that is renewed where it hangs.
LIKE_FOR_LIKE = (
    "a renewed panel is new work, and every rule on its place holds",
    "a like-for-like replacement is a repair under the existing-building code, and the old place may stay",
)
_DEAD_FIRST = "Look only where the circuit has been made dead and tested."


@rule(
    "three-wire-range-or-dryer",
    title="A three-wire range or dryer may stay only on the old terms",
    why="The frame of such a range is joined to the neutral, and a broken neutral puts line voltage on the oven door. "
    "The old wiring was allowed only where the neutral is sound, large and starts at the service.",
    requirement="three-wire-range-dryer",
)
def three_wire_range_or_dryer(r: Readings) -> Iterator[Found]:
    for circuit in r.installation.circuits.values():
        where = f"circuits.{circuit.id}"
        if circuit.frame_grounded_by_neutral is None:
            if circuit.ground in (None, "none") and _kinds(r, circuit) & _FRAME_LOADS and asks(r):
                wrong = "Whether the neutral also grounds the frame of this appliance is not known."
                mend = f"Three blades on its plug, no ground wire: then it does. {_DEAD_FIRST}"
                yield Found(where, wrong, mend, Verdict.ASK)
        elif circuit.frame_grounded_by_neutral:
            yield from _three_wire(r, circuit, where)


@rule(
    "afci-when-extended",
    title="A circuit lengthened to reach the new panel gets arc-fault protection",
    why="Each new splice in old wire is a place where it may glow and arc without tripping a breaker. "
    "A few feet are forgiven; past that the circuit counts as new work.",
    requirement="afci-extension",
)
def afci_when_extended(r: Readings) -> Iterator[Found]:
    free, dwellings = r.edition.value("afci_extension_ft"), dwellings_of(r)
    unmeasured: dict[str, list[Circuit]] = {}
    for circuit in r.installation.circuits.values():
        if circuit.afci or circuit.is_new or not may_need_arc_fault(r, circuit, dwellings):
            continue
        if circuit.extend_ft is None:
            if _moves(r, circuit):
                unmeasured.setdefault(circuit.from_ or "", []).append(circuit)
        elif circuit.extend_ft > free.number and r.proposed:
            wrong = f"It is lengthened by {circuit.extend_ft:g} ft; {free.text} are free."
            mend = "Fit an arc-fault breaker, or an arc-fault outlet at the first receptacle, or move the panel less."
            sure = circuit.purpose in _ROOMS_WITH_ARC_FAULT and circuit.afci is False
            yield Found(f"circuits.{circuit.id}", wrong, mend, None if sure else Verdict.ASK)
    for panel, circuits in unmeasured.items():
        wrong = f"How far these circuits are lengthened to reach the panel is not known: {named(circuits)}."
        mend = f"Measure each outside of boxes and enclosures; past {free.text} it needs arc-fault protection."
        yield Found(f"equipment.{panel}", wrong, mend, Verdict.ASK)


@rule(
    "gfci-outdoors",
    title="New outdoor outlets of a dwelling have ground-fault protection",
    why="Outdoors a person stands on wet earth, the best ground there is. "
    "A metal case that has gone live outside kills at currents no ordinary breaker notices.",
    requirement="gfci-outdoor",
)
def gfci_outdoors(r: Readings) -> Iterator[Found]:
    dwellings = dwellings_of(r)
    for load in r.installation.loads.values():
        circuit = r.installation.circuits.get(load.circuit or "")
        outdoor = load.kind in _HVAC or (circuit is not None and circuit.purpose == "outdoor")
        new = load.is_new or (circuit is not None and circuit.is_new)
        if outdoor and new and r.graph.building_of(load) in dwellings and not (circuit and circuit.gfci):
            yield from _outdoor_outlet(r, load, circuit)


@rule(
    "ungrounded-receptacles",
    title="Receptacles without a ground stay two-wire or get ground-fault protection",
    why="A three-hole receptacle with nothing behind the third hole promises a ground that is not there. "
    "The case of a faulty washer then stays live until somebody touches it and the sink.",
    requirement="ungrounded-receptacles",
    verdict=Verdict.KNOW,
)
def ungrounded_receptacles(r: Readings) -> Iterator[Found]:
    def none_there(circuit: Circuit) -> bool:
        return bool(circuit.receptacles) and circuit.ground in ("none", "sheath that is not a ground")

    def not_known(circuit: Circuit) -> bool:
        return bool(circuit.receptacles) and circuit.ground is None and not circuit.is_new

    mend = "When replaced: two-hole type, or ground-fault protection with its label; or run a ground to them."
    yield from _by_panel(r, none_there, "No ground reaches the receptacles of", mend)
    if asks(r):
        look = f"Look into one box of each. {_DEAD_FIRST} {mend}"
        yield from _by_panel(r, not_known, "It is not known whether a ground reaches", look, Verdict.ASK)


@rule(
    "knob-and-tube",
    title="Knob-and-tube wiring stays in free air",
    why="Knob-and-tube gets rid of its heat to the air round it. "
    "Insulation blown over it keeps the heat in, the rubber turns to crumbs, and the wire lies bare against wood.",
    requirement="knob-and-tube",
)
def knob_and_tube(r: Readings) -> Iterator[Found]:
    for circuit in r.installation.circuits.values():
        if circuit.cable != "knob-and-tube":
            continue
        where = f"circuits.{circuit.id}"
        if circuit.is_new or circuit.in_thermal_insulation:
            wrong = "Knob-and-tube wiring runs through thermal insulation."
            if circuit.is_new:
                wrong = "Knob-and-tube wiring is planned as new work."
            yield Found(where, wrong, "Replace that part by cable.")
        elif circuit.in_thermal_insulation is None and asks(r):
            mend = "Look into attic and walls where they are open; it may not lie in insulation."
            yield Found(where, "Whether this knob-and-tube lies in insulation is not known.", mend, Verdict.ASK)
        else:
            mend = "It may stay and be lengthened from where it is, in free air; offer to replace it."
            yield Found(where, "It is knob-and-tube wiring.", mend, Verdict.KNOW)


@rule(
    "aluminum-branch-wiring",
    title="Small aluminum branch wiring ends on devices made for it",
    why="Aluminum creeps out from under a screw and grows a skin that resists current. "
    "The joint glows behind the cover plate while the lamp still burns.",
    requirement="aluminum-branch",
    verdict=Verdict.ASK,
)
def aluminum_branch_wiring(r: Readings) -> Iterator[Found]:
    most = r.edition.value("aluminum_branch_to_a")
    for circuit in r.installation.circuits.values():
        small = circuit.ocpd_a is None or circuit.ocpd_a <= most.number
        if circuit.metal == "aluminum" and small and asks(r):
            mend = f"See that devices and splices to {most.text} are marked for aluminum. {_DEAD_FIRST}"
            yield Found(f"circuits.{circuit.id}", "It is wired in aluminum.", mend)


@rule(
    "sixty-degree-wire",
    title="Old wire is not given the warmer column of new terminals",
    why="A new breaker is marked for wire that may run warm, and the old wire in the wall is not that wire. "
    "Loaded by the warmer column its insulation bakes until it cracks.",
    requirement="sixty-degree-wire",
    verdict=Verdict.KNOW,
)
def sixty_degree_wire(r: Readings) -> Iterator[Found]:
    cool = r.edition.value("small_terminal_temperature_c")
    limited = {str(row["size"]) for row in r.edition.table("small_conductors").rows}

    def cool_wire(circuit: Circuit) -> bool:
        # Smaller sizes are held lower than any column by the limits of small conductors.
        if circuit.wire_size is None or circuit.wire_size in limited or circuit.is_new:
            return False
        nm = circuit.cable in ("NM cable", "NMC cable", "UF cable")
        return nm or (circuit.insulation is not None and wire_class(circuit) <= cool.number)

    mend = f"Choose their breakers by the {cool.text} column, whatever the new terminals are marked."
    yield from _by_panel(r, cool_wire, f"The wire of these circuits is of the {cool.text} class:", mend)


@rule(
    "old-cloth-insulation",
    title="Cloth and rubber insulation is bent as little as possible",
    why="Old rubber looks sound until it is moved, and then falls off the wire inside the new panel. "
    "Bare lines then lie against each other and the metal.",
    requirement="brittle-insulation",
    verdict=Verdict.KNOW,
)
def old_cloth_insulation(r: Readings) -> Iterator[Found]:
    def old(circuit: Circuit) -> bool:
        return circuit.insulation in _OLD

    mend = "Where it cracks when touched: splice outside the panel in a box, sleeve it, or replace it."
    panels = {id for id, each in r.installation.equipment.items() if each.is_new}
    yield from _by_panel(
        r, lambda c: old(c) and c.from_ not in panels, "Cloth or rubber insulation covers the wire of", mend
    )
    look = f"Try a piece of it before the panel is chosen. {_DEAD_FIRST} {mend}"
    yield from _by_panel(
        r, lambda c: old(c) and c.from_ in panels, "Cloth or rubber insulation must reach the new panel:", look,
        Verdict.ASK,
    )  # fmt: skip


@rule(
    "damaged-service-cable",
    title="Damaged service conductors do not stay",
    why="A frayed jacket lets water run down inside the cable to the meter and the panel. "
    "Behind the fray lie conductors with nothing but the utility's fuse ahead of them.",
    requirement="damaged-conductors",
)
def damaged_service_cable(r: Readings) -> Iterator[Found]:
    for run in r.installation.runs.values():
        if run.owner == "utility" or run.is_new or not r.graph.is_service_run(run):
            continue
        where = f"runs.{run.id}"
        if run.damaged:
            yield Found(where, "Its conductors or their covering are damaged.", "Replace it; do not tape it over.")
        elif run.damaged is None and asks(r):
            mend = "Look along it from the ground with a glass for frayed, swollen or burned covering."
            yield Found(where, "Whether these service conductors are damaged is not known.", mend, Verdict.ASK)


@rule(
    "panel-leaves-the-bad-place",
    title="A panel that hangs where none may hang is not renewed there",
    why="A replaced panel is new work to most inspectors, and a bathroom or a closet is as dangerous as it was. "
    "Found out at the final inspection, the job is done twice.",
    requirement="existing-location",
)
def panel_leaves_the_bad_place(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        before = was_there(r, each)
        stays = each.is_new and before is not None and before.room == each.room
        if stays and each.room in _BAD_ROOMS and holds_overcurrent_devices(each):
            mend = "Plan a move, or get the authority's written leave before the quote."
            wrong = f"It is renewed in a bad place: {each.room}."
            yield Found(f"equipment.{each.id}", wrong, mend, readings=LIKE_FOR_LIKE)


# --- three-wire ranges and dryers ------------------------------------------------------------------------------------


def _three_wire(r: Readings, circuit: Circuit, where: str) -> Iterator[Found]:
    if circuit.is_new:
        yield Found(where, "A new circuit grounds the frame by the neutral.", "Run four wires.")
        return
    if _neutral_is_small(circuit, r.edition):
        wrong = f"Its neutral of {circuit.wire_size} {circuit.metal} is too small to ground a frame."
        yield Found(where, wrong, "Run four wires.")
        return
    if circuit.neutral == "insulated" and circuit.ground in ("wire", "bare wire", "raceway", "armor"):
        wrong = "A ground reaches the appliance, and its frame is still joined to the neutral."
        yield Found(where, wrong, "Take the joint out, and use the ground with a four-wire cord or connection.")
        return
    if circuit.neutral == "insulated":
        return
    if circuit.neutral is None or circuit.cable is None:
        if asks(r):
            wrong = "Whether the neutral of this three-wire circuit is insulated, and in what cable, is not known."
            yield Found(where, wrong, f"See the cable where it enters the panel. {_DEAD_FIRST}", Verdict.ASK)
    elif circuit.neutral == "none" or circuit.cable not in _SE:
        wrong = f"The frame is grounded by the bare wire of {circuit.cable}."
        yield Found(where, wrong, "Run four wires; only service cable was ever allowed so.")
    elif r.graph.roles.get(circuit.from_ or "") != "service disconnect":
        mend = "Run four wires, or start it from the service equipment."
        if r.edition.has("three-wire-bare-neutral-covered"):
            mend = "Cover or sleeve the bare neutral inside the panel, or run four wires."
        yield Found(where, "Its bare neutral starts at a panel that is not the service equipment.", mend)


def _neutral_is_small(circuit: Circuit, edition: Edition) -> bool:
    if circuit.wire_size is None or circuit.metal is None:
        return False
    least = edition.value("three_wire_neutral_copper" if circuit.metal == "copper" else "three_wire_neutral_aluminum")
    return rank(circuit.wire_size) < rank(str(least.value))


# --- shared ----------------------------------------------------------------------------------------------------------


def _kinds(r: Readings, circuit: Circuit) -> set[str | None]:
    return {r.installation.loads[id].kind for id in r.graph.loads_on.get(circuit.id, ())}


def dwellings_of(r: Readings) -> set[str | None]:
    """Ids of the buildings and units that people live in."""
    return {id for id, building in r.installation.buildings.items() if building.use in DWELLING_USES}


def may_need_arc_fault(r: Readings, circuit: Circuit, dwellings: set[str | None]) -> bool:
    """Whether a circuit may serve rooms that ask for arc-fault protection when it is lengthened."""
    panel = r.installation.equipment.get(circuit.from_ or "")
    building = circuit.building or (panel.building if panel is not None else None)
    if building not in dwellings or circuit.purpose in _NO_ARC_FAULT:
        return False
    return circuit.poles in (None, 1)


def _moves(r: Readings, circuit: Circuit) -> bool:
    """Whether an old circuit lands in another enclosure than before, or in one that was itself moved."""
    before = r.found.circuits.get(circuit.id) if r.found is not None else None
    panel = r.installation.equipment.get(circuit.from_ or "")
    if before is None or panel is None or not panel.is_new:
        return False
    old = r.found.equipment.get(circuit.from_ or "") if r.found is not None else None
    return before.from_ != circuit.from_ or old is None or _place(old) != _place(panel)


def _place(equipment: Equipment) -> tuple[object, ...]:
    return equipment.building, equipment.outdoors, equipment.room, equipment.location


def _outdoor_outlet(r: Readings, load: Load, circuit: Circuit | None) -> Iterator[Found]:
    device_a = (circuit.ocpd_a if circuit is not None else None) or load.mocp_a
    if device_a is not None and device_a > r.edition.number("gfci_outdoor_to_a"):
        return
    where, mend = f"loads.{load.id}", "Feed its outlet through ground-fault protection."
    if load.kind not in _HVAC:
        verdict = Verdict.ASK if circuit is None or circuit.gfci is None else None
        yield Found(where, "This new outdoor outlet has no ground-fault protection stated.", mend, verdict)
        return
    permit, wrong = r.job.town.permit_date, "Its outdoor unit is hard-wired without ground-fault protection."
    if not r.edition.has("gfci_hvac_exempt_until"):
        yield Found(where, wrong, f"{mend} {r.edition.entry('gfci_hvac_exempt_until').note}.", Verdict.ASK)
    elif permit is None:
        ends = r.edition.value("gfci_hvac_exempt_until").value
        yield Found(where, wrong, f"Note the permit date: listed equipment was excepted until {ends}.", Verdict.ASK)
    elif permit >= str(r.edition.value("gfci_hvac_exempt_until").value):
        yield Found(where, wrong, f"{mend} The exception for listed equipment has ended; many towns amended it.")


def _by_panel(
    r: Readings, wanted: Callable[[Circuit], bool], wrong: str, mend: str, verdict: Verdict | None = None
) -> Iterator[Found]:
    """One finding a panel, naming all its circuits that ``wanted`` picks."""
    panels: dict[str, list[Circuit]] = {}
    for circuit in r.installation.circuits.values():
        if wanted(circuit):
            panels.setdefault(circuit.from_ or "", []).append(circuit)
    for panel, circuits in panels.items():
        yield Found(f"equipment.{panel}", f"{wrong} {named(circuits)}.", mend, verdict)
