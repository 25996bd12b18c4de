"""How long the electrical model takes: all cases of the demo, beside OpenDSS and pandapower where they are there."""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from driploop.network import Built, Solver
    from driploop.rules import Readings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # threads that wait for each other would count as work
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))  # the witness of the tests measures here too

#: All steady, starting, fault and open-neutral cases of the demo [s], and how many enclosures growth is followed to.
CASES_BOUND = 0.100
LARGEST_ENCLOSURES = 2_000


def demo() -> tuple[Readings, ...]:
    """The demo as found and as proposed."""
    from bench import DEMO

    from driploop import plan, read_job

    made = plan(read_job(DEMO))
    return tuple(r for r in (made.found, made.proposed) if r is not None)


def fresh(r: Readings) -> Readings:
    """The same readings with nothing of the physics computed yet."""
    from dataclasses import replace

    return replace(r)


def all_cases(readings: tuple[Readings, ...]) -> int:
    """Everything the packet and the commands may ask; how many cases that were."""
    return sum(sum(1 for _ in cases_of(fresh(r))) for r in readings)


def cases_of(r: Readings) -> Iterator[object]:
    """Faults of each kind at each enclosure in three cases, each load by itself, each start, each open neutral."""
    for faults in (r.faults.largest, r.faults.least_of_largest, r.faults.smallest):
        yield from (current for found in faults.values() for current in found.known)
    v = r.voltages
    yield v.calculated
    yield from v.starts
    yield from v.open_neutrals
    for each in v._listed[0]:
        yield v.solver.voltages([each.draw])


def per_case(work: Callable[[], int], repeats: int) -> float:
    """The least processor time of one case [s]: what other programs take of the machine is left out."""
    best = float("inf")
    for _ in range(repeats):
        start = time.process_time()
        count = work()
        best = min(best, (time.process_time() - start) / count)
    return best


def measure(repeats: int) -> None:
    """Print times, ratios and growth."""
    from bench import median_of, report

    readings = demo()
    count = all_cases(readings)
    report(f"all {count} cases, processor time", per_case(lambda: all_cases(readings), repeats) * count, CASES_BOUND)
    report("  by the clock", median_of(lambda: all_cases(readings), repeats))
    built, solver = readings[-1].faults.weak
    ours = {
        "fault": per_case(lambda: our_faults(built), repeats),
        "steady": per_case(lambda: our_steady(built), repeats),
        "repeated steady": per_case(lambda: our_again(solver), repeats),
    }
    for kind, best in ours.items():
        print(f"  {f'one {kind} case, ours':<47}{best * 1e6:10,.1f} us")
    beside_opendss(built, ours, repeats)
    beside_pandapower(built, ours, repeats)
    many_at_once(repeats)
    growth(repeats)


def our_faults(built: Built) -> int:
    """Every fault of one network, factored anew."""
    from driploop.network import Node, Solver

    solver = Solver(built.network)
    idle, count = solver.idle, 0
    for bus, wires in built.network.buses.items():
        for wire in wires:
            if wire != "A":
                solver.fault(Node(bus, "A"), Node(bus, wire), before=idle)
                count += 1
    return count


def our_steady(built: Built) -> int:
    """One steady case by itself: network factored and solved."""
    from driploop.network import Solver

    assert Solver(built.network).idle
    return 1


def our_again(solver: Solver) -> int:
    """The steady case of a network that is factored already."""
    assert solver.idle
    return 1


