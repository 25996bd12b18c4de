"""What a replacement awakens in old wiring, and what it may leave as it is."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from driploop.circuits.duties_old_wire import cloth, sixty_degree
from driploop.circuits.duties_receptacles import ground_reaches
from driploop.installation import Circuit
from driploop.rules.awakened import awakened
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, enclosures, holds_overcurrent_devices, named, was_there
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

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
    joints: dict[str, list[Circuit]] = {}
    for found in awakened(r, "four-wires-to-range-or-dryer"):
        circuit = r.installation.circuits[found.where.split(".")[1]]
        if circuit.frame_grounded_by_neutral is not None or circuit.ground in (None, "none"):
            yield found
        else:
            joints.setdefault(circuit.from_ or "", []).append(circuit)
    # A joint that may have been forgotten in an appliance with a ground: one question for all of a panel.
    for panel, circuits in joints.items():
        wrong = f"Whether the frame at their end is still joined to the neutral was not seen: {named(circuits)}."
        mend = f"See the terminal block of each, behind its plate; with a ground the joint goes. {_DEAD_FIRST}"
        yield Found(f"equipment.{panel}", wrong, mend, Verdict.ASK)


@rule(
    "afci-when-extended",
    title="A circuit lengthened to reach the new panel gets arc-fault protection",
    why="Each new splice in old wire is a place where it may glow and arc without tripping a breaker. "
    "A few feet are forgiven; past that the circuit counts as new work.",
    requirement="afci-extension",
)
def afci_when_extended(r: Readings) -> Iterator[Found]:
    free = r.edition.value("afci_extension_ft").text
    unmeasured: dict[str, list[Circuit]] = {}
    for duty in r.duties:
        if duty.id != "arc-fault-protection" or duty.answer == "no" or not r.proposed:
            continue
        circuit = r.installation.circuits[duty.part]
        if circuit.is_new:
            continue
        if circuit.extend_ft is None and duty.assumptions:
            unmeasured.setdefault(circuit.from_ or "", []).append(circuit)
        else:
            sure = duty.sure and circuit.afci is False
            verdict = None if sure else Verdict.ASK
            yield Found(duty.where, duty.reason, duty.do, verdict, section=duty.section, readings=duty.readings)
    for panel, circuits in unmeasured.items():
        wrong = f"How far these circuits are lengthened to reach the panel is not known: {named(circuits)}."
        mend = f"Measure each outside of boxes and enclosures; past {free} it needs arc-fault protection."
        yield Found(f"equipment.{panel}", wrong, mend, Verdict.ASK)


@rule(
    "gfci-outdoors",
    title="New outdoor outlets of a dwelling have ground-fault protection",
    why="Outdoors a person stands on wet earth, the best ground there is. "
    "A metal case that has gone live outside kills at currents no ordinary breaker notices.",
    requirement="gfci-outdoor",
)
def gfci_outdoors(r: Readings) -> Iterator[Found]:
    yield from awakened(r, "ground-fault-outdoors")


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
        return bool(circuit.receptacles) and ground_reaches(circuit) is False

    def not_known(circuit: Circuit) -> bool:
        return bool(circuit.receptacles) and ground_reaches(circuit) is None

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
    for duty in r.duties:
        if duty.id != "knob-and-tube" or r.installation.circuits[duty.part].cable != "knob-and-tube":
            continue
        if duty.sure:
            yield Found(duty.where, duty.reason, duty.do)
        elif duty.assumptions and asks(r):
            yield Found(duty.where, duty.reason, duty.do, Verdict.ASK)
        else:
            mend = "It may stay and be lengthened from where it is, in free air; offer to replace it."
            yield Found(duty.where, "It is knob-and-tube wiring.", mend, Verdict.KNOW)


@rule(
    "aluminum-branch-wiring",
    title="Small aluminum branch wiring ends on devices made for it",
    why="Aluminum creeps out from under a screw and grows a skin that resists current. "
    "The joint glows behind the cover plate while the lamp still burns.",
    requirement="aluminum-branch",
    verdict=Verdict.ASK,
)
def aluminum_branch_wiring(r: Readings) -> Iterator[Found]:
    for duty in r.duties:
        if duty.id == "aluminum-branch-wiring" and duty.sure and asks(r):
            yield Found(duty.where, duty.reason, f"{duty.do} {_DEAD_FIRST}")


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

    def cool_wire(circuit: Circuit) -> bool:
        return sixty_degree(circuit, r.edition) is True

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
        return cloth(circuit) is True

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


# --- shared ----------------------------------------------------------------------------------------------------------


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
