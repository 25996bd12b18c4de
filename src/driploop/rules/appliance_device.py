"""What device an appliance needs ahead of it: its nameplate, raised where the code takes it for continuous."""

from __future__ import annotations

from math import sqrt

from driploop.editions import Edition
from driploop.installation import Circuit, Graph, Load
from driploop.loads.cooking import column_c
from driploop.loads.nameplate import MOTOR_KINDS, read_nameplate
from driploop.worksheet import Cited

#: Kinds that are no single appliance, or whose device follows rules of its own.
_NOT_ONE = frozenset({"lighting and receptacles", "receptacles", "lighting", "generator", "welder", None})
#: Under which name an edition holds the percentage that a kind's circuit must carry.
_RAISED = {
    "water heater": "water_heater_circuit_percent",
    "electric heat": "space_heat_circuit_percent",
    "supplemental heat": "space_heat_circuit_percent",
    "thermal storage heat": "space_heat_circuit_percent",
    "vehicle charger": "evse_circuit_percent",
}


def least_device(load: Load, circuit: Circuit, *, system_volts: float, edition: Edition) -> Cited | None:
    """The current that the device ahead of one appliance must carry. [A]

    A range counts by the cooking table; cooling and heat pumps by their minimum circuit ampacity.

    Args:
        load: the appliance.
        circuit: the circuit it hangs on.
        system_volts: line to line. [V]
        edition: the code edition to ask.

    Returns:
        The current and its section; None for motors and groups of outlets, and where the nameplate is not known.

    Source: the edition's rules on branch circuits of appliances (NEC 2023: 422.10(A), 210.20(A)).
    """
    if load.mca_a is not None:
        return Cited(load.mca_a, "A", edition.section("ac-nameplate"))
    if load.kind in _NOT_ONE or load.kind in MOTOR_KINDS or load.hp is not None:
        return None
    plate = read_nameplate(load, circuit=circuit, building=load.building, system_volts=system_volts, edition=edition)
    if not plate.known:
        return None
    va, section = plate.va, edition.section("appliance-circuit-rating")
    if load.kind == "range" and edition.number("range_min_kw") < va / 1000 <= edition.number("range_upper_kw"):
        table = column_c([plate.va / 1000], edition=edition)
        va, section = min(va, table.number * 1000), table.section
    volts = 120.0 if plate.line_to_neutral else system_volts if load.volts in (None, 230, 240) else float(load.volts)
    current_a = va / (volts * (sqrt(3.0) if load.phase == 3 else 1.0))
    name = _RAISED.get(load.kind or "") or ("continuous_percent" if load.continuous else None)
    if name is None:
        return Cited(current_a, "A", section)
    percent = edition.value(name)
    return Cited(current_a * percent.number / 100.0, "A", percent.section)


def least_device_of(circuit: Circuit, graph: Graph, *, system_volts: float, edition: Edition) -> Cited | None:
    """The largest of what the appliances on a circuit need, each alone. [A] None where nothing known hangs on it."""
    loads = (graph.installation.loads[id] for id in graph.loads_on.get(circuit.id, ()))
    needs = [least_device(load, circuit, system_volts=system_volts, edition=edition) for load in loads]
    return max((need for need in needs if need is not None), key=lambda need: need.number, default=None)
