"""Published short-circuit examples and three-wire problems, each through the network's solver or the hand method."""

from __future__ import annotations

import math

import pytest

from driploop.fault_current import fault_after, fault_at_transformer
from driploop.installation import Utility
from driploop.network import Branch, Draw, EarthPath, Network, Node, Solver, Source, Winding, Wire
from driploop.network.supply import Supply, supply_of


def three_wire(leg_v: float, line_ohm: float, neutral_ohm: float | None) -> Network:
    """Two sources in a row, three wires to where the loads are; the neutral may be open."""
    s, e = "utility", "end"
    windings = (
        Winding(Node(s, "A"), Node(s, "N"), leg_v + 0j),
        Winding(Node(s, "N"), Node(s, "B"), leg_v + 0j),
    )
    wires = {"A": line_ohm, "B": line_ohm, **({} if neutral_ohm is None else {"N": neutral_ohm})}
    branches = tuple(Branch("run", Node(s, w), Node(e, w), complex(z)) for w, z in wires.items())  # type: ignore[arg-type]
    stiff = ((1e-7 + 0j, 0j), (0j, 1e-7 + 0j))
    earth = (EarthPath(s, Node(s, "N"), 1.0),)
    return Network({e: ("A", "B", "N"), s: ("A", "B", "N")}, Source(windings, stiff), branches, earth)


def resistor(name: str, leg: str, ohm: float) -> Draw:
    first, second = (Node("end", "A"), Node("end", "N")) if leg == "A" else (Node("end", "N"), Node("end", "B"))
    return Draw(name, first, second, complex(100.0**2 / ohm), 100.0)


@pytest.mark.parametrize(
    ("source", "leg_v", "ohms", "volts"),
    [
        # Electrical Wiring Residential, 18th edition, chapter 17, problem 4R: loads of 10 A and 5 A at 120 V (12 and
        # 24 ohm); with the neutral open they stand in series across 240 V. Read at a copy of its solutions.
        ("Electrical Wiring Residential 18, 17.4R", 120, (12.0, 24.0), (80.0, 160.0)),
        # doityourself.com forum 154571, "3-wire circuit theorem": two batteries of 100 V, 30 and 70 ohm.
        ("doityourself.com 154571", 100, (30.0, 70.0), (60.0, 140.0)),
        # rio2016.5ch.net denki 1289235278/272: 200 V across, 20 and 30 ohm.
        ("5ch denki 272", 100, (20.0, 30.0), (80.0, 120.0)),
        # studylib.net doc 5726865: lamps of 100 W and 200 W at 120 V, 144 and 72 ohm; series division of 240 V.
        ("studylib 5726865", 120, (144.0, 72.0), (160.0, 80.0)),
    ],
)
def test_an_open_neutral_puts_the_legs_in_series(source, leg_v, ohms, volts) -> None:
    loads = [resistor("a", "A", ohms[0]), resistor("b", "B", ohms[1])]
    at = Solver(three_wire(leg_v, 0.0, None), loads).idle
    n = Node("end", "N")
    assert abs(at.between(Node("end", "A"), n)) == pytest.approx(volts[0], rel=1e-3), source
    assert abs(at.between(n, Node("end", "B"))) == pytest.approx(volts[1], rel=1e-3), source


def test_two_lamps_before_and_after_the_neutral_opens() -> None:
    """studylib.net doc 5726865, slides on an open neutral: lamps of 100 W and 200 W at 120 V draw 0.8333 and 1.6667 A,
    144 and 72 ohm. With the neutral closed it carries their difference, with it open 240 V / 216 ohm runs through both
    (the last two by the same laws; the stored text stops before them)."""
    loads = [resistor("a", "A", 144.0), resistor("b", "B", 72.0)]
    for neutral_ohm, currents in ((1e-6, (0.8333, 1.6667)), (None, (1.1111, 1.1111))):
        network = three_wire(120, 1e-6, neutral_ohm)
        at = Solver(network, loads).idle
        lines = [next(b for b in network.branches if b.to.wire == wire) for wire in ("A", "B")]
        assert [abs(at.current(line)) for line in lines] == pytest.approx(currents, abs=1e-3)
        for branch in network.branches:
            if branch.to.wire == "N":
                assert abs(at.current(branch)) == pytest.approx(0.8333, abs=1e-3)


def test_20_and_30_ohm_in_series_across_200_v() -> None:
    """rio2016.5ch.net denki 1289235278/272: 4 A; each should see 100 V and is 20 V off."""
    loads = [resistor("a", "A", 20.0), resistor("b", "B", 30.0)]
    network = three_wire(100, 1e-6, None)
    at = Solver(network, loads).idle
    line = next(b for b in network.branches if b.to.wire == "A")
    assert abs(at.current(line)) == pytest.approx(4.0, abs=1e-3)
    volts = abs(at.between(Node("end", "A"), Node("end", "N")))
    assert 100 - volts == pytest.approx(20.0, abs=0.02)


