"""The electrical model of an installation: one network of lines, neutral, equipment ground and earth, and its solution.

Public: ``build_network``; the model's parts ``Network``, ``Node``, ``Branch``, ``Source``, ``Winding``, ``EarthPath``,
``Draw``; ``Solver`` with ``Voltages``; ``voltages_of_many`` for thousands of scenarios; ``wire_impedance``; the supply,
``Supply`` and ``supply_of``.
"""

from driploop.network.build import Built, CaseName, build_network
from driploop.network.conductor import temperature_facts, wire_impedance
from driploop.network.many import voltages_of_many
from driploop.network.model import Branch, Draw, EarthPath, Network, Node, Source, Winding, Wire
from driploop.network.runs import RunWires, longest
from driploop.network.solve import NotConverged, Solver, Voltages
from driploop.network.supply import LEG_V, WHOLE_V, Supply, supply_of

__all__ = [
    "LEG_V", "WHOLE_V", "Branch", "Built", "CaseName", "Draw", "EarthPath", "Network", "Node", "NotConverged",
    "RunWires", "Solver", "Source", "Supply", "Voltages", "Winding", "Wire", "build_network", "longest", "supply_of",
    "temperature_facts", "voltages_of_many", "wire_impedance",
]  # fmt: skip
