"""Every circuit of an installation: its protection."""

from __future__ import annotations

from collections.abc import Mapping

from driploop.circuits.protect import protect
from driploop.circuits.protection_results import Protection
from driploop.editions import Edition
from driploop.installation.graph import Graph
from driploop.installation.model import Installation
from driploop.loads.gather import LINE_VOLTS

#: Line to line where nobody said otherwise, as the loads are read. [V]
NOMINAL_V = 240.0


def system_volts(installation: Installation) -> float:
    """Line to line. [V]"""
    return LINE_VOLTS.get(installation.utility.system or "", NOMINAL_V)


def read_protections(
    graph: Graph, *, edition: Edition, found: Mapping[str, Protection] | None = None
) -> Mapping[str, Protection]:
    """The protection of every circuit, by circuit id, in the survey's order.

    Args:
        graph: the installation that is read, as found or as proposed.
        edition: the code edition to ask.
        found: the same reading of the installation as found, where ``graph`` is the proposed one: what stands ahead of
            a wire today is told from it.
    """
    parts = graph.installation
    volts = system_volts(parts)
    return {
        id: protect(
            circuit,
            [parts.loads[load] for load in graph.loads_on.get(id, ())],
            parts.equipment.get(circuit.from_ or ""),
            system_volts=volts,
            edition=edition,
            today=found.get(id) if found is not None else None,
            proposed=found is not None,
        )
        for id, circuit in parts.circuits.items()
    }
