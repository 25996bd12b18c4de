"""The best layout with its proof, by the constraint solver of OR-tools. Loaded only when it is asked for.

Both sides of a row hang on the same line, so a layout is first of all a row for every breaker; its side is asked only
where something ties it (a short wire, an interlock, a tandem, the space it holds today). Breakers of two spaces that
never lie three deep in a row can always be dealt to two sides.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Protocol

from driploop.panel.bound import least_difference, least_rows, lower_bound
from driploop.panel.cost import AMPERE, MOVE, ROW, TENTHS, cost_of
from driploop.panel.deal import dealt
from driploop.panel.errors import NoSolverError
from driploop.panel.geometry import row_of, rows_of, side_of
from driploop.panel.results import Layout, PanelProblem, Solved
from driploop.panel.units import Unit, units_of

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel, IntVar

#: Where the search stops without a proof. It counts steps, not seconds, so that every machine stops at the same place.
DETERMINISTIC_LIMIT = 20.0
SEED = 1


class Watch(Protocol):
    """Whoever waits for a search, from another thread than it runs in."""

    def begun(self, stop: Callable[[], None]) -> None:
        """The search has begun; ``stop`` ends it with the best that was found by then."""

    def better(self, cost: int, bound: int) -> None:
        """A layout of this cost was found, and none can cost less than the bound."""


def solve_exact(
    problem: PanelProblem, *, hint: Solved | None = None, others: int = 0, limit: float = DETERMINISTIC_LIMIT,
    watch: Watch | None = None,
) -> Solved | None:  # fmt: skip
    """The best layout, proven where the limit allows.

    Args:
        problem: the box and the circuits.
        hint: a layout to start from.
        others: how many further layouts, exactly as good, to look for.
        limit: how long to search, in the solver's own steps.
        watch: is told how far the search is, and may end it.

    Returns:
        The layout; None where there is no lawful one.

    Raises:
        NoSolverError: OR-tools is not installed.
    """
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        raise NoSolverError(
            "The exact panel layout needs OR-tools, which is not installed.\n"
            '  do       pip install "driploop[panel]", or leave the exact solver out: the plain method needs nothing.'
        ) from None

    built = _Model(problem, cp_model)
    if hint is not None:
        built.hint(hint.layout)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = SEED
    solver.parameters.max_deterministic_time = limit
    # Measured: with the linear relaxation the proof takes five times as long, with the search from below two thirds.
    solver.parameters.linearization_level = 0
    solver.parameters.use_objective_lb_search = True
    status = solver.solve(built.model, _told(watch, solver, cp_model) if watch is not None else None)
    if status == cp_model.INFEASIBLE:
        return None
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return hint
    layout = built.read(solver)
    cost = cost_of(problem, layout)
    bound = min(cost.total, max(built.least, math.ceil(solver.best_objective_bound - 1e-6)))
    found: list[Layout] = []
    if status == cp_model.OPTIMAL:
        for _ in range(others):
            built.forbid(solver, cost.total)
            if solver.solve(built.model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                break
            found.append(built.read(solver))
    return Solved("exact", layout, cost, bound, tuple(found))


def _told(watch: Watch, solver: Any, cp_model: Any) -> Any:
    """A callback of the solver that hands on what it finds."""

    class Telling(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]  # the class comes with the library
        def on_solution_callback(self) -> None:
            watch.better(round(self.objective_value), math.ceil(self.best_objective_bound - 1e-6))

    watch.begun(solver.stop_search)
    return Telling()


@dataclass(slots=True)
class _Placed:
    """The variables of one unit."""

    unit: Unit
    row: IntVar
    on_a: IntVar  # its first pole hangs on line A
    left: IntVar | None
    whole: IntVar | None  # False where it sits in half a tandem space


class _Model:
    def __init__(self, problem: PanelProblem, cp_model: Any) -> None:
        self.problem, self.cp_model = problem, cp_model
        self.model: CpModel = cp_model.CpModel()
        self.units = units_of(problem)
        self.rows = rows_of(problem.box)
        self.pairs = max(0, sum(unit.size for unit in self.units) - problem.box.spaces)
        self.halves: dict[tuple[int, int], IntVar] = {}  # (unit, space) in half of it
        self.cost_parts: list[Any] = []
        self.least = lower_bound(problem, self.units)
        self.sides_matter = self.pairs > 0 or any(self._tied_to_a_side(unit) for unit in self.units)
        self.placed = [self._unit(i, unit) for i, unit in enumerate(self.units)]
        self._room_for_all()
        self._balance()
        self._togetherness()
        self._stabs()
        self.cost = sum(self.cost_parts)
        self.model.minimize(self.cost)

    # --- one breaker -------------------------------------------------------------------------------------------------

    def _tied_to_a_side(self, unit: Unit) -> bool:
        mirrored = {space + 1 if space % 2 else space - 1 for space in unit.anywhere}
        return unit.held_today or mirrored != unit.anywhere

    def _unit(self, i: int, unit: Unit) -> _Placed:
        model = self.model
        rows = sorted({row_of(space) for space in unit.anywhere})
        row = model.new_int_var_from_domain(self.cp_model.Domain.from_values(rows), f"row {i}")
        on_a = model.new_bool_var(f"on A {i}")
        whole = model.new_bool_var(f"whole {i}") if self.pairs and unit.tandem else None
        left = model.new_bool_var(f"left {i}") if self.sides_matter else None
        if unit.size == 1:  # a double's poles may be turned round, so its lines do not hang on its row
            half = model.new_int_var(0, self.rows, "")
            model.add(row == 2 * half + 1 - on_a)
        placed = _Placed(unit, row, on_a, left, whole)
        if left is not None or (unit.size == 2 and unit.starts != unit.flipped_starts):
            self._allow(placed)
        return placed

    def _allow(self, placed: _Placed) -> None:
        """Spaces and ways up that the unit may take, and what it costs to leave the space it holds today."""
        unit = placed.unit
        moved = self.model.new_int_var(0, len(unit.circuits), "") if unit.held_today else None
        ways = []
        for flipped, starts in ((False, unit.starts), (True, unit.flipped_starts)):
            for space in sorted(starts):
                way = [row_of(space), int((row_of(space) % 2 == 0) != flipped)]
                if placed.left is not None:
                    way.append(int(side_of(space) == "left"))
                if moved is not None:
                    way.append(unit.moved(space, flipped=flipped))
                ways.append(tuple(way))
        variables = [each for each in (placed.row, placed.on_a, placed.left, moved) if each is not None]
        self.model.add_allowed_assignments(variables, sorted(set(ways)))
        if moved is not None:
            self.cost_parts.append(MOVE * moved)

    # --- all of them -------------------------------------------------------------------------------------------------

    def _interval(self, row: Any, size: int, present: list[IntVar]) -> Any:
        model = self.model
        if not present:
            return model.new_fixed_size_interval_var(row, size, "")
        if len(present) == 1:
            return model.new_optional_fixed_size_interval_var(row, size, present[0], "")
        both = model.new_bool_var("")
        model.add_bool_and(present).only_enforce_if(both)
        model.add_bool_or([literal.negated() for literal in present] + [both])
        return model.new_optional_fixed_size_interval_var(row, size, both, "")

    def _room_for_all(self) -> None:
        model = self.model
        tandems = self._tandems()
        intervals, demands = [], []
        sides: dict[str, list[Any]] = {"left": list(tandems["left"]), "right": list(tandems["right"])}
        for placed in self.placed:
            present = [placed.whole] if placed.whole is not None else []
            intervals.append(self._interval(placed.row, placed.unit.size, present))
            demands.append(1)
            if placed.left is not None:
                for side, literal in (("left", placed.left), ("right", placed.left.negated())):
                    sides[side].append(self._interval(placed.row, placed.unit.size, [*present, literal]))
        for each in (*tandems["left"], *tandems["right"]):
            intervals.append(each)
            demands.append(1)
        model.add_cumulative(intervals, demands, 2)
        if self.sides_matter:
            for each_side in sides.values():
                model.add_no_overlap(each_side)

    def _tandems(self) -> dict[str, list[Any]]:
        """Spaces that hold two circuits: as few as are needed, only where the panel lists them."""
        model = self.model
        made: dict[str, list[Any]] = {"left": [], "right": []}
        if not self.pairs:
            return made
        used = []
        for space in self.problem.box.tandem_spaces:
            shared = model.new_bool_var(f"tandem {space}")
            mine = []
            for i, placed in enumerate(self.placed):
                if placed.whole is not None and space in placed.unit.starts:
                    half = self.halves[i, space] = model.new_bool_var("")
                    model.add(placed.row == row_of(space)).only_enforce_if(half)
                    assert placed.left is not None
                    side = placed.left if side_of(space) == "left" else placed.left.negated()
                    model.add_implication(half, side)
                    mine.append(half)
            model.add(sum(mine) == 2 * shared)
            interval = model.new_optional_fixed_size_interval_var(row_of(space), 1, shared, "")
            made[side_of(space)].append(interval)
            used.append(shared)
        model.add(sum(used) == self.pairs)
        for i, placed in enumerate(self.placed):
            if placed.whole is not None:
                model.add(sum(half for (each, _), half in self.halves.items() if each == i) == 1 - placed.whole)
        return made

    def _balance(self) -> None:
        model = self.model
        most = sum(max(pole, default=0) for unit in self.units for pole in unit.poles)
        difference = model.new_int_var(least_difference(self.problem), most // TENTHS + 1, "difference")
        for hour in range(len(self.problem.hours)):
            terms, steady = [], 0
            for placed in self.placed:
                swing = placed.unit.swing[hour]
                terms.append(2 * swing * placed.on_a)
                steady += swing
            model.add(sum(terms) - steady <= TENTHS * difference)
            model.add(sum(terms) - steady >= -TENTHS * difference)
        self.cost_parts.append(AMPERE * difference)

    def _togetherness(self) -> None:
        model = self.model
        rooms: dict[str, list[_Placed]] = defaultdict(list)
        for placed in self.placed:
            for room in placed.unit.rooms:
                rooms[room].append(placed)
        for room, members in rooms.items():
            first, last = model.new_int_var(0, self.rows - 1, ""), model.new_int_var(0, self.rows - 1, "")
            for placed in members:
                model.add(first <= placed.row)
                model.add(last >= placed.row + placed.unit.size - 1)
            # What no single row tells: a room's spaces fill at least half as many rows.
            least = least_rows([placed.unit for placed in members], tandems=self.pairs)
            span = model.new_int_var(least, self.rows, f"rows of {room}")
            model.add(span == last - first + 1)
            self.cost_parts.append(ROW * span)

    def _stabs(self) -> None:
        limit = self.problem.box.stab_limit_a
        if limit is None:
            return
        heaviest = sorted((unit.rating_a for unit in self.units for _ in unit.poles), reverse=True)
        if sum(heaviest[: 4 if self.pairs else 2]) <= limit:
            return
        intervals, demands = [], []
        for i, placed in enumerate(self.placed):
            present = [placed.whole] if placed.whole is not None else []
            intervals.append(self._interval(placed.row, placed.unit.size, present))
            demands.append(math.ceil(placed.unit.rating_a))
            for (unit, space), half in self.halves.items():
                if unit == i:
                    intervals.append(self.model.new_optional_fixed_size_interval_var(row_of(space), 1, half, ""))
                    demands.append(math.ceil(placed.unit.rating_a))
        self.model.add_cumulative(intervals, demands, math.floor(limit))

    # --- in and out --------------------------------------------------------------------------------------------------

    def hint(self, layout: Layout) -> None:
        """Start from a layout."""
        at = {place.circuit: place for place in layout}
        for placed in self.placed:
            mine = [at[circuit.id] for circuit in placed.unit.circuits]
            upper = min(space for place in mine for space in place.spaces)
            first = mine[0].spaces[0]
            self.model.add_hint(placed.row, row_of(upper))
            self.model.add_hint(placed.on_a, row_of(first) % 2 == 0)
            if placed.left is not None:
                self.model.add_hint(placed.left, side_of(upper) == "left")
            if placed.whole is not None:
                self.model.add_hint(placed.whole, not mine[0].half)

    def read(self, solver: Any) -> Layout:
        """The layout that the solver stopped at."""
        rows: list[tuple[Unit, int, bool, str | None, bool]] = []
        for placed in self.placed:
            row = solver.value(placed.row)
            flipped = (row % 2 == 0) != bool(solver.value(placed.on_a))
            side = None if placed.left is None else "left" if solver.value(placed.left) else "right"
            whole = placed.whole is None or bool(solver.value(placed.whole))
            rows.append((placed.unit, row, flipped and placed.unit.size == 2, side, whole))
        return dealt(self.problem, rows)

    def forbid(self, solver: Any, total: int) -> None:
        """Ask for another layout of the same cost that puts some circuit on another line."""
        changed = []
        for placed in self.placed:
            if any(placed.unit.swing):
                changed.append(placed.on_a.negated() if solver.value(placed.on_a) else placed.on_a)
        # The same with both lines exchanged is no other layout to whoever reads the balance.
        self.model.add_bool_or(changed)
        self.model.add_bool_or([literal.negated() for literal in changed])
        self.model.clear_objective()
        self.model.clear_hints()
        self.model.add(self.cost <= total)
