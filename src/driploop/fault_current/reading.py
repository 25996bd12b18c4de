"""Fault currents of an installation, each question worked out when it is first asked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition, common_table
from driploop.fault_current.hand import HandFault, Step, down, start_of
from driploop.fault_current.results import FaultCurrents, RatingCheck, ServedBy, TripCheck
from driploop.fault_current.trips import check_trip
from driploop.grounding.results import NeutralBond
from driploop.installation.graph import UTILITY, Graph
from driploop.installation.model import Equipment, Load, Run
from driploop.loads.nameplate import MOTOR_KINDS, read_nameplate
from driploop.loads.results import LoadReading
from driploop.network import LEG_V, Built, CaseName, Node, Solver, build_network, temperature_facts
from driploop.worksheet import Assumption, Worksheet, WorksheetWriter, unique


@dataclass(frozen=True)
class FaultReading:
    """Fault currents of one installation, by equipment id.

    Nothing is computed before it is asked for, and each case is solved once for all enclosures together.
    """

    graph: Graph
    loads: LoadReading
    conductors: ConductorReading
    bonds: Mapping[str, NeutralBond]
    edition: Edition

    @cached_property
    def strong(self) -> tuple[Built, Solver]:
        """The network for the largest fault: cold wires, strongest supply, unknown lengths left out."""
        return self._case("strong")

    @cached_property
    def low(self) -> tuple[Built, Solver]:
        """The network for the least that the largest fault may be: cold wires, every unknown at its weakest."""
        return self._case("low")

    @cached_property
    def weak(self) -> tuple[Built, Solver]:
        """The network for the smallest fault: hot wires, weakest supply, long runs."""
        return self._case("weak")

    def _case(self, name: CaseName) -> tuple[Built, Solver]:
        built = build_network(self.graph, self.loads, self.conductors, self.bonds, case=name, edition=self.edition)
        return built, Solver(built.network)

    @cached_property
    def largest(self) -> Mapping[str, FaultCurrents]:
        """The largest bolted faults, motors left out."""
        return _faults(*self.strong)

    @cached_property
    def least_of_largest(self) -> Mapping[str, FaultCurrents]:
        """The least that the largest bolted faults may turn out to be when every unknown is answered."""
        return _faults(*self.low)

    @cached_property
    def smallest(self) -> Mapping[str, FaultCurrents]:
        """The smallest bolted faults."""
        return _faults(*self.weak)

    @cached_property
    def motor_load_a(self) -> float:
        """Full-load current of every motor on the site. [A]"""
        return sum(self._motor_a(load) for load in self.graph.installation.loads.values() if _is_motor(load))

    def _motor_a(self, load: Load) -> float:
        circuit = self.graph.installation.circuits.get(load.circuit or "")
        plate = read_nameplate(
            load, circuit=circuit, building=load.building, system_volts=2 * LEG_V, edition=self.edition
        )
        return plate.motor_va * load.count / (LEG_V if plate.line_to_neutral else 2 * LEG_V)

    @cached_property
    def motor_share_a(self) -> float:
        """What the motors add to the largest fault anywhere on the site. [A]"""
        return self.motor_load_a * motor_facts()["fault_multiple"]

    def available_a(self, equipment: str) -> float:
        """The largest current of any fault at an enclosure, motors and all: what its mark says. [A]

        Raises KeyError where no known supply reaches it.
        """
        return self.largest[equipment].largest_a + self.motor_share_a

    @property
    def supply_known(self) -> bool:
        """Whether the utility's figure or its transformer with impedance is known."""
        return self.strong[0].supply.known

    @property
    def transformer_known(self) -> bool:
        """Whether at least the size of the transformer is known, or the utility's figure."""
        utility = self.graph.installation.utility
        return utility.available_fault_current_a is not None or utility.transformer_kva is not None

    # --- ratings ---------------------------------------------------------------------------------------------------

    def rating(self, equipment: Equipment) -> RatingCheck | None:
        """Whether an enclosure can interrupt what may flow at it; None where no known supply reaches it."""
        if equipment.id not in self.largest:
            return None
        most_a = self.available_a(equipment.id)
        own, series = equipment.interrupting_rating_a, self._series_a(equipment)
        best = max((a for a in (own, series) if a is not None), default=None)
        by: ServedBy = "" if best is None else "its own rating" if best == own else "a tested series combination"
        if best is None:
            return RatingCheck(equipment.id, None, most_a, self._least_a(equipment.id), "not known", "")
        if best >= most_a:
            return RatingCheck(equipment.id, best, most_a, most_a, "enough", by)
        least_a = self._least_a(equipment.id)
        return RatingCheck(equipment.id, best, most_a, least_a, "short" if best < least_a else "open", by)

    def _least_a(self, equipment: str) -> float:
        return self.least_of_largest[equipment].largest_a

    def _series_a(self, equipment: Equipment) -> float | None:
        """A tested combination counts as its label states it, and not where much motor load feeds in behind it."""
        if equipment.series_rating != "marked" or equipment.series_rated_a is None:
            return None
        lower = equipment.interrupting_rating_a
        limit = self.edition.value("fault_mark_threshold_percent").number / 100
        if lower is None or self.motor_load_a > lower * limit:
            return None
        return equipment.series_rated_a

    # --- trips -----------------------------------------------------------------------------------------------------

    @cached_property
    def trips(self) -> Mapping[str, TripCheck]:
        """By run: whether its device opens on the smallest fault at its far end. Runs without a known device are left
        out."""
        built, solver = self.weak
        checks: dict[str, TripCheck] = {}
        for id in self.graph.order:
            run = self.graph.feeding_run(id)
            if run is None or run.id not in built.wires:
                continue
            device_a = self._device_a(run)
            if device_a is not None:
                checks[run.id] = check_trip(run, device_a, self.smallest[id], built, solver, edition=self.edition)
        return checks

    def _device_a(self, run: Run) -> float | None:
        if self.graph.is_service_run(run) or run.ocpd == "none":
            return None
        sizing = self.conductors.runs.get(run.id)
        return run.ocpd_a or (sizing.ocpd_a if sizing else None)

    # --- the hand method beside it -----------------------------------------------------------------------------------

    @cached_property
    def by_hand(self) -> Mapping[str, HandFault]:
        """The largest faults by the point-to-point method."""
        return {id: fault for id, (fault, _) in self._hand.items()}

    @cached_property
    def worksheets(self) -> tuple[Worksheet, ...]:
        """One worksheet an enclosure: the hand method step by step, then the model's answers."""
        return tuple(sheet for _, sheet in self._hand.values())

    @cached_property
    def _hand(self) -> Mapping[str, tuple[HandFault, Worksheet]]:
        built = self.strong[0]
        made: dict[str, tuple[HandFault, Worksheet]] = {}
        for id in self.graph.order:
            run = self.graph.feeding_run(id)
            if run is None or run.id not in built.wires:
                continue
            sheet = WorksheetWriter(f"fault/{id}", f"Fault current at {self.graph.equipment(id).title}")
            above = made.get(run.from_ or "")
            if above is None:
                supply = built.supply
                fault = start_of(
                    sheet, kva=supply.kva, impedance_percent=supply.impedance_percent, stated_a=supply.stated_a
                )
            else:
                fault = above[0]
                above_title = self.graph.equipment(run.from_ or "").title
                sheet.number(f"At {above_title}, line to line", "its own worksheet", round(fault.line_to_line_a), "A")
            fault = down(
                sheet, fault, self._step(run), temperature_c=temperature_facts()["cold_c"], edition=self.edition
            )
            self._model_lines(sheet, id)
            made[id] = (fault, sheet.done())
        return made

    def _step(self, run: Run) -> Step:
        wires = self.strong[0].wires[run.id]
        sizing = self.conductors.runs.get(run.id)
        sets = sizing.sets if sizing else run.sets
        return Step(run.title, wires.length_ft, wires.line_size, wires.metal, run.method, sets)

    def _model_lines(self, sheet: WorksheetWriter, id: str) -> None:
        large, small = self.largest[id], self.smallest[id]
        words = "network of the installation, cold wires, supply at its strongest"
        for name, current in (
            ("line to line", large.line_to_line_a),
            ("line to neutral", large.line_to_neutral_a),
            ("line to ground", large.line_to_ground_a),
        ):
            if current is not None:
                sheet.number(f"By the model, {name}", words, round(current), "A")
        if self.motor_share_a:
            multiple = motor_facts()["fault_multiple"]
            working = f"{multiple:g} x {self.motor_load_a:,.1f} A of running motors"
            sheet.number("Motors feed in", working, round(self.motor_share_a), "A", key="motors")
        section = self.edition.section("interrupting-rating")
        working = "the largest kind and the motors"
        sheet.number("Available fault current", working, round(self.available_a(id)), "A", section, key="available")
        sheet.number(
            "Smallest fault",
            "hot wires, supply at its weakest, long runs",
            round(small.smallest_a),
            "A",
            key="smallest",
        )

    @cached_property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What was assumed on the way."""
        return unique((*self.strong[0].assumptions, *self.weak[0].assumptions))


def read_fault_currents(
    graph: Graph,
    loads: LoadReading,
    conductors: ConductorReading,
    bonds: Mapping[str, NeutralBond],
    *,
    edition: Edition,
) -> FaultReading:
    """Fault currents of every enclosure of an installation.

    Args:
        graph: the installation.
        loads: its calculated loads; they bound a transformer that nobody stated.
        conductors: its runs.
        bonds: where the code wants neutral and enclosure joined; speaks where nobody looked.
        edition: the code edition to ask.

    Returns:
        A reading that answers what it is asked.
    """
    return FaultReading(graph, loads, conductors, bonds, edition)


def _faults(built: Built, solver: Solver) -> dict[str, FaultCurrents]:
    found: dict[str, FaultCurrents] = {}
    idle = solver.idle
    for bus, wires in reversed(list(built.network.buses.items())):
        if bus == UTILITY:
            continue
        a, b = Node(bus, "A"), Node(bus, "B")

        def worst(wire: Node, *, of: tuple[Node, Node] = (a, b)) -> float:
            return max(abs(solver.fault(leg, wire, before=idle)) for leg in of)

        found[bus] = FaultCurrents(
            equipment=bus,
            line_to_line_a=abs(solver.fault(a, b, before=idle)),
            line_to_neutral_a=worst(Node(bus, "N")) if "N" in wires else None,
            line_to_ground_a=worst(Node(bus, "G")) if "G" in wires else None,
        )
    return found


def _is_motor(load: Load) -> bool:
    return load.kind in MOTOR_KINDS or load.hp is not None


@lru_cache(maxsize=1)
def motor_facts() -> Mapping[str, float]:
    """What motors add to a fault and take when they start, by name."""
    return {str(row["item"]): float(row["value"] or 0) for row in common_table("motor_contribution").rows}
