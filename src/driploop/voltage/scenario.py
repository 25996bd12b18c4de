"""A solved network read as voltages at enclosures and drops along runs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from driploop.installation.graph import UTILITY, Graph
from driploop.network import LEG_V, Built, Draw, Node, Solver, Voltages
from driploop.voltage.results import RunDrop, Scenario, VoltageAt


def solved(
    id: str, title: str, graph: Graph, built: Built, solver: Solver, draws: Sequence[Draw], across_v: float
) -> Scenario:
    """One scenario: loads that take their rated current."""
    volts = solver.voltages(draws)
    at = voltages_at(built, volts, across_v)
    runs = _drops(graph, built, volts, at, across_v)
    a, b, n = Node(UTILITY, "A"), Node(UTILITY, "B"), Node(UTILITY, "N")
    terminals = abs(volts.between(a, n)), abs(volts.between(b, n)), abs(volts.between(a, b))
    return Scenario(id, title, _with_own(graph, at, runs), runs, terminals)


def _with_own(graph: Graph, at: Mapping[str, VoltageAt], runs: Mapping[str, RunDrop]) -> dict[str, VoltageAt]:
    """What the customer's own runs lose up to each enclosure."""
    found: dict[str, VoltageAt] = {}
    for id, here in at.items():
        run = graph.feeding_run(id)
        above = found.get(run.from_ or "") if run is not None else None
        across, leg = (above.own_percent, above.own_leg_percent) if above is not None else (0.0, 0.0)
        if run is not None and run.owner != "utility":
            across += runs[run.id].drop_percent
            of_run = runs[run.id].leg_drop_percent
            leg = None if leg is None or of_run is None else leg + of_run
        found[id] = replace(here, own_percent=across, own_leg_percent=leg)
    return found


def voltages_at(built: Built, volts: Voltages, across_v: float) -> dict[str, VoltageAt]:
    """The voltages of every enclosure but the utility's own."""
    found: dict[str, VoltageAt] = {}
    for bus, wires in reversed(list(built.network.buses.items())):
        if bus == UTILITY:
            continue
        a, b = Node(bus, "A"), Node(bus, "B")
        neutral = Node(bus, "N") if "N" in wires else None
        legs = [abs(volts.between(leg, neutral)) for leg in (a, b)] if neutral else None
        across = abs(volts.between(a, b))
        found[bus] = VoltageAt(
            equipment=bus,
            leg_a_v=legs[0] if legs else None,
            leg_b_v=legs[1] if legs else None,
            across_v=across,
            neutral_to_earth_v=abs(volts.at(neutral or Node(bus, "G"))),
            drop_percent=(across_v - across) / across_v * 100,
            leg_drop_percent=(LEG_V - min(legs)) / LEG_V * 100 if legs else None,
        )
    return found


def _drops(
    graph: Graph, built: Built, volts: Voltages, at: dict[str, VoltageAt], across_v: float
) -> dict[str, RunDrop]:
    found: dict[str, RunDrop] = {}
    by_run: dict[str, dict[str, float]] = {}
    for branch in built.network.branches:
        by_run.setdefault(branch.run, {})[branch.to.wire] = abs(volts.current(branch))
    for id, here in at.items():
        run = graph.feeding_run(id)
        if run is None:
            continue
        above = at.get(run.from_ or "")
        start = above.across_v if above else abs(volts.between(Node(UTILITY, "A"), Node(UTILITY, "B")))
        currents = by_run.get(run.id, {})
        legs = None
        if here.leg_a_v is not None and here.leg_b_v is not None:
            if above is not None and above.leg_a_v is not None and above.leg_b_v is not None:
                starts = (above.leg_a_v, above.leg_b_v)
            else:
                n = Node(UTILITY, "N")
                starts = (
                    abs(volts.between(Node(UTILITY, "A"), n)),
                    abs(volts.between(Node(UTILITY, "B"), n)),
                )
            legs = max(starts[0] - here.leg_a_v, starts[1] - here.leg_b_v)
        lost = start - here.across_v
        found[run.id] = RunDrop(
            run=run.id,
            line_a=max(currents.get("A", 0.0), currents.get("B", 0.0)),
            neutral_a=currents.get("N", 0.0),
            drop_v=lost,
            drop_percent=lost / across_v * 100,
            leg_drop_percent=None if legs is None else legs / LEG_V * 100,
        )
    return found
