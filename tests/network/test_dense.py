"""A dense complex solve by numpy, written apart from the solver, as a second witness."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from driploop.network import Branch, Network, Node, Solver
from driploop.network.solve import LEAK_S, LEAST_OHM
from driploop.voltage.draws import listed

from .places import SEEDS, made


def dense(network: Network, draws: list) -> tuple[dict[Node, int], np.ndarray, np.ndarray]:
    """Nodes, impedance matrix and voltages without load, from Kirchhoff's laws alone."""
    index: dict[Node, int] = {}
    for bus, wires in network.buses.items():
        for wire in wires:
            same = wire == "G" and bus in network.bonded
            index[Node(bus, wire)] = index[Node(bus, "N")] if same else len(set(index.values()))
    size = len(set(index.values()))
    y = np.zeros((size, size), dtype=complex)
    for k in range(size):
        y[k, k] += LEAK_S
    parts = [(b.from_, b.to, 1 / (b.impedance_ohm if abs(b.impedance_ohm) > LEAST_OHM else LEAST_OHM))
             for b in network.branches]  # fmt: skip
    parts += [(d.positive, d.negative, d.va.conjugate() / d.rated_v**2) for d in draws]
    for a, b, admittance in parts:
        way = np.zeros(size)
        way[index[a]] += 1
        way[index[b]] -= 1
        y += admittance * np.outer(way, way)
    for path in network.earth:
        y[index[path.at], index[path.at]] += 1 / path.resistance_ohm
    source = network.source
    ways = np.zeros((len(source.windings), size))
    for n, winding in enumerate(source.windings):
        ways[n, index[winding.positive]] += 1
        ways[n, index[winding.negative]] -= 1
    inner = np.linalg.inv(np.array(source.impedance_ohm))
    y += ways.T @ inner @ ways
    z = np.linalg.inv(y)
    return index, z, z @ (ways.T @ inner @ np.array([w.emf_v for w in source.windings]))


@pytest.mark.parametrize("seed", SEEDS)
def test_voltages_and_faults_are_those_of_the_dense_solve(seed: int) -> None:
    r = made(seed)
    network = r.voltages.built.network
    draws = [each.draw for each in listed(r.graph, network, r.voltages.across_v, [], edition=r.edition)]
    solver = Solver(network, draws)
    index, z, volts = dense(network, draws)
    idle = solver.idle
    for node, k in index.items():
        assert abs(idle.at(node) - volts[k]) < 1e-5
    for bus, wires in network.buses.items():
        for other in wires:
            i, j = index[Node(bus, "A")], index[Node(bus, other)]
            if i == j:
                continue
            seen = z[i, i] + z[j, j] - 2 * z[i, j]
            assert solver.looking_in(Node(bus, "A"), Node(bus, other)) == pytest.approx(seen, rel=1e-6)
            ours = solver.fault(Node(bus, "A"), Node(bus, other))
            assert ours == pytest.approx((volts[i] - volts[j]) / seen, rel=1e-5)


def test_a_loop_through_metal_and_cross_connection_is_solved_too() -> None:
    """A pipe that joins two far ends closes a loop that no tree has."""
    r = made(5)
    network = r.voltages.built.network
    ends = list(network.buses)[:2]
    pipe = Branch("pipe", Node(ends[0], "G"), Node(ends[1], "G"), 0.05 + 0.02j)
    looped = replace(network, branches=(*network.branches, pipe))
    index, z, volts = dense(looped, [])
    solver = Solver(looped)
    for node, k in index.items():
        assert abs(solver.idle.at(node) - volts[k]) < 1e-5
    a, g = Node(ends[0], "A"), Node(ends[0], "G")
    i, j = index[a], index[g]
    assert solver.looking_in(a, g) == pytest.approx(z[i, i] + z[j, j] - 2 * z[i, j], rel=1e-6)