def test_three_wire_drop_of_the_japanese_licence_examination() -> None:
    """Second-class electrician, 2005 (H17), question 6, jikkyo.co.jp: 104 V a side, 0.1 ohm each wire, 20 A and 10 A:
    101 V is left on the side of 20 A."""
    loads = [
        Draw("a", Node("end", "A"), Node("end", "N"), 2000 + 0j, 100.0),
        Draw("b", Node("end", "N"), Node("end", "B"), 1000 + 0j, 100.0),
    ]
    network = three_wire(104, 0.1, 0.1)
    at = Solver(network).voltages(loads)
    n = Node("end", "N")
    assert abs(at.between(Node("end", "A"), n)) == pytest.approx(101.0, abs=0.01)
    assert abs(at.between(n, Node("end", "B"))) == pytest.approx(104.0, abs=0.01)  # by the same laws: 104 - 1 + 1
    neutral = next(b for b in network.branches if b.to.wire == "N")
    assert abs(at.current(neutral)) == pytest.approx(10.0, abs=0.01)


def test_point_to_point_handout_faults_one_and_two() -> None:
    """Electrical plan review handout, scribd.com/document/325386963: 300 kVA, 2 percent less a tenth, 208 V, three
    phases; then 20 ft of two sets of 500 kcmil copper in steel, C = 22,185: f = 0.174, M = 0.852."""
    fault_a = fault_at_transformer(300, 2.0, voltage_v=208, phases=3, tolerance=0.9)
    assert fault_a == pytest.approx(46_273, rel=5e-4)  # printed from 833 A x 55.55
    after = fault_after(46_273, length_ft=20, c_value=22_185, voltage_v=208, sets=2, phases=3)
    assert after / 46_273 == pytest.approx(0.852, abs=0.0005)


@pytest.mark.parametrize(("kva", "printed_a"), [(50, 10_400), (20, 4_150)])
def test_single_phase_examples_of_the_handouts(kva: float, printed_a: float) -> None:
    """Point-to-point handouts (stored copies, scribd 388329023 and 230809087): 240 V, 2 percent."""
    assert fault_at_transformer(kva, 2.0, voltage_v=240) == pytest.approx(printed_a, rel=0.005)


@pytest.mark.parametrize(
    ("kva", "printed_a", "source"),
    [
        (25, 104, "eHow, single-phase transformers, example 1: http://www.ehow.com/how_8289926_calculate-singlephase-transformer.html"),
        (150, 625, "Journeyman practice test, stuvia.com doc 10734170"),
    ],
)  # fmt: skip
def test_full_load_current_of_a_transformer(kva: float, printed_a: float, source: str) -> None:
    """At an impedance of 100 percent a fault draws the full load."""
    assert round(fault_at_transformer(kva, 100.0, voltage_v=240)) == printed_a, source


def test_a_distributor_with_two_loads_loses_what_the_textbook_says() -> None:
    """Principles of Power System, example 14.1, page 359: 100 A at 0.707 after 200 m, 200 A at 0.8 after 300 m, 0.2 +
    j0.1 ohm/km both ways, power factors held against the far end: 17.85 V in all (its notebook; the printed sum from
    memory). The far end is fed so high here that every voltage has its angle."""
    high_v = 1e6
    s, c, b = "utility", "near", "end"
    windings = (Winding(Node(s, "A"), Node(s, "N"), high_v + 0j),)
    branches = []
    for start, end, km in ((s, c, 0.2), (c, b, 0.1)):
        branches += [Branch(end, Node(start, "A"), Node(end, "A"), (0.2 + 0.1j) * km),
                     Branch(end, Node(start, "N"), Node(end, "N"), 0j)]  # fmt: skip
    buses = {b: ("A", "N"), c: ("A", "N"), s: ("A", "N")}
    network = Network(buses, Source(windings, ((1e-7 + 0j,),)), tuple(branches), (EarthPath(s, Node(s, "N"), 1.0),))
    draws = [
        Draw("1", Node(c, "A"), Node(c, "N"), 100 * high_v * complex(0.707, math.sqrt(1 - 0.707**2)), high_v),
        Draw("2", Node(b, "A"), Node(b, "N"), 200 * high_v * complex(0.8, 0.6), high_v),
    ]
    at = Solver(network).voltages(draws)
    lost = at.between(Node(s, "A"), Node(s, "N")) - at.between(Node(b, "A"), Node(b, "N"))
    assert abs(lost) == pytest.approx(17.85, abs=0.02)


