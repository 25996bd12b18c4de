"""The survey of a building that is no dwelling read into plain inputs, every unknown on the safe side."""

from __future__ import annotations

from collections.abc import Sequence

from driploop.loads.coincidence import coincident
from driploop.loads.gather import Group, Site
from driploop.loads.inputs import BuildingInputs, ConnectedLoad
from driploop.loads.nameplate import Nameplate
from driploop.loads.unread import circuit_without_loads
from driploop.worksheet import Assumption


def building_inputs(site: Site, group: Group) -> BuildingInputs:
    """The loads of one building, as far as they go through one piece of equipment."""
    # A load that uses the neutral is not given up for a larger one that does not.
    loads = coincident([*group.loads, *group.outside_loads], same=lambda load: load.line_to_neutral)
    circuits = [circuit for circuit in (*group.circuits, *group.outside) if circuit.purpose != "spare"]
    # A load left out because it cannot run with another still stands on its circuit.
    served = {load.circuit.id for load in (*group.loads, *group.outside_loads) if load.circuit is not None}
    empty = [circuit_without_loads(c, building=group.title) for c in circuits if c.id not in served]
    notes = [note for load in loads for note in load.assumptions] + [note for _, note in empty]
    if site.farm:
        notes += [_together_assumed(load) for load in loads if load.load.runs_together is None]
    without_circuit = {load.id for load in (*group.loads, *group.outside_loads) if load.circuit is None}
    return BuildingInputs(
        loads=(*(_connected(load) for load in loads), *(load for load, _ in empty)),
        circuits=len(circuits) + len(without_circuit),
        volts=site.volts,
        name=group.title,
        assumptions=tuple(dict.fromkeys(notes)),
    )


def merged(buildings: Sequence[BuildingInputs], *, volts: float) -> BuildingInputs:
    """Several buildings as one, for the plain sum."""
    if len(buildings) == 1:
        return buildings[0]
    return BuildingInputs(
        loads=tuple(load for building in buildings for load in building.loads),
        circuits=sum(building.circuits for building in buildings),
        volts=volts,
        name=", ".join(building.name for building in buildings) or "nothing connected",
        assumptions=tuple(note for building in buildings for note in building.assumptions),
    )


def _connected(load: Nameplate) -> ConnectedLoad:
    va = 0.0 if load.load.kind == "generator" else load.va
    return ConnectedLoad(
        name=load.title,
        va=va,
        working=load.working,
        neutral_va=va if load.line_to_neutral else 0.0,
        motor_va=load.motor_va,
        # A motor is raised as the largest motor, not as a continuous load.
        continuous=load.continuous and not load.motor_va,
        together=load.load.runs_together is not False,
    )


def _together_assumed(load: Nameplate) -> Assumption:
    return Assumption(
        where=f"loads.{load.id}.runs_together",
        assumed="runs together with the others",
        why_safe="loads that run together count in full",
        would_change="loads that do not run with the others are reduced by the farm table",
    )
