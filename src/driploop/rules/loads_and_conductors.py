"""Whether lines, neutrals and raceways serve the calculated load, and what that load rests on."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.conductors import RunSizing, insulation_class, next_standard_up
from driploop.editions import NotInTable
from driploop.installation.model import Circuit, Run
from driploop.installation.sizes import rank
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import gravity
from driploop.rules.grounding_wires import least_service_neutral
from driploop.rules.looking import answer, asks, feeders, sentence, unless_held
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_SE = frozenset({"SE cable", "SER cable"})


def _customers(r: Readings) -> Iterator[tuple[Run, RunSizing]]:
    """The customer's runs with their sizing."""
    for run in r.installation.runs.values():
        sizing = r.conductors.runs[run.id]
        if sizing.kind != "utility":
            yield run, sizing


def _gravity(sizing: RunSizing) -> Verdict | None:
    """A fault that an unknown could still answer away is a question."""
    return Verdict.ASK if sizing.adequate is None else None


@rule(
    "calculated-load-fits-feeder",
    title="The device of a feeder is rated for its load",
    why="A device that carries more than its rating runs hot and trips at the worst hour. Somebody then puts in a "
    "larger one that the wire does not bear.",
    requirement="load-continuous",
)
def calculated_load_fits_feeder(r: Readings) -> Iterator[Found]:
    dropped = r.edition.number("ampere_fraction_dropped_below")
    for run in feeders(r):
        sizing = r.conductors.runs[run.id]
        where = f"runs.{run.id}.ocpd_a"
        unread = any(assumption.where == where for assumption in sizing.assumptions)
        if sizing.load_a is not None and sizing.ocpd_a is not None and sizing.load_a - sizing.ocpd_a >= dropped:
            wrong = f"The calculated load of {sizing.load_a:.0f} A is more than the {sizing.ocpd_a:g} A device."
            mend = "Move load off this feeder, or renew feeder and device together."
            held = unless_held(r, run.to or "", sizing.ocpd_a)
            yield Found(where, wrong, mend, Verdict.ASK if unread else held)
        elif unread and not run.is_new and asks(r, run):
            mend = "Read the fuse or breaker ahead of it from outside."
            yield Found(where, "The device ahead of this feeder is not known.", mend, Verdict.ASK)


@rule(
    "conductor-carries-the-load",
    title="Line conductors carry the calculated load",
    why="An overloaded wire bakes its insulation for years before it fails. The fire starts inside a wall.",
    requirement="load-continuous",
)
def conductor_carries_the_load(r: Readings) -> Iterator[Found]:
    dropped = r.edition.number("ampere_fraction_dropped_below")
    for run, sizing in _customers(r):
        where = f"runs.{run.id}.line_size"
        if not sizing.kept:
            if sizing.adequate is False:
                yield Found(where, sentence("; ".join(sizing.faults)), "Choose another way to build this run.")
        elif sizing.ampacity_a is None:
            if asks(r, run):
                mend = "Read the marking, or gauge the wire with the supply off and proved dead."
                yield Found(where, "The size of the line conductors is not known.", mend, Verdict.ASK)
        elif sizing.load_a is not None and sizing.load_a - sizing.ampacity_a >= dropped:
            carries = f"Lines of {run.line_size} carry {sizing.ampacity_a:.0f} A"
            wrong = f"{carries}; the calculated load is {sizing.load_a:.0f} A."
            held = unless_held(r, run.to or "", sizing.ampacity_a)
            yield Found(where, wrong, "Move load off this run, or replace it.", _gravity(sizing) or held)


@rule(
    "service-wiring-method",
    title="Service conductors run in a method made for them",
    why="Nothing opens a fault in service conductors but the utility's fuse. House cable and short-lived covers burn "
    "through long before it does.",
    requirement="service-wiring-methods",
)
def service_wiring_method(r: Readings) -> Iterator[Found]:
    not_listed = str(r.edition.value("service_methods_not_listed").value).split(", ")
    most = r.edition.value("service_flexible_most_ft")
    for run, sizing in _customers(r):
        if sizing.kind != "service" or run.method is None:
            continue
        where = f"runs.{run.id}.method"
        if run.method in not_listed:
            wrong = f"{run.method} is not among the methods for service conductors."
            yield Found(where, wrong, "Run them in rigid raceway or service cable.", gravity(run))
        elif run.method in ("FMC", "LFMC") and run.length_ft is not None and run.length_ft > most.number:
            wrong = f"{run.length_ft:g} ft of {run.method} hold service conductors; {most.text} is the most."
            yield Found(where, wrong, "Use rigid raceway but for a short end.", gravity(run))


