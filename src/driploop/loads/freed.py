"""Circuits that feed nothing any more once some of the loads listed on them are gone."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from driploop.installation import Circuit, Installation, Load
from driploop.loads.dwelling_inputs import PLUGGED
from driploop.loads.unread import is_dedicated


def without_loads(installation: Installation, gone: Collection[str], *, landing: str | None = None) -> Installation:
    """The installation without some of its loads, and the circuits that fed nothing else as spares.

    A circuit of rooms, kitchen or laundry goes on feeding its outlets, whatever was unplugged from it.

    Args:
        installation: what is read.
        gone: ids of the loads that go.
        landing: a circuit that another load takes over at once.
    """
    loads = {id: load for id, load in installation.loads.items() if id not in gone}
    emptied = {load.circuit for id, load in installation.loads.items() if id in gone}
    emptied -= {landing, *(load.circuit for load in loads.values())}
    circuits = {
        id: circuit.model_copy(update={"purpose": "spare"})
        if id in emptied and _fed_nothing_else(circuit, installation.loads, gone)
        else circuit
        for id, circuit in installation.circuits.items()
    }
    return installation.model_copy(update={"loads": loads, "circuits": circuits})


def _fed_nothing_else(circuit: Circuit, loads: Mapping[str, Load], gone: Collection[str]) -> bool:
    """Left as it is, a circuit of one thing would count as one whose load nobody read."""
    if circuit.purpose is not None:
        return circuit.purpose == "dedicated"
    kinds = (loads[id].kind for id in gone if id in loads and loads[id].circuit == circuit.id)
    return is_dedicated(circuit) or any(kind not in (None, *PLUGGED) for kind in kinds)
