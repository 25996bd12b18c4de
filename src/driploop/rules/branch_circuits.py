"""Branch circuits: poles and legs, standard ratings, ranges, receptacles that are new."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.duties_ground_fault import ground_fault_place
from driploop.circuits.duties_multiwire import legs_of, multiwire_pairs
from driploop.circuits.protect import weigh
from driploop.circuits.reading import system_volts
from driploop.circuits.wire import largest_lawful_device
from driploop.conductors import next_standard_rating
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit, Load
from driploop.loads.nameplate import MOTOR_KINDS
from driploop.rules.awakened import awakened
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, named
from driploop.rules.looking import weighed
from driploop.rules.readings import Readings
from driploop.worksheet import Cited, Verdict

_LINE_TO_LINE = (208, 230, 240)
#: Kinds that are no single appliance, or whose device follows rules of its own.
_NOT_ONE = frozenset({"lighting and receptacles", "receptacles", "lighting", "generator", "welder", None})


@rule(
    "multiwire-on-opposite-legs",
    title="Two circuits that share a neutral take opposite lines",
    why="On opposite lines the neutral carries only the difference of the two. "
    "On the same line it carries the sum, with no breaker in it, and burns in the wall.",
    requirement="multiwire-disconnect",
)
def multiwire_on_opposite_legs(r: Readings) -> Iterator[Found]:
    for circuit, other in multiwire_pairs(r.graph):
        where, legs = f"circuits.{circuit.id}.leg", legs_of(circuit, other)
        if legs == "same":
            wrong = f"It shares its neutral with {other.serves or other.title}, on the same line."
            yield Found(where, wrong, "With the panel dead, move one of the two to the other line.")
        elif legs is None and asks(r) and not circuit.is_new:
            wrong = f"Whether it and {other.serves or other.title} take opposite lines is not known."
            mend = "A two-pole device for the pair settles it; else have the voltage between the two measured by a "
            yield Found(where, wrong, f"{mend}qualified person.", Verdict.ASK)


@rule(
    "two-poles-for-line-to-line",
    title="A load between the lines is opened in both",
    why="With one line opened the heater is cold, and every wire in it is still live. "
    "The person who reaches in believes the breaker.",
    requirement="handle-ties",
)
def two_poles_for_line_to_line(r: Readings) -> Iterator[Found]:
    for circuit in r.installation.circuits.values():
        volts = {load.volts for load in _loads(r, circuit)} & set(_LINE_TO_LINE)
        if circuit.poles == 1 and volts:
            wrong = f"A one-pole device feeds a load of {max(v for v in volts if v)} V."
            yield Found(f"circuits.{circuit.id}.poles", wrong, "Put in a two-pole device, or mend the survey.")
        elif circuit.poles is None and volts and asks(r):
            wrong = f"It feeds a load of {max(v for v in volts if v)} V; how many poles its device has is not known."
            mend = "See whether one handle opens both lines, or two fuses sit under one pull."
            yield Found(f"circuits.{circuit.id}.poles", wrong, mend, Verdict.ASK)


@rule(
    "standard-device-rating",
    title="A fuse or breaker has a rating that is made",
    why="A rating that no maker makes was misread, and the wire is chosen by it. "
    "One more look at the label costs less than the wrong wire.",
    requirement="standard-ratings",
    verdict=Verdict.ASK,
)
def standard_device_rating(r: Readings) -> Iterator[Found]:
    rows = r.edition.table("standard_ratings").rows
    made = {row["rating_a"] for row in rows}
    breakers = {row["rating_a"] for row in rows if row["applies_to"] != "fuse only"}
    if not asks(r):
        return
    for kind, parts in (("circuits", r.installation.circuits), ("runs", r.installation.runs)):
        for part in parts.values():
            rating = part.ocpd_a
            if rating is not None and rating not in (breakers if part.ocpd == "breaker" else made) and not part.is_new:
                wrong = f"{rating:g} A is no standard rating of a fuse or breaker."
                yield Found(
                    f"{kind}.{part.id}.ocpd_a", wrong, "Read the label again; an old device may be of its own kind."
                )


@rule(
    "range-circuit-large-enough",
    title="The circuit of a range is large enough for a range",
    why="On a holiday every burner is on for hours. A circuit made for less trips, and somebody puts in a larger fuse.",
    requirement="range_circuit_minimum",
)
def range_circuit_large_enough(r: Readings) -> Iterator[Found]:
    least, from_kw = r.edition.value("range_circuit_minimum"), r.edition.number("range_circuit_threshold_kw")
    for circuit in r.installation.circuits.values():
        ranges = [
            load
            for load in _loads(r, circuit)
            if load.kind == "range" and (load.kw or (load.va or 0) / 1000) >= from_kw
        ]
        if ranges and circuit.ocpd_a is not None and circuit.ocpd_a < least.number:
            wrong = f"A {circuit.ocpd_a:g} A device feeds {ranges[0].title}; {least.text} is the least for its size."
            verdict = Verdict.MEND if circuit.is_new else Verdict.KNOW
            mend = "Run a larger circuit when it is renewed; a larger device on the old wire is no answer."
            yield Found(f"circuits.{circuit.id}.ocpd_a", wrong, mend, verdict)


@rule(
    "device-carries-the-appliance",
    title="The device ahead of an appliance carries what its nameplate takes",
    why="A breaker below its appliance trips at the worst hour until somebody puts in a larger one, and then nothing "
    "protects the old wire any more.",
    requirement="appliance-circuit-rating",
)
def device_carries_the_appliance(r: Readings) -> Iterator[Found]:
    dropped = r.edition.number("ampere_fraction_dropped_below")
    for circuit in r.installation.circuits.values():
        needed = needed_device(r, circuit) if circuit.ocpd_a is not None else None
        if circuit.ocpd_a is None or needed is None or needed.number - circuit.ocpd_a < dropped:
            continue
        what = circuit.serves or circuit.title
        wrong = f"A {circuit.ocpd_a:g} A device feeds {what}, which takes one that carries {needed.number:.1f} A."
        least = standard_device(needed.number, edition=r.edition)
        size = f"of {least:g} A " if least is not None else ""
        mend = f"A circuit {size}with wire to match; never a larger device on a wire that does not bear it."
        yield Found(f"circuits.{circuit.id}.ocpd_a", wrong, mend, _too_small(r, circuit, needed.number))


def standard_device(needed_a: float, *, edition: Edition) -> float | None:
    """The smallest standard device that carries this much; None above the largest. [A]"""
    try:
        return next_standard_rating(needed_a, edition=edition)
    except NotInTable:
        return None


def needed_device(r: Readings, circuit: Circuit) -> Cited | None:
    """What the device of a circuit must carry for the appliance on it that takes most. [A]

    None for motors and groups of outlets, which follow rules of their own, and where no nameplate is known.
    """
    loads = _loads(r, circuit)
    apart = [load for load in loads if _stands_apart(load)]
    if len(apart) == len(loads) == 1:
        needs = [weighed(r, circuit).need.table_a]
    else:
        panel, volts = r.installation.equipment.get(circuit.from_ or ""), system_volts(r.installation)
        needs = [weigh(circuit, [e], panel, system_volts=volts, edition=r.edition)[1].need.table_a for e in apart]
    needed_a = max(needs, default=0.0)
    return Cited(needed_a, "A", r.edition.section("appliance-circuit-rating")) if needed_a else None


def _stands_apart(load: Load) -> bool:
    """Whether it is one appliance by the rules of appliances, and no motor."""
    return load.mca_a is not None or (load.hp is None and load.kind not in MOTOR_KINDS and load.kind not in _NOT_ONE)


def _too_small(r: Readings, circuit: Circuit, needed_a: float) -> Verdict:
    """New work must be right, a device chosen anew too; what was found so is told. While marks on the old wire could
    still let it bear the larger device, it is asked."""
    before = r.found.circuits.get(circuit.id) if r.found is not None else None
    panel = r.installation.equipment.get(circuit.from_ or "")
    chosen = before is not None and (before.ocpd_a != circuit.ocpd_a or before.ocpd != circuit.ocpd)
    if not circuit.is_new and not chosen and not (panel is not None and panel.is_new):
        return Verdict.KNOW
    if circuit.is_new or circuit.wire_size is None:
        return Verdict.MEND
    largest = largest_lawful_device(circuit, panel, hopeful=True, edition=r.edition)
    return Verdict.ASK if largest is not None and largest >= needed_a else Verdict.MEND


@rule(
    "ground-fault-protection-of-new-receptacles",
    title="New receptacles near water or earth have ground-fault protection",
    why="In a bathroom or a garage a person is joined to the earth by pipes or by a damp floor. "
    "A fault that no fuse notices stops a heart in a second.",
    requirement="gfci-receptacles",
)
def ground_fault_protection_of_new_receptacles(r: Readings) -> Iterator[Found]:
    yield from awakened(r, "ground-fault-receptacles", only_new=True)
    without: dict[str, list[Circuit]] = {}
    for circuit in r.installation.circuits.values():
        there = ground_fault_place(r.change, circuit) and circuit.receptacles and circuit.gfci is False
        if there and not circuit.is_new:
            without.setdefault(circuit.from_ or "", []).append(circuit)
    for source, circuits in without.items():
        where = f"equipment.{source}" if source else f"circuits.{min(circuit.id for circuit in circuits)}"
        wrong = f"Receptacles near water or earth have no ground-fault protection: {named(circuits)}."
        mend = "When one is replaced: fit a ground-fault breaker, or such receptacles."
        yield Found(where, wrong, mend, Verdict.KNOW)


@rule(
    "wire-large-enough-for-its-load",
    title="The wire of a circuit is large enough for what hangs on it",
    why="A load that asks more than its wire may have ahead of it opens the right breaker again and again. "
    "Then somebody puts in a larger one, and the wire in the wall becomes the fuse.",
    requirement="branch-circuit-load",
    verdict=Verdict.KNOW,
)
def wire_large_enough_for_its_load(r: Readings) -> Iterator[Found]:
    for circuit in r.installation.circuits.values():
        loads = _loads(r, circuit)
        if not loads or circuit.wire_size is None or any(load.kind == "range" or load.hp for load in loads):
            continue  # ranges and motors have rules of their own
        panel = r.installation.equipment.get(circuit.from_ or "")
        decision = weighed(r, circuit)
        if decision.why and decision.certain and decision.safe is not None and decision.need.table_a:
            landed = circuit.is_new or (panel is not None and panel.is_new)
            wrong = f"{decision.why[:1].upper()}{decision.why[1:]}."
            mend = "Run new wire, or take part of its load to another circuit; a larger device is no answer."
            yield Found(f"circuits.{circuit.id}.wire_size", wrong, mend, Verdict.MEND if landed else None)


def _loads(r: Readings, circuit: Circuit) -> list[Load]:
    return [r.installation.loads[id] for id in r.graph.loads_on.get(circuit.id, ())]