@rule(
    "dwelling-table-only-for-whole-dwelling",
    title="The smaller sizes of a house are only for what carries the whole house",
    why="The dwelling table reckons on loads of one home that take turns. A barn or a part of a house has no such "
    "relief, and its wire runs too hot.",
    requirement="dwelling-table-scope",
)
def dwelling_table_only_for_whole_dwelling(r: Readings) -> Iterator[Found]:
    for run, sizing in _customers(r):
        if stands_on_the_dwelling_table(r, run, sizing) and sizing.ampacity_a is not None:
            wrong = (
                f"{run.line_size} {run.metal} behind {sizing.ocpd_a:g} A is the size of a whole house, "
                f"and this run does not carry one whole dwelling and nothing else."
            )
            mend = f"Put in a smaller device, {_next_up(r, sizing.ampacity_a):g} A at most, or larger wire."
            home = any(r.graph.dwelling_units_below(run.to or ""))
            readings = PART_OF_A_DWELLING if home and sizing.kind == "feeder" else ()
            yield Found(f"runs.{run.id}.line_size", wrong, mend, _gravity(sizing), readings=readings)


#: A load taken off ahead of the panel, as cooling from the outdoor main: what is left is not the whole dwelling.
PART_OF_A_DWELLING = (
    "the table is for the conductor that carries the whole dwelling, so a feeder beside another load may not use it",
    "a feeder of a dwelling need never be larger than the service conductors, so the table's size serves",
)


def stands_on_the_dwelling_table(r: Readings, run: Run, sizing: RunSizing) -> bool:
    """Whether a run that carries no whole dwelling is sized as if it did; its device is then too large for it."""
    if not sizing.kept or sizing.ocpd_a is None or sizing.ampacity_a is None or run.metal is None:
        return False
    if r.graph.whole_dwelling(run.to or "") is not None or sizing.ampacity_a >= sizing.ocpd_a:
        return False
    return _table_size(r, sizing) == run.line_size and _next_up(r, sizing.ampacity_a) < sizing.ocpd_a


def _table_size(r: Readings, sizing: RunSizing) -> str | None:
    try:
        return str(
            r.edition.table("dwelling_service_conductors").cell(sizing.metal or "", rating_a=sizing.ocpd_a or 0).value
        )
    except NotInTable:
        return None


def _next_up(r: Readings, ampacity_a: float) -> float:
    return next_standard_up(ampacity_a, edition=r.edition).number


@rule(
    "old-conductor-reused-with-old-insulation",
    title="Old wire is used as the old wire it is",
    why="Old rubber and early plastic bear less heat than wire of today. A new breaker sized by a new table cooks "
    "them.",
    requirement="sixty-degree-wire",
)
def old_conductor_reused_with_old_insulation(r: Readings) -> Iterator[Found]:
    lowest = insulation_class(None, wet=True)
    for run, sizing in _customers(r):
        if not sizing.kept:
            continue
        where = f"runs.{run.id}"
        if run.damaged and sizing.kind == "feeder":
            yield Found(f"{where}.damaged", "Its covering is damaged.", "Replace the run; do not reuse it.")
        if not asks(r, run) or run.insulation == "bare":
            continue
        if run.insulation is None:
            mend = f"Read the marking. Until then it is used as {lowest} C wire."
            yield Found(f"{where}.insulation", "The insulation of this run is not known.", mend, Verdict.ASK)
        elif insulation_class(run.insulation, wet=False) <= lowest:
            wrong = f"{run.insulation} is {lowest} C wire."
            yield Found(f"{where}.insulation", wrong, "It is figured so; never by the higher columns.", Verdict.KNOW)


@rule(
    "raceway-fill",
    title="A raceway is not overfull",
    why="Wires forced into a full pipe are skinned on the way in and cannot shed their heat. The fault shows years "
    "later.",
    requirement="raceway-fill",
)
def raceway_fill(r: Readings) -> Iterator[Found]:
    for run, sizing in _customers(r):
        raceway = sizing.raceway
        if raceway is not None and raceway.fill_percent > raceway.allowed_percent:
            wrong = (
                f"{raceway.raceway} {raceway.trade_size} in is {raceway.fill_percent:.0f} percent full; "
                f"{raceway.allowed_percent:g} is allowed."
            )
            sure = run.is_new or (run.insulation is not None and run.neutral_size is not None)
            yield Found(f"runs.{run.id}.trade_size", wrong, "Use a larger raceway.", None if sure else Verdict.ASK)


