"""Whether a run that is there will do: with its old wire and insulation, behind its device, for today's load.

A run that falls short on the safe side but could still serve when its unknowns are answered well is left open. The
grounding conductor of a kept run is held to its device alone: in step with larger lines it is held only when new.
"""

from __future__ import annotations

from driploop.conductors.ampacity import figures, write_figures
from driploop.conductors.duty import RunDuty, duty_of, write_duty
from driploop.conductors.equipment_ground import table_egc
from driploop.conductors.facts import RunFacts, misuse_fault, read_facts
from driploop.conductors.heat import Heat
from driploop.conductors.neutral import NeutralDuty, write_neutral
from driploop.conductors.results import RacewayChoice, RunKind, RunSizing
from driploop.conductors.run_raceway import RunWires, judge_raceway
from driploop.conductors.sizing import NoConductorError, choose, shortfalls, write_conditions
from driploop.editions import Edition, NotInTable
from driploop.installation.graph import Graph
from driploop.installation.model import Metal, Run
from driploop.installation.sizes import rank
from driploop.loads.results import LoadReading
from driploop.worksheet import Assumption, WorksheetWriter, unique


def check_kept_run(
    graph: Graph, run: Run, kind: RunKind, loads: LoadReading, *, edition: Edition, heat: Heat = "safe"
) -> RunSizing:
    """What a run that stays carries, and each way in which it falls short.

    The worksheet's line ``in_an_ordinary_place`` stands there only where heat or company along the way decides.
    """
    duty = duty_of(graph, run, kind, loads, edition=edition)
    facts = read_facts(graph, run, circuit_a=duty.circuit_a, edition=edition, heat=heat)
    writer = WorksheetWriter(f"conductor/{run.id}", f"Conductors of {run.title}")
    write_duty(writer, duty, run, edition=edition)
    write_conditions(writer, duty.rule, edition=edition)
    writer.cite("Terminals", facts.terminals.working, facts.terminals.cited)
    ampacity_a = _write_line(writer, run, duty, facts, edition=edition)
    faults = _faults(writer, run, duty, facts, edition=edition, hopeful=False)
    raceway, too_full = _raceway(writer, run, facts, edition=edition)
    open_ = bool(faults) and not too_full and _could_serve(graph, run, duty, edition=edition)
    if open_:
        _write_ordinary(writer, graph, run, duty, edition=edition)
    faults += too_full
    of_raceway = raceway.assumptions if raceway is not None else ()
    return RunSizing(
        run=run.id,
        kind=kind,
        load_a=duty.load_a,
        ocpd_a=duty.device_a,
        line_size=run.line_size,
        metal=run.metal,
        insulation=run.insulation,
        sets=run.sets,
        ampacity_a=ampacity_a,
        basis="as found",
        neutral_size=run.neutral_size,
        neutral_insulated=run.neutral_insulated,
        egc_size=run.egc_size,
        egc_metal=run.egc_metal,
        wires=run.wires,
        raceway=raceway,
        kept=True,
        adequate=None if open_ else not faults,
        faults=faults,
        worksheet=writer.done(),
        assumptions=unique((*duty.assumptions, *facts.assumptions, *_unknown_sizes(run, duty), *of_raceway)),
    )


def _write_line(writer: WorksheetWriter, run: Run, duty: RunDuty, facts: RunFacts, *, edition: Edition) -> float | None:
    """The ampacity of what is there and what would be needed; returns the former for all sets. [A]"""
    metal = facts.conditions.metal
    carried = None
    try:
        if run.line_size is not None:
            found = figures(run.line_size, facts.conditions, edition=edition)
            write_figures(writer, run.line_size, facts.conditions, found, edition=edition)
            carried = found.usable_a * run.sets
        needed = choose(duty.lines(run, metal, edition=edition), facts.conditions, edition=edition)
        working = f"{metal}, {facts.conditions.insulation_c} C, for this load and device"
        section = edition.section("conductor_ampacity")
        writer.write("Least line conductors", working, needed.size, "", section, key="least_line_size")
    except (NoConductorError, NotInTable) as refusal:
        writer.write("Least line conductors", str(refusal), "none of the tables serves", key="least_line_size")
    sets = f", {run.sets} sets" if run.sets > 1 else ""
    writer.write("Line conductors as found", f"survey{sets}", run.line_size or "not known", key="line_size")
    return carried


def _faults(
    writer: WorksheetWriter, run: Run, duty: RunDuty, facts: RunFacts, *, edition: Edition, hopeful: bool
) -> tuple[str, ...]:
    faults: list[str] = []
    if duty.overloaded and not (hopeful and not duty.device.known):
        faults.append(f"the calculated load of {duty.load_a:.0f} A is more than the {duty.device_a:g} A device")
    faults += misuse_fault(facts, run)
    if duty.device_a is None and not duty.device.several and not hopeful:
        faults.append("its overcurrent device is not known")
    faults += _line_faults(run, duty, facts, edition=edition, hopeful=hopeful)
    faults += _neutral_faults(writer, run, duty, facts, edition=edition, hopeful=hopeful)
    faults += _egc_faults(writer, run, duty, edition=edition, hopeful=hopeful)
    return tuple(faults)


