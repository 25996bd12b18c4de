"""Sizes of a run that is to be built: the smallest that serve, or those the shop stated where they are large enough."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.ampacity import figures
from driploop.conductors.area import equal_in_other_metal
from driploop.conductors.cable import write_cable
from driploop.conductors.duty import RunDuty, duty_of, write_duty
from driploop.conductors.equipment_ground import write_egc
from driploop.conductors.facts import RunFacts, misuse_fault, read_facts
from driploop.conductors.heat import hottest_place
from driploop.conductors.neutral import NeutralDuty, write_neutral
from driploop.conductors.results import RunKind, RunSizing
from driploop.conductors.run_raceway import RunWires, judge_raceway
from driploop.conductors.sizing import Chosen, NoConductorError, choose, shortfalls, write_choice, write_conditions
from driploop.editions import Edition, NotInTable
from driploop.installation.graph import Graph
from driploop.installation.model import Metal, Run
from driploop.installation.sizes import rank
from driploop.loads.results import LoadReading
from driploop.worksheet import Assumption, DriploopError, WorksheetWriter, unique


@dataclass(frozen=True, slots=True)
class _Sized:
    """What was chosen for one new run."""

    line: str
    neutral: str | None
    egc: str | None
    egc_metal: Metal | None
    faults: tuple[str, ...]


def size_new_run(graph: Graph, run: Run, kind: RunKind, loads: LoadReading, *, edition: Edition) -> RunSizing:
    """The smallest conductors and raceway that serve a new run."""
    duty = duty_of(graph, run, kind, loads, edition=edition)
    facts = read_facts(graph, run, circuit_a=duty.circuit_a, edition=edition)
    writer = WorksheetWriter(f"conductor/{run.id}", f"Conductors of {run.title}")
    write_duty(writer, duty, run, edition=edition)
    write_conditions(writer, duty.rule, edition=edition)
    writer.cite("Terminals", facts.terminals.working, facts.terminals.cited)
    said = (*duty.assumptions, *facts.assumptions)
    try:
        chosen = choose(duty.lines(run, facts.conditions.metal, edition=edition), facts.conditions, edition=edition)
        sized = _size(writer, graph, run, duty, facts, chosen, edition=edition)
    except (NoConductorError, NotInTable) as refusal:
        return _refused(run, duty, facts, writer, said, refusal)
    _write_hot_way(writer, graph, run, duty, facts, sized.line, edition=edition)
    wires = RunWires(sized.line, facts.conditions.metal, facts.insulation, sized.neutral, sized.egc, sized.egc_metal)
    raceway, faults = judge_raceway(writer, run, wires, edition=edition)
    faults = (*_overload(duty), *misuse_fault(facts, run), *sized.faults, *faults)
    return RunSizing(
        run=run.id,
        kind=kind,
        load_a=duty.load_a,
        ocpd_a=duty.device_a,
        line_size=sized.line,
        metal=facts.conditions.metal,
        insulation=facts.insulation,
        sets=run.sets,
        ampacity_a=_ampacity(sized.line, facts, run, edition=edition),
        basis=chosen.basis,
        neutral_size=sized.neutral,
        neutral_insulated=run.neutral_insulated,
        egc_size=sized.egc,
        egc_metal=sized.egc_metal,
        wires=_wires(run, kind),
        raceway=raceway,
        kept=False,
        adequate=not faults,
        faults=faults,
        worksheet=writer.done(),
        assumptions=unique((*said, *(raceway.assumptions if raceway else ()))),
    )


def _size(
    writer: WorksheetWriter, graph: Graph, run: Run, duty: RunDuty, facts: RunFacts, chosen: Chosen, *, edition: Edition
) -> _Sized:
    metal = facts.conditions.metal
    write_choice(
        writer, chosen, duty.lines(run, metal, edition=edition), facts.conditions, key=_line_key(run), edition=edition
    )
    line, faults = _stated_line(writer, run, duty, facts, chosen, edition=edition)
    neutral = None
    if _wires(run, duty.kind) > 2:
        asked = NeutralDuty(duty.neutral_a, line, metal, duty.kind == "service", duty.device_a, run.sets)
        neutral = write_neutral(writer, asked, facts.conditions, key=_neutral_key(run), edition=edition)
        if run.neutral_size is not None:
            if rank(run.neutral_size) < rank(neutral):
                faults += (f"the neutral of {run.neutral_size} is smaller than the {neutral} needed",)
            neutral = run.neutral_size
            writer.write("Neutral as stated", "the proposal's own size", neutral, key="neutral_size")
    egc_metal: Metal | None = None
    egc = None
    if _needs_egc_wire(run, duty):
        egc_metal = run.egc_metal or metal
        egc = _egc(writer, graph, run, duty, (chosen.size, line), metal, egc_metal, edition=edition)
    write_cable(writer, run.method, metal=metal, line=line, neutral=neutral, egc=egc)
    return _Sized(line, neutral, egc, egc_metal, faults)


def _write_hot_way(
    writer: WorksheetWriter, graph: Graph, run: Run, duty: RunDuty, facts: RunFacts, line: str, *, edition: Edition
) -> None:
    """The line ``hot_line_size``, where the hottest way the run could be led asks for more than was chosen."""
    if run.ambient_c is not None:
        return
    hot = read_facts(graph, run, circuit_a=duty.circuit_a, edition=edition, heat="hottest").conditions
    if hot.ambient_c <= facts.conditions.ambient_c:
        return
    lines = duty.lines(run, hot.metal, edition=edition)
    section = edition.section("ambient-correction")
    working = f"led where it is {hot.ambient_c:g} C, {hottest_place('attic').words}"
    try:
        needed = choose(lines, hot, edition=edition).size
        serves = not shortfalls(line, figures(line, hot, edition=edition), lines, hot.metal, edition=edition)
    except (NoConductorError, NotInTable):
        needed, serves = "none of the tables serves", False
    if not serves:
        writer.write("Line conductors along a hot way", working, needed, "", section, key="hot_line_size")


def _line_key(run: Run) -> str:
    return "line_size" if run.line_size is None else "least_line_size"


def _neutral_key(run: Run) -> str:
    return "neutral_size" if run.neutral_size is None else "least_neutral_size"


def _stated_line(
    writer: WorksheetWriter, run: Run, duty: RunDuty, facts: RunFacts, chosen: Chosen, *, edition: Edition
) -> tuple[str, tuple[str, ...]]:
    if run.line_size is None:
        return chosen.size, ()
    stated = run.line_size
    metal = facts.conditions.metal
    lines = duty.lines(run, metal, edition=edition)
    short = shortfalls(stated, figures(stated, facts.conditions, edition=edition), lines, metal, edition=edition)
    if not short and rank(stated) < rank(chosen.size):
        short = (f"{stated} {metal} is smaller than the {chosen.size} the code allows here",)
    writer.write("Line conductors as stated", "the proposal's own size", stated, key="line_size")
    return stated, short


def _needs_egc_wire(run: Run, duty: RunDuty) -> bool:
    if run.egc in ("raceway", "armor", "none"):
        return False
    return duty.kind == "feeder" and (run.egc == "wire" or run.wires in (None, 4))


def _egc(
    writer: WorksheetWriter,
    graph: Graph,
    run: Run,
    duty: RunDuty,
    upsized: tuple[str, str],
    metal: Metal,
    egc_metal: Metal,
    *,
    edition: Edition,
) -> str | None:
    source = graph.installation.equipment.get(run.from_ or "")
    isolating = graph.roles.get(run.from_ or "") == "site-isolating device"
    if isolating and (source is None or source.main not in ("breaker", "fuses")):
        size = equal_in_other_metal(upsized[1], metal=metal, other=egc_metal, edition=edition)
        working = f"as large as the {upsized[1]} {metal} lines: no device ahead of it at the distribution point"
        writer.write("Equipment ground", working, size, "", edition.section("ag-distribution-egc"), key="egc_size")
        return size
    if duty.device_a is None:
        return None
    return write_egc(
        writer, duty.device_a, egc_metal, upsized=upsized, line_metal=metal, sets=run.sets, edition=edition
    )


def _overload(duty: RunDuty) -> tuple[str, ...]:
    if not duty.overloaded:
        return ()
    return (f"the calculated load of {duty.load_a:.0f} A is more than the {duty.device_a:g} A device",)


def _wires(run: Run, kind: RunKind) -> int:
    return run.wires or (3 if kind == "service" else 4)


def _ampacity(size: str, facts: RunFacts, run: Run, *, edition: Edition) -> float:
    return figures(size, facts.conditions, edition=edition).usable_a * run.sets


def _refused(
    run: Run,
    duty: RunDuty,
    facts: RunFacts,
    writer: WorksheetWriter,
    said: tuple[Assumption, ...],
    refusal: DriploopError,
) -> RunSizing:
    writer.write("Line conductors", str(refusal), "none of the tables serves", key="line_size")
    return RunSizing(
        run=run.id,
        kind=duty.kind,
        load_a=duty.load_a,
        ocpd_a=duty.device_a,
        line_size=None,
        metal=facts.conditions.metal,
        insulation=facts.insulation,
        sets=run.sets,
        ampacity_a=None,
        basis="ampacity",
        neutral_size=None,
        neutral_insulated=run.neutral_insulated,
        egc_size=None,
        egc_metal=None,
        wires=_wires(run, duty.kind),
        raceway=None,
        kept=False,
        adequate=False,
        faults=(str(refusal),),
        worksheet=writer.done(),
        assumptions=unique(said),
    )