def test_three_unequal_loads_on_a_wye_leave_the_textbooks_neutral_current() -> None:
    """J. Bird, Electrical Circuit Theory and Technology, chapter 20, problem 4: 24, 18 and 12 kW on 240 V a leg of a
    four-wire supply of 415 V draw 100, 75 and 50 A; the neutral carries 43.3 A."""
    s, e = "utility", "end"
    turn = complex(-0.5, -math.sqrt(3) / 2)
    legs: tuple[Wire, ...] = ("A", "B", "C")
    emf = [240 + 0j, 240 * turn, 240 * turn**2]
    windings = tuple(Winding(Node(s, w), Node(s, "N"), v) for w, v in zip(legs, emf, strict=True))
    stiff = tuple(tuple(1e-7 + 0j if i == j else 0j for j in range(3)) for i in range(3))
    branches = tuple(Branch("run", Node(s, w), Node(e, w), 1e-5 + 0j) for w in (*legs, "N"))  # type: ignore[arg-type]
    network = Network({e: (*legs, "N"), s: (*legs, "N")}, Source(windings, stiff), branches,
                      (EarthPath(s, Node(s, "N"), 1.0),))  # fmt: skip
    loads = [Draw(w, Node(e, w), Node(e, "N"), kw * 1000 + 0j, 240.0) for w, kw in zip(legs, (24, 18, 12), strict=True)]
    at = Solver(network).voltages(loads)
    amperes = [abs(at.current(branch)) for branch in branches]
    assert amperes == pytest.approx([100, 75, 50, 43.3], abs=0.05)


def test_the_half_winding_of_the_textbook_transformer() -> None:
    """A textbook's 25 kVA transformer of 1.4 + j1.2 percent: half a winding is 1.5 R + j1.2 X on 120 V, so line to
    neutral draws 208.3 A / |2.1 + j1.44| percent, line to line 104.2 A / |1.4 + j1.2| percent."""
    percent = math.hypot(1.4, 1.2)
    supply = Supply("textbook", False, 25, percent, 1.2 / 1.4, None, None, True)
    source = supply.source()
    network = Network({"utility": ("A", "B", "N")}, source, (), (EarthPath("utility", Node("utility", "N"), 1.0),))
    solver = Solver(network)
    a, b, n = (Node("utility", w) for w in ("A", "B", "N"))  # type: ignore[arg-type]
    assert abs(solver.fault(a, b)) == pytest.approx(25_000 / 240 * 100 / math.hypot(1.4, 1.2), rel=1e-4)  # 5,650 A
    assert abs(solver.fault(a, n)) == pytest.approx(25_000 / 120 * 100 / math.hypot(2.1, 1.44), rel=1e-4)  # 8,182 A


@pytest.mark.parametrize(("kva", "across_a", "half_a"), [(10, 2_002, 3_063), (25, 5_006, 7_658), (50, 10_012, 15_315)])
def test_service_transformers_of_the_open_test_feeder(kva: float, across_a: float, half_a: float) -> None:
    """IEEE 8500-node test feeder: 1.2 + j1.7 percent on every service transformer; faults worked from it."""
    supply = Supply("test feeder", False, kva, math.hypot(1.2, 1.7), 1.7 / 1.2, None, None, True)
    network = Network({"utility": ("A", "B", "N")}, supply.source(), (), (EarthPath("u", Node("utility", "N"), 1.0),))
    solver = Solver(network)
    a, b, n = (Node("utility", w) for w in ("A", "B", "N"))  # type: ignore[arg-type]
    assert abs(solver.fault(a, b)) == pytest.approx(across_a, rel=2e-3)
    assert abs(solver.fault(a, n)) == pytest.approx(half_a, rel=2e-3)
    assert 1.33 <= half_a / across_a <= 1.67  # the handouts' range, scribd 388329023


def test_a_stated_current_is_what_both_kinds_of_fault_draw_at_the_service_point() -> None:
    supply, said = supply_of(
        Utility(available_fault_current_a=14_000, x_over_r=2.0), load_va=20_000, rating_va=48_000, strength="strong"
    )
    network = Network({"utility": ("A", "B", "N")}, supply.source(), (), (EarthPath("u", Node("utility", "N"), 1.0),))
    solver = Solver(network)
    a, b, n = (Node("utility", w) for w in ("A", "B", "N"))  # type: ignore[arg-type]
    assert abs(solver.fault(a, b)) == pytest.approx(14_000, rel=1e-3)
    assert abs(solver.fault(a, n)) == pytest.approx(14_000, rel=1e-3)
    assert said == ()
