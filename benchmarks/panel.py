"""Panel layouts: proof, the plain method, three panels at once, and the same problem as a mixed-integer programme.

All are measured in one run, on the same invented panels. The mixed-integer solver is used here alone; without it, its
lines are left out and that is said.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from random import Random
from typing import Any

from driploop.panel import PanelBox, PanelCircuit, PanelProblem, share_out, solve_exact, solve_plain
from driploop.panel.units import units_of

ROOMS = (
    "kitchen",
    "cellar",
    "upstairs",
    "barn",
    "workshop",
    "yard",
    "porch",
    "dairy",
    "stable",
    "loft",
    "store",
    "pump",
)
EXACT_BOUND, PLAIN_BOUND, THREE_BOUND = 2.0, 0.050, 10.0
PLAIN_WITHIN, THREE_WITHIN = 5.0, 1.0
#: How long the mixed-integer solver may look. [s]
MIP_LIMIT = 30.0


def invented(seed: int, *, spaces: int = 42, doubles: int = 7, singles: int = 23, rooms: int = 6) -> PanelProblem:
    """A panel of a place that lives: rooms of unequal size, four working hours, a stab limit."""
    rng = Random(seed)
    circuits = []
    for number in range(doubles + singles):
        poles = 2 if number < doubles else 1
        full = rng.choice((8.3, 14.2, 18.8, 25.0, 33.3) if poles == 2 else (1.5, 3.3, 6.0, 7.5, 9.2, 12.5, 15.0))
        amperes = tuple(round(full * rng.choice((0, 0, 0.5, 0.8, 1, 1)), 1) for _ in range(4))
        rating = rng.choice((30, 40, 50) if poles == 2 else (15, 20))
        circuit = PanelCircuit(f"c{number}", f"circuit {number}", poles, rating, (amperes,) * poles,
                               room=rng.choice(ROOMS[:rooms]))  # fmt: skip
        circuits.append(circuit)
    rng.shuffle(circuits)
    box = PanelBox("box", f"{spaces} spaces", spaces, spaces, 200, "breaker", 200, stab_limit_a=140)
    return PanelProblem(box, tuple(circuits), ("milking", "irrigation", "packing", "evening"))


def timed(work: Callable[[], Any]) -> tuple[Any, float, float]:
    """The answer, and how long it took by the wall and by the processor. [s]"""
    wall, processor = time.perf_counter(), time.process_time()
    answer = work()
    return answer, time.perf_counter() - wall, time.process_time() - processor


def inside(value: float, bound: float) -> str:
    """Whether a figure is within its bound."""
    return "inside" if value <= bound else "OVER"


def measure_panels(repeats: int) -> None:
    """Print it all."""
    problems = [invented(seed) for seed in range(1, max(3, min(repeats, 8)) + 1)]
    print("42 spaces, 30 circuits, 4 working hours, rooms kept together (processor time)")
    solve_exact(problems[0])  # so that loading the solver is not counted
    exact_s, plain_s, worst = [], [], 0.0
    for number, problem in enumerate(problems, start=1):
        plain, _, plain_time = timed(lambda problem=problem: solve_plain(problem))
        exact, _, exact_time = timed(lambda problem=problem, plain=plain: solve_exact(problem, hint=plain))
        over = 100 * (plain.cost.total / exact.cost.total - 1)
        worst = max(worst, over)
        exact_s.append(exact_time)
        plain_s.append(plain_time)
        proof = "proven" if exact.proven else f"gap {exact.gap_percent:.1f} %"
        print(
            f"  panel {number}: exact {exact.cost.total} ({exact.cost.difference_a} A, {exact.cost.rows} rows, {proof})"
            f" in {exact_time * 1000:,.0f} ms; plain {plain.cost.total} ({plain.cost.difference_a} A) "
            f"in {plain_time * 1000:.0f} ms, {over:.1f} % over, says at most {plain.gap_percent:.1f} %"
        )
    median = sorted(plain_s)[len(plain_s) // 2]
    print(f"exact, slowest {max(exact_s) * 1000:10,.0f} ms   bound {EXACT_BOUND * 1000:,.0f} ms   "
          f"{inside(max(exact_s), EXACT_BOUND)}")  # fmt: skip
    print(f"plain, median  {median * 1000:10,.0f} ms   bound {PLAIN_BOUND * 1000:,.0f} ms   "
          f"{inside(median, PLAIN_BOUND)}   slowest {max(plain_s) * 1000:.0f} ms")  # fmt: skip
    print(f"plain, worst   {worst:10.1f} %    bound {PLAIN_WITHIN:g} %   {inside(worst, PLAIN_WITHIN)}")
    _three_panels()
    _as_integer_programme(problems[:2])


def _three_panels() -> None:
    whole = invented(11, spaces=52, doubles=0, singles=120, rooms=12)
    shares = share_out(whole.circuits, [whole.box])

    def both() -> tuple[int, int]:
        total = bound = 0
        for circuits in shares:
            problem = PanelProblem(whole.box, circuits, whole.hours)
            solved = solve_exact(problem, hint=solve_plain(problem))
            assert solved is not None
            total, bound = total + solved.cost.total, bound + solved.bound
        return total, bound

    (total, bound), wall, _ = timed(both)
    gap = 100 * (total - bound) / bound
    print(f"{len(shares)} panels, 120 circuits: cost {total}, bound {bound}, gap {gap:.2f} % "
          f"(bound {THREE_WITHIN:g} %: {inside(gap, THREE_WITHIN)}) in {wall:.1f} s "
          f"(bound {THREE_BOUND:g} s: {inside(wall, THREE_BOUND)})")  # fmt: skip


def _as_integer_programme(problems: list[PanelProblem]) -> None:
    try:
        import highspy  # noqa: F401
    except ImportError:
        print("HiGHS is not installed, so the mixed-integer programme is left out: pip install highspy")
        return
    for number, problem in enumerate(problems, start=1):
        exact, exact_time, _ = timed(lambda problem=problem: solve_exact(problem, hint=solve_plain(problem)))
        (cost, bound), mip_time, _ = timed(lambda problem=problem: integer_programme(problem))
        proof = "proven" if bound >= cost - 0.5 else f"bound {bound:.0f}"
        ratio = f"{mip_time / exact_time:.0f} times as long"
        print(f"  panel {number} as a mixed-integer programme in HiGHS: cost {cost:.0f} ({proof}) in {mip_time:.1f} s; "
              f"constraint solver {exact.cost.total} in {exact_time:.2f} s: {ratio}")  # fmt: skip


def integer_programme(problem: PanelProblem) -> tuple[float, float]:
    """The same problem with a yes or no for every breaker and row: its cost, and the bound that was proven.

    The stab limit, the worst difference rounded up, and the rows of each room are those of the layouts; sides are not
    asked, as in the other model.
    """
    import highspy
    import numpy

    units = units_of(problem)
    rows = problem.box.spaces // 2
    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.silent()
    model.setOptionValue("time_limit", MIP_LIMIT)
    model.setOptionValue("threads", 2)
    integer = highspy.HighsVarType.kInteger
    at = [[model.addVariable(0, 1, type=integer) for _ in range(rows - unit.size + 1)] for unit in units]
    turned = [model.addVariable(0, 1, type=integer) for _ in units]
    for each in at:
        model.addConstr(sum(each) == 1)
    for row in range(rows):
        here = [(each[start], unit) for each, unit in zip(at, units, strict=True)
                for start in range(max(0, row - unit.size + 1), min(row, rows - unit.size) + 1)]  # fmt: skip
        model.addConstr(sum(one for one, _ in here) <= 2)
        if problem.box.stab_limit_a is not None:
            model.addConstr(sum(unit.rating_a * one for one, unit in here) <= problem.box.stab_limit_a)
    difference = model.addVariable(0, float(numpy.inf), type=integer)
    for hour in range(len(problem.hours)):
        signed = 0
        for unit, each, turn in zip(units, at, turned, strict=True):
            swing = unit.swing[hour]
            if unit.size == 1:
                signed = signed + sum((swing if row % 2 == 0 else -swing) * one for row, one in enumerate(each))
            elif swing:
                signed = signed + 2 * swing * turn - swing
        model.addConstr(signed - 10 * difference <= 0)
        model.addConstr(signed + 10 * difference >= 0)
    spans = []
    for room in dict.fromkeys(room for unit in units for room in unit.rooms):
        first, last = model.addVariable(0, rows - 1), model.addVariable(0, rows - 1)
        members = [(unit, each) for unit, each in zip(units, at, strict=True) if room in unit.rooms]
        for unit, each in members:
            row = sum(number * one for number, one in enumerate(each))
            model.addConstr(first - row <= 0)
            model.addConstr(last - row >= unit.size - 1)
        least = -(-sum(unit.size for unit, _ in members) // 2)
        model.addConstr(last - first >= least - 1)
        spans.append(last - first + 1)
    model.minimize(difference + 2 * sum(spans))
    info = model.getInfo()
    return float(info.objective_function_value), float(info.mip_dual_bound)
