"""Neutral to earth where animals stand: the least and the most that the electrodes of the place leave open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

from driploop.editions import common_table
from driploop.installation.graph import Graph
from driploop.installation.model import Building
from driploop.network import Built, Draw, Solver
from driploop.voltage.results import EarthVoltage

#: What runs: title, draws.
Running = tuple[str, Sequence[Draw]]
_STOCK_USES = ("livestock", "poultry")
_FARM_USE = "agricultural"


def holds_stock(building: Building) -> bool:
    """Whether animals stand in a building: by its use, or because its survey tells of the concrete they stand on."""
    return building.use in _STOCK_USES or (building.use == _FARM_USE and building.concrete_confinement is True)


def read_neutral_to_earth(
    graph: Graph, built: Built, scenarios: Iterable[Running], *, known: Mapping[str, float]
) -> Iterator[EarthVoltage]:
    """Voltage between neutral and earth at every building where animals stand, in every scenario: that of the metal
    which they can touch, so on four wires that of the neutral where both are joined.

    Args:
        graph: the installation.
        built: its network with the bands of its electrodes.
        scenarios: what runs, by title.
        known: resistances that stand in place of a band, by electrode. [ohm]

    Which side of an electrode's band is the worse hangs on where the current comes from: the building's own are tried
    at both ends, each time with all others at both ends.
    """
    bands = {
        name: (known.get(name, band.least_ohm), known.get(name, band.most_ohm))
        for name, band in built.electrodes.items()
    }
    running = list(scenarios)
    for building in graph.installation.buildings.values():
        here = [id for id in built.network.buses if id in graph.installation.equipment
                and graph.equipment(id).building == building.id]  # fmt: skip
        if not holds_stock(building) or not here:
            continue
        own = {path.name for path in built.network.earth if path.at.bus in here}
        solvers = [
            Solver(built.network.at_electrodes({n: ends[at[n in own]] for n, ends in bands.items()}))
            for at in product((0, 1), (0, 1))
        ]
        ohms = [_together(bands[name][end] for name in own) for end in (0, 1)]
        for title, draws in running:
            found = [_highest(solver, draws, here) for solver in solvers]
            (least, _), (most, where) = min(found), max(found)
            yield EarthVoltage(building.id, where, title, least, most, ohms[0], ohms[1], _passed(most), _passed(least))


def _highest(solver: Solver, draws: Sequence[Draw], buses: Sequence[str]) -> tuple[float, str]:
    """The highest voltage that metal in reach has among some enclosures: the neutral's where both are one. [V]"""
    volts = solver.voltages(draws)
    network = solver.network
    return max((abs(volts.at(node)), bus) for bus in buses
               if (node := network.node(bus, "G") or network.node(bus, "N")) is not None)  # fmt: skip


def _together(ohms: Iterable[float]) -> float | None:
    conductance = sum(1 / max(ohm, 1e-6) for ohm in ohms)
    return 1 / conductance if conductance else None


def _passed(voltage_v: float) -> tuple[str, ...]:
    levels = common_table("stray_voltage_levels").rows
    return tuple(f"{row['who']}: {row['what']}" for row in levels if voltage_v > float(row["level_v"] or 0))
