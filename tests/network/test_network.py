"""Current balance, longer and thinner runs, other kinds of sources, impedances by the tables."""

from __future__ import annotations

import re
from cmath import rect
from dataclasses import replace
from math import pi, sqrt

import pytest

from driploop.editions import load_edition
from driploop.installation import Utility
from driploop.network import Branch, EarthPath, Network, Node, Solver, Source, Winding, wire_impedance
from driploop.network.solve import NotConverged
from driploop.network.supply import supply_of
from driploop.voltage.draws import calculated, listed
from rules.build import installation, readings_of

from .places import SEEDS, made, text_of

NEC = load_edition("NEC 2023")


@pytest.mark.parametrize("seed", SEEDS)
def test_what_flows_into_every_node_flows_out(seed: int) -> None:
    r = made(seed)
    v = r.voltages
    draws = calculated(r.graph, r.loads, v.built.network, v.across_v)
    left = v.solver.balance(v.solver.voltages(draws), draws)
    assert max(map(abs, left.values())) < 1e-3
    fixed = [each.draw for each in listed(r.graph, v.built.network, v.across_v, [], edition=r.edition)]
    solver = Solver(v.built.network, fixed)
    assert max(map(abs, solver.balance(solver.idle).values())) < 1e-3


@pytest.mark.parametrize("seed", SEEDS)
def test_every_run_carries_its_own_calculated_load(seed: int) -> None:
    r = made(seed)
    for id, drop in r.voltages.calculated.runs.items():
        to = r.installation.runs[id].to
        assert drop.line_a == pytest.approx(r.loads.nodes[to].current_a, rel=0.02, abs=0.5)


THINNER = {
    "350 kcmil": "4/0 AWG", "250 kcmil": "3/0 AWG", "4/0 AWG": "1/0 AWG", "3/0 AWG": "1/0 AWG", "1/0 AWG": "4 AWG",
    "2 AWG": "6 AWG", "4 AWG": "8 AWG", "6 AWG": "10 AWG", "8 AWG": "12 AWG",
}  # fmt: skip


@pytest.mark.parametrize("seed", SEEDS)
def test_a_longer_or_thinner_run_never_raises_a_fault_current(seed: int) -> None:
    text = text_of(seed)
    before = made(seed).faults
    longer = re.sub(r"length_ft = ([\d.]+)", lambda m: f"length_ft = {float(m[1]) * 1.5:.2f}", text)
    thinner = re.sub(r'line_size = "(.*?)"', lambda m: f'line_size = "{THINNER[m[1]]}"', text)
    for changed in (longer, thinner):
        after = readings_of(installation(changed, site_kind="farm")).faults
        for id, was in before.largest.items():
            now = after.largest[id]
            assert all(a <= b * (1 + 1e-9) for a, b in zip(now.known, was.known, strict=True)), id


def test_the_largest_fault_is_never_less_than_the_least_of_it_nor_that_than_the_smallest() -> None:
    for seed in SEEDS:
        faults = made(seed).faults
        for id, largest in faults.largest.items():
            low, small = faults.least_of_largest[id], faults.smallest[id]
            assert largest.largest_a >= low.largest_a >= small.smallest_a


# --- other sources have a place in the model ------------------------------------------------------------------------


def end_of(source: Source, wires: tuple[str, ...]) -> Solver:
    """A source with one run of 0.1 ohm a wire behind it, its neutral earthed."""
    buses = {"end": wires, "utility": wires}
    branches = tuple(Branch("run", Node("utility", w), Node("end", w), 0.1 + 0j) for w in wires)  # type: ignore[arg-type]
    earth = (EarthPath("utility", Node("utility", "N"), 1.0),)
    return Solver(Network(buses, source, branches, earth))  # type: ignore[arg-type]


