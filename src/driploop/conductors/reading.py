"""Every run of an installation: what it must carry, what it is or must be, whether what is there will do."""

from __future__ import annotations

from driploop.conductors.device import kind_of, owner_assumption
from driploop.conductors.kept_run import check_kept_run
from driploop.conductors.new_run import size_new_run
from driploop.conductors.results import ConductorReading, RunSizing
from driploop.editions import Edition
from driploop.installation.graph import Graph
from driploop.installation.model import Run
from driploop.loads.results import LoadReading
from driploop.worksheet import WorksheetWriter


def read_conductors(graph: Graph, loads: LoadReading, *, edition: Edition) -> ConductorReading:
    """Conductors, neutral, equipment ground and raceway of every run.

    Args:
        graph: the installation.
        loads: its calculated loads.
        edition: the code edition to ask.

    Returns:
        One ``RunSizing`` for each run, in the survey's order. Runs of the utility are named, not sized: the code does
        not bind them. New runs get the smallest sizes that serve; runs that stay are checked as they are.
    """
    runs = {run.id: _read(graph, run, loads, edition=edition) for run in graph.installation.runs.values()}
    assumptions = tuple(a for run in graph.installation.runs.values() for a in owner_assumption(run))
    return ConductorReading(runs, assumptions)


def _read(graph: Graph, run: Run, loads: LoadReading, *, edition: Edition) -> RunSizing:
    kind = kind_of(graph, run)
    if kind == "utility":
        return _utility(run, loads)
    if run.is_new:
        return size_new_run(graph, run, kind, loads, edition=edition)
    return check_kept_run(graph, run, kind, loads, edition=edition)


def _utility(run: Run, loads: LoadReading) -> RunSizing:
    node = loads.nodes.get(run.to or "")
    writer = WorksheetWriter(f"conductor/{run.id}", f"Conductors of {run.title}")
    if node is not None:
        writer.number("Load", f"at {run.to}: {node.governing.title}", round(node.current_a, 2), "A", key="load")
    size = run.line_size or "the utility's choice"
    writer.write("Line conductors", "the utility sizes its own conductors by its own book", size, key="line_size")
    return RunSizing(
        run=run.id,
        kind="utility",
        load_a=node.current_a if node is not None else None,
        ocpd_a=None,
        line_size=run.line_size,
        metal=run.metal,
        insulation=run.insulation,
        sets=run.sets,
        ampacity_a=None,
        basis="utility",
        neutral_size=run.neutral_size,
        neutral_insulated=run.neutral_insulated,
        egc_size=None,
        egc_metal=None,
        wires=run.wires,
        raceway=None,
        kept=not run.is_new,
        adequate=None,
        faults=(),
        worksheet=writer.done(),
    )