@rule(
    "se-cable-in-insulation",
    title="Small SE cable in thermal insulation is held to the lower column",
    why="Blown-in insulation keeps a cable's own heat in. What ran warm in free air runs hot there.",
    requirement="se-cable-in-insulation",
)
def se_cable_in_insulation(r: Readings) -> Iterator[Found]:
    largest = str(r.edition.value("se_in_insulation_largest").value)
    for circuit in r.installation.circuits.values():
        if circuit.cable not in _SE or circuit.wire_size is None or rank(circuit.wire_size) > rank(largest):
            continue
        where = f"circuits.{circuit.id}.in_thermal_insulation"
        if circuit.in_thermal_insulation is None:
            if asks(r, circuit):
                wrong = "Whether this SE cable lies in thermal insulation is not known."
                yield Found(where, wrong, "Look along its way.", Verdict.ASK)
        elif circuit.in_thermal_insulation:
            yield from _held_lower(r, circuit, where)


def _held_lower(r: Readings, circuit: Circuit, where: str) -> Iterator[Found]:
    column = f"{circuit.metal or 'aluminum'}_{r.edition.number('se_in_insulation_temperature_c'):.0f}c"
    try:
        carries_a = r.edition.table("conductor_ampacity").cell(column, size=circuit.wire_size or "").number
    except NotInTable:
        return
    if circuit.ocpd_a is not None and circuit.ocpd_a > _next_up(r, carries_a):
        wrong = (
            f"{circuit.wire_size} in thermal insulation carries {carries_a:g} A; its device is {circuit.ocpd_a:g} A."
        )
        sure = circuit.metal is not None
        yield Found(where, wrong, "Put in a smaller device, or larger wire.", None if sure else Verdict.ASK)


@rule(
    "next-size-up",
    title="A device one standard size above the wire's ampacity",
    why="The code lets the device be the next size made, not the load. Whoever adds load later must know that the "
    "wire is already at its end.",
    requirement="next-size-up",
    verdict=Verdict.KNOW,
)
def next_size_up(r: Readings) -> Iterator[Found]:
    limit = r.edition.number("next_size_up_to")
    for run, sizing in _customers(r):
        ampacity_a, device_a = sizing.ampacity_a, sizing.ocpd_a
        if not sizing.kept or ampacity_a is None or device_a is None or not ampacity_a < device_a <= limit:
            continue
        carried = sizing.load_a is None or sizing.load_a <= ampacity_a
        if carried and device_a <= _next_up(r, ampacity_a):
            wrong = f"The wire carries {ampacity_a:.0f} A behind a device of {device_a:g} A, the next standard size."
            yield Found(f"runs.{run.id}.ocpd_a", wrong, f"Lawful, as long as the load stays under {ampacity_a:.0f} A.")


@rule(
    "neutral-carries-its-load",
    title="The neutral carries the load between it and either line",
    why="A neutral is never fused. Overloaded it burns off in silence, and 120 V appliances see up to twice their "
    "voltage.",
    requirement="neutral-load",
)
def neutral_carries_its_load(r: Readings) -> Iterator[Found]:
    for run, sizing in _customers(r):
        least = answer(sizing.worksheet, "least_neutral_size")
        if least is None or not sizing.kept:
            continue
        where = f"runs.{run.id}.neutral_size"
        floor = least_service_neutral(r, run) if sizing.kind == "service" else None
        if run.neutral_size is None:
            if sizing.kind == "feeder" and asks(r, run):
                mend = f"Gauge it with the supply off; {least.value} serves."
                yield Found(where, "The size of this neutral is not known.", mend, Verdict.ASK)
        elif rank(run.neutral_size) < rank(str(least.value)) and not _smaller(run.neutral_size, floor):
            wrong = f"The neutral is {run.neutral_size}; its load and device ask for {least.value}."
            yield Found(where, wrong, "Replace the run with a full neutral, or move load off it.", _gravity(sizing))


def _smaller(size: str, floor: str | None) -> bool:
    return floor is not None and rank(size) < rank(floor)
