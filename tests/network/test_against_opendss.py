"""Every voltage within 0.1 percent and every fault current within 0.5 percent of OpenDSS.

At every enclosure, so at the transformer's first one, the panel and the far end alike; for the four examples and 56
installations made at random: at calculated load, faults at both ends of what is known, every listed load with a neutral
open.
"""

from __future__ import annotations

import pytest

from driploop.installation import UTILITY
from driploop.network import Built, Node, Solver
from driploop.rules import Readings
from driploop.voltage.draws import calculated, listed

from .opendss import Witness
from .places import EXAMPLES, SEEDS, example, made

VOLTS, AMPERES = 0.001, 0.005

PLACES = [
    *(pytest.param(path, id=path.stem) for path in EXAMPLES),
    *(pytest.param(seed, id=f"made-{seed}") for seed in SEEDS),
]


def readings(place: object) -> Readings:
    return made(place) if isinstance(place, int) else example(place)  # type: ignore[arg-type]


def faults_agree(built: Built, solver: Solver) -> int:
    witness = Witness(built)
    held = 0
    for bus, wires in built.network.buses.items():
        for other in ("B", "N", "G"):
            if other not in wires:
                continue
            first, second = Node(bus, "A"), Node(bus, other)
            ours = abs(solver.fault(first, second))
            theirs = witness.fault_a(first, second)
            assert ours == pytest.approx(theirs, rel=AMPERES, abs=0.01), (bus, other)
            held += 1
    return held


@pytest.mark.parametrize("place", PLACES)
def test_fault_currents(place: object) -> None:
    faults = readings(place).faults
    for built, solver in (faults.strong, faults.weak):
        assert faults_agree(built, solver) >= 5


@pytest.mark.parametrize("place", PLACES)
def test_voltages_at_calculated_load(place: object) -> None:
    r = readings(place)
    v = r.voltages
    draws = calculated(r.graph, r.loads, v.built.network, v.across_v)
    assert draws
    ours = v.solver.voltages(draws)
    witness = Witness(v.built)
    witness.load(draws, model=5)
    for node, theirs in witness.voltages().items():
        assert abs(ours.at(node) - theirs) <= VOLTS * 120, node


@pytest.mark.parametrize("place", PLACES)
def test_voltages_with_a_neutral_open(place: object) -> None:
    r = readings(place)
    v = r.voltages
    draws = [each.draw for each in listed(r.graph, v.built.network, v.across_v, [], edition=r.edition)]
    for run in v.runs_with_neutral:
        network = v.built.network.without(run, wire="N")
        ours = Solver(network, draws).idle
        witness = Witness(v.built, network)
        witness.load(draws, model=2)
        for node, theirs in witness.voltages().items():
            assert abs(ours.at(node) - theirs) <= VOLTS * 120, (run, node)


def test_line_to_neutral_is_the_larger_fault_at_the_transformer_and_the_smaller_one_far_away() -> None:
    r = made(3)
    built, solver = r.faults.strong
    at = {kind: abs(solver.fault(Node(UTILITY, "A"), Node(UTILITY, kind))) for kind in ("B", "N")}
    assert at["N"] > at["B"]
    end = min(r.faults.largest.values(), key=lambda f: f.line_to_line_a)
    assert end.line_to_neutral_a is not None
    assert end.line_to_neutral_a < end.line_to_line_a
    witness = Witness(built)
    assert witness.fault_a(Node(UTILITY, "A"), Node(UTILITY, "N")) > witness.fault_a(
        Node(UTILITY, "A"), Node(UTILITY, "B")
    )
