"""The grounding stage's reading of one installation."""

from __future__ import annotations

from types import MappingProxyType

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.agricultural import agricultural_scope
from driploop.grounding.bond import bonds_on
from driploop.grounding.jumpers import bonding_jumpers
from driploop.grounding.results import GroundingReading
from driploop.grounding.systems import electrode_systems
from driploop.grounding.wires import wire_counts
from driploop.installation import Graph
from driploop.loads.results import LoadReading
from driploop.worksheet import unique


def read_grounding(
    graph: Graph,
    loads: LoadReading,
    conductors: ConductorReading,
    *,
    found: Graph | None = None,
    edition: Edition,
) -> GroundingReading:
    """Bonding and grounding of one installation.

    Args:
        graph: the installation.
        loads: its calculated loads; the neutral's decides whether an old three-wire feeder may stay.
        conductors: its conductors; the line sizes decide jumpers and electrode conductors.
        found: the installation before the change, where this one is proposed: what was a service conductor then is no
            existing feeder now.
        edition: the code edition to ask.

    Returns:
        Bonds, wire counts, jumpers and electrode systems, with worksheets and assumptions.
    """
    wires, asked_wires = wire_counts(graph, loads, conductors, found=found, edition=edition)
    bonds, asked_bonds = bonds_on(graph, wires, edition=edition)
    systems = electrode_systems(graph, conductors, found=found, edition=edition)
    jumpers = bonding_jumpers(graph, conductors, wires, systems, edition=edition)
    scopes = (agricultural_scope(building, edition=edition) for building in graph.installation.buildings.values())
    return GroundingReading(
        bonds=MappingProxyType(bonds),
        wires=MappingProxyType(wires),
        jumpers=tuple(jumpers.jumpers),
        systems=MappingProxyType(systems),
        worksheets=(*(system.worksheet for system in systems.values()), *jumpers.worksheets),
        assumptions=unique(
            (
                *asked_wires,
                *asked_bonds,
                *(assumption for system in systems.values() for assumption in system.assumptions),
                *jumpers.assumptions,
                *(assumption for scope in scopes for assumption in scope.assumptions),
            )
        ),
    )