def beside_opendss(built: Built, ours: dict[str, float], repeats: int) -> None:
    """The same faults and the same steady case in OpenDSS."""
    if importlib.util.find_spec("opendssdirect") is None:
        print("  OpenDSS is not installed here (requirements-dev.txt has it)")
        return
    from driploop.network import Node
    from network.opendss import Witness

    def their_faults() -> int:
        witness, count = Witness(built), 0
        for bus, wires in built.network.buses.items():
            for wire in wires:
                if wire != "A":
                    witness.fault_a(Node(bus, "A"), Node(bus, wire))
                    count += 1
        return count

    def their_steady() -> int:
        assert Witness(built).voltages()
        return 1

    for kind, work in (("fault", their_faults), ("steady", their_steady)):
        theirs = per_case(work, max(2, repeats // 5))
        print(f"  one {kind} case, OpenDSS{'':<24}{theirs * 1e6:10,.1f} us   {theirs / ours[kind]:.0f} times ours")
    kept = Witness(built)
    theirs = per_case(lambda: bool(kept.voltages()) and 1, max(2, repeats // 5))
    again = theirs / ours["repeated steady"]
    print(f"  the same steady case solved again, OpenDSS{'':<5}{theirs * 1e6:10,.1f} us   "
          f"{again:.0f} times ours (circuit kept, answers read)")  # fmt: skip


def beside_pandapower(built: Built, ours: dict[str, float], repeats: int) -> None:
    """A balanced power flow over the same runs: pandapower has no neutral and no tapped winding, so only that."""
    python = Path(sys.prefix) / "pandapower" / "bin" / "python"
    if not python.exists():
        print("  pandapower has no environment here: `make bench` makes one where its packages can be had")
        return
    asked = {
        "buses": list(built.network.buses),
        "source": "utility",
        # There and back in one line; a single-phase load of P on it is one of 3 P on three phases of the same line.
        "lines": [
            (b.from_.bus, b.to.bus, 2 * b.impedance_ohm.real or 1e-5, 2 * b.impedance_ohm.imag)
            for b in built.network.branches
            if b.to.wire == "A"
        ],
        "loads": [(bus, 1_000.0) for bus in built.network.buses if bus != "utility"],
        "repeats": max(5, repeats),
    }
    told = subprocess.run(
        [python, "-I", Path(__file__).with_name("pandapower_case.py")],
        input=json.dumps(asked), capture_output=True, text=True, check=False,
    )  # fmt: skip
    if told.returncode:
        print(f"  pandapower could not solve the case: {told.stderr.strip().splitlines()[-1:]}")
        return
    theirs = json.loads(told.stdout)
    ratio = theirs["seconds"] / ours["steady"]
    name = f"one steady case, pandapower {theirs['version']}"
    print(f"  {name:<47}{theirs['seconds'] * 1e6:10,.1f} us   {ratio:.0f} times ours (balanced, no neutral)")


def many_at_once(repeats: int) -> None:
    """Thousands of ways to load the demo, one after the other and by numpy."""
    import random

    from driploop.network import voltages_of_many
    from driploop.voltage.draws import listed

    r = demo()[-1]
    v = r.voltages
    draws = [each.draw for each in listed(r.graph, v.built.network, v.across_v, [], edition=r.edition)]
    pick = random.Random(1)
    shares = [[pick.random() for _ in draws] for _ in range(2_000)]

    def solve(count: int, *, plain: bool) -> int:
        return sum(1 for _ in voltages_of_many(v.solver, draws, shares[:count], plain=plain))

    plain = per_case(lambda: solve(200, plain=True), max(2, repeats // 5))
    quick = per_case(lambda: solve(2_000, plain=False), max(2, repeats // 5))
    print(f"  one of 2,000 ways to load the demo{'':<13}{plain * 1e6:10,.1f} us, by numpy {quick * 1e6:,.1f} us: "
          f"{plain / quick:.1f} times faster")  # fmt: skip


def growth(repeats: int) -> None:
    """All largest faults of the demo repeated side by side."""
    from bench import DEMO, report, slope
    from growth import repeated

    from driploop import read_job
    from driploop.alternatives.reading import read_installation
    from driploop.editions import load_edition

    job = read_job(DEMO)
    edition = load_edition(job.town.edition or "")
    points = []
    for wanted in (20, 60, 200, 600, LARGEST_ENCLOSURES):
        larger = repeated(job, copies=max(1, round(wanted / len(job.found.equipment))))
        r = read_installation(larger, larger.found, edition=edition)
        number = len(r.installation.equipment)
        seconds = per_case(lambda r=r: len(fresh(r).faults.largest) and 1, max(2, repeats // 5))
        points.append((float(number), seconds))
        report(f"every fault of {number:,} enclosures", seconds)
    deep = [(float(n), per_case(lambda n=n: our_faults(chain(n)) and 1, 2)) for n in (100, 500, LARGEST_ENCLOSURES)]
    report(f"the same in one chain of {LARGEST_ENCLOSURES:,}", deep[-1][1])
    print(f"cost grows as enclosures to the power {slope(points):.2f} side by side, {slope(deep):.2f} in a chain")


def chain(number: int) -> Built:
    """So many enclosures one behind the other."""
    from dataclasses import replace

    from driploop.network import Branch, Node

    built = demo_built()
    buses = {f"e{n}": ("A", "B", "N", "G") for n in range(number, 0, -1)} | {"utility": ("A", "B", "N")}
    branches = []
    for n in range(1, number + 1):
        above = f"e{n - 1}" if n > 1 else "utility"
        for wire in ("A", "B", "N", "G"):
            start = "N" if n == 1 and wire == "G" else wire
            branches.append(Branch(f"r{n}", Node(above, start), Node(f"e{n}", wire), 0.01 + 0.004j))
    network = replace(
        built.network, buses=buses, branches=tuple(branches), earth=built.network.earth[:1], bonded=frozenset()
    )
    return replace(built, network=network)


def demo_built() -> Built:
    """The demo's network, read once."""
    if not _KEPT:
        _KEPT.append(demo()[-1].faults.weak[0])
    return _KEPT[0]


_KEPT: list[Built] = []