def test_a_three_phase_wye_fits_the_model() -> None:
    turns = {"A": 0.0, "B": -2 * pi / 3, "C": 2 * pi / 3}
    windings = tuple(Winding(Node("utility", w), Node("utility", "N"), rect(120, t)) for w, t in turns.items())
    z = tuple(tuple(0.02 + 0.03j if i == j else 0j for j in range(3)) for i in range(3))
    solver = end_of(Source(windings, z), ("A", "B", "C", "N"))
    idle = solver.idle
    for first, second in (("A", "B"), ("B", "C"), ("C", "A")):
        across = abs(idle.between(Node("end", first), Node("end", second)))  # type: ignore[arg-type]
        assert across == pytest.approx(120 * sqrt(3), rel=1e-4)
    # Line to line: root 3 x 120 V over two windings and two wires; line to neutral: 120 V over one and two wires.
    assert abs(solver.fault(Node("end", "A"), Node("end", "B"))) == pytest.approx(
        120 * sqrt(3) / abs(2 * (0.02 + 0.03j) + 0.2), rel=1e-3
    )
    assert abs(solver.fault(Node("end", "C"), Node("end", "N"))) == pytest.approx(120 / abs(0.22 + 0.03j), rel=1e-3)


def test_a_high_leg_delta_fits_the_model() -> None:
    """The tapped winding A-N-B of 240 V, and two more round the ring: the high leg C stands 208 V over the neutral."""
    c = rect(240, pi / 3)  # from B to C and on to A closes the ring
    windings = (
        Winding(Node("utility", "A"), Node("utility", "N"), 120 + 0j),
        Winding(Node("utility", "N"), Node("utility", "B"), 120 + 0j),
        Winding(Node("utility", "C"), Node("utility", "B"), c),
        Winding(Node("utility", "A"), Node("utility", "C"), 240 - c),
    )
    z = tuple(tuple(0.01 + 0.01j if i == j else 0j for j in range(4)) for i in range(4))
    idle = end_of(Source(windings, z), ("A", "B", "C", "N")).idle
    volts = {w: abs(idle.between(Node("end", w), Node("end", "N"))) for w in ("A", "B", "C")}  # type: ignore[arg-type]
    assert volts["A"] == pytest.approx(120, rel=1e-4)
    assert volts["B"] == pytest.approx(120, rel=1e-4)
    assert volts["C"] == pytest.approx(120 * sqrt(3), rel=1e-4)  # 208 V: common practice


def test_two_legs_of_a_wye_stand_208_v_apart() -> None:
    two = Utility(system="208Y/120 V single-phase", transformer_kva=75, transformer_impedance_percent=2.0)
    supply, _ = supply_of(two, load_va=20_000, rating_va=48_000, strength="strong")
    idle = end_of(supply.source(), ("A", "B", "N")).idle
    assert abs(idle.between(Node("end", "A"), Node("end", "B"))) == pytest.approx(207.85, rel=1e-3)


# --- impedances -----------------------------------------------------------------------------------------------------


def test_impedance_is_the_tables_at_75_c_and_less_when_cold() -> None:
    # NEC Chapter 9 Table 9, ohm to neutral per 1,000 ft: aluminum 4/0 in PVC 0.10 and 0.041, copper 6 in steel 0.49
    # and 0.064.
    assert wire_impedance("4/0 AWG", "aluminum", temperature_c=75, edition=NEC) == pytest.approx(0.10 + 0.041j)
    assert wire_impedance("6 AWG", "copper", method="RMC", temperature_c=75, edition=NEC) == pytest.approx(
        0.49 + 0.064j
    )
    # Resistance falls by 0.00323 a degree of copper (Table 8 note): at 25 C 0.8385 of what it is at 75 C.
    cold = wire_impedance("6 AWG", "copper", method="RMC", temperature_c=25, edition=NEC)
    assert cold.real == pytest.approx(0.49 * 0.8385, rel=1e-6)
    assert cold.imag == pytest.approx(0.064)


def test_open_wires_have_the_reactance_of_their_spacing() -> None:
    # 6 AWG, 12 in apart: 2 pi 60 x 2e-7 x ln(12 in / 0.0668 in) ohm/m = 0.1193 ohm per 1,000 ft.
    z = wire_impedance("6 AWG", "copper", method="overhead open conductors", temperature_c=75, edition=NEC)
    assert z.imag == pytest.approx(0.1193, rel=0.005)


def test_loads_beyond_the_supply_are_said_to_be_so() -> None:
    r = made(1)
    v = r.voltages
    draws = [d for d in calculated(r.graph, r.loads, v.built.network, v.across_v) if d.va.real > 0]
    huge = [replace(d, va=d.va * 1e4) for d in draws]
    with pytest.raises(NotConverged):
        v.solver.voltages(huge, kind="power")
    with pytest.raises(ValueError, match="Solver"):
        v.solver.voltages(huge, kind="impedance")