def _line_faults(run: Run, duty: RunDuty, facts: RunFacts, *, edition: Edition, hopeful: bool) -> list[str]:
    if run.line_size is None:
        return [] if hopeful else ["the size of the line conductors is not known"]
    metal = facts.conditions.metal
    try:
        found = figures(run.line_size, facts.conditions, edition=edition)
    except NotInTable as refusal:
        return [str(refusal)]
    lines = duty.lines(run, metal, edition=edition, hopeful=hopeful)
    faults = list(shortfalls(run.line_size, found, lines, metal, edition=edition))
    parallel = str(edition.value("parallel_minimum").value)
    if run.sets > 1 and rank(run.line_size) < rank(parallel):
        faults.append(f"{run.line_size} is smaller than {parallel}, the least that may be run in parallel")
    return faults


def _neutral_faults(
    writer: WorksheetWriter, run: Run, duty: RunDuty, facts: RunFacts, *, edition: Edition, hopeful: bool
) -> list[str]:
    if run.wires == 2 or run.line_size is None:
        return []
    metal = facts.conditions.metal
    device_a = None if hopeful and not duty.device.known else duty.device_a
    asked = NeutralDuty(duty.neutral_a, run.line_size, metal, duty.kind == "service", device_a, run.sets)
    try:
        needed = write_neutral(writer, asked, facts.conditions, key="least_neutral_size", edition=edition)
    except (NoConductorError, NotInTable) as refusal:
        return [str(refusal)]
    writer.write("Neutral as found", "survey", run.neutral_size or "not known", key="neutral_size")
    if run.neutral_size is None:
        return [] if hopeful else [f"the size of the neutral is not known; {needed} {metal} is needed"]
    if rank(run.neutral_size) < rank(needed):
        return [f"the neutral of {run.neutral_size} {metal} is smaller than the {needed} needed"]
    return []


def _egc_faults(writer: WorksheetWriter, run: Run, duty: RunDuty, *, edition: Edition, hopeful: bool) -> list[str]:
    if not _has_egc_wire(run, duty) or duty.device_a is None or (hopeful and not duty.device.known):
        return []
    metal: Metal = run.egc_metal or ("copper" if hopeful else "aluminum")
    try:
        needed = table_egc(duty.device_a, metal, edition=edition)
    except NotInTable as refusal:
        return [str(refusal)]
    writer.cite("Least equipment ground", f"{duty.device_a:g} A device, {metal}", needed, key="least_egc_size")
    writer.write("Equipment ground as found", "survey", run.egc_size or "not known", key="egc_size")
    if run.egc_size is None:
        return [] if hopeful else [f"the size of the equipment ground is not known; {needed.value} {metal} is needed"]
    if rank(run.egc_size) < rank(str(needed.value)):
        return [f"the equipment ground of {run.egc_size} {metal} is smaller than the {needed.value} needed"]
    return []


def _has_egc_wire(run: Run, duty: RunDuty) -> bool:
    if duty.kind != "feeder" or run.egc in ("raceway", "armor", "none"):
        return False
    return run.egc == "wire" or run.wires == 4


def _raceway(
    writer: WorksheetWriter, run: Run, facts: RunFacts, *, edition: Edition
) -> tuple[RacewayChoice | None, tuple[str, ...]]:
    if run.line_size is None:
        return None, ()
    egc = run.egc_size if run.egc == "wire" or run.wires == 4 else None
    neutral = None if run.wires == 2 else run.neutral_size or run.line_size
    wires = RunWires(run.line_size, facts.conditions.metal, facts.insulation, neutral, egc, run.egc_metal)
    return judge_raceway(writer, run, wires, edition=edition)


def _could_serve(graph: Graph, run: Run, duty: RunDuty, *, edition: Edition) -> bool:
    facts = read_facts(graph, run, circuit_a=duty.circuit_a, edition=edition, hopeful=True)
    aside = WorksheetWriter("", "")
    return not _faults(aside, run, duty, facts, edition=edition, hopeful=True)


def _write_ordinary(writer: WorksheetWriter, graph: Graph, run: Run, duty: RunDuty, *, edition: Edition) -> None:
    """Whether the run serves along an ordinary way, whatever else of it is not known."""
    facts = read_facts(graph, run, circuit_a=duty.circuit_a, edition=edition, heat="ordinary")
    if run.line_size is None or _faults(WorksheetWriter("", ""), run, duty, facts, edition=edition, hopeful=False):
        return
    carried_a = figures(run.line_size, facts.conditions, edition=edition).usable_a * run.sets
    together = facts.conditions.current_carrying
    working = f"at {facts.conditions.ambient_c:g} C, not over {together} wires together, it serves"
    section = edition.section("ambient-correction")
    writer.number("Along an ordinary way", working, carried_a, "A", section, key="in_an_ordinary_place")


def _unknown_sizes(run: Run, duty: RunDuty) -> tuple[Assumption, ...]:
    said = []
    if run.line_size is None:
        said.append(_unknown_size(run, "line_size", "line conductors"))
    if run.neutral_size is None and run.wires != 2:
        said.append(_unknown_size(run, "neutral_size", "neutral"))
    if run.egc_size is None and _has_egc_wire(run, duty):
        said.append(_unknown_size(run, "egc_size", "equipment ground"))
    return tuple(said)


def _unknown_size(run: Run, field: str, what: str) -> Assumption:
    return Assumption(
        f"runs.{run.id}.{field}",
        f"the {what} not shown to serve",
        "a wire nobody has measured is not called large enough",
        "its size, read from the marking or gauged with the supply off",
    )
