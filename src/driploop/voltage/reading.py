"""Voltages of an installation, each question worked out when it is first asked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.results import NeutralBond
from driploop.installation.graph import AGRICULTURAL_USES, UTILITY, Graph
from driploop.installation.model import Load, WorkingHours
from driploop.loads.results import LoadReading
from driploop.network import LEG_V, Built, Draw, Node, Solver, Wire, build_network, temperature_facts
from driploop.voltage.draws import LoadDraw, advice, calculated, listed, running
from driploop.voltage.neutral_to_earth import Running, read_neutral_to_earth
from driploop.voltage.open_neutral import opened
from driploop.voltage.results import DropAdvice, EarthVoltage, MotorStart, OpenNeutral, Scenario, WireChoice
from driploop.voltage.scenario import solved
from driploop.voltage.starting import start
from driploop.voltage.wire_choice import choices
from driploop.worksheet import Assumption, Cited, DriploopError, Worksheet, WorksheetWriter, unique

CALCULATED = "Calculated load"


@dataclass(frozen=True)
class VoltageReading:
    """Voltages of one installation. Nothing is computed before it is asked for."""

    graph: Graph
    loads: LoadReading
    conductors: ConductorReading
    bonds: Mapping[str, NeutralBond]
    edition: Edition

    @cached_property
    def built(self) -> Built:
        """The network: hot wires, weakest supply, long runs."""
        return build_network(self.graph, self.loads, self.conductors, self.bonds, case="weak", edition=self.edition)

    @cached_property
    def solver(self) -> Solver:
        """It, factored."""
        return Solver(self.built.network)

    @cached_property
    def across_v(self) -> float:
        """Line to line without load. [V]"""
        return abs(self.solver.idle.between(Node(UTILITY, "A"), Node(UTILITY, "B")))

    # --- steady ----------------------------------------------------------------------------------------------------

    @cached_property
    def _calculated_draws(self) -> list[Draw]:
        return calculated(self.graph, self.loads, self.built.network, self.across_v)

    @cached_property
    def calculated(self) -> Scenario:
        """Every run at its own calculated load at once, the neutral's on one leg."""
        return self._solved("calculated", CALCULATED, self._calculated_draws)

    @cached_property
    def _listed(self) -> tuple[list[LoadDraw], tuple[Assumption, ...]]:
        said: list[Assumption] = []
        draws = listed(self.graph, self.built.network, self.across_v, said, edition=self.edition)
        return draws, tuple(said)

    @cached_property
    def working_hours(self) -> Mapping[str, Scenario]:
        """What runs together in each working hour of the survey, by its id."""
        return {
            id: self._solved(id, hours.title, self._running_in(hours))
            for id, hours in self.graph.installation.working_hours.items()
        }

    def _running_in(self, hours: WorkingHours) -> list[Draw]:
        return [each.draw for each in running(self._listed[0], hours)]

    @property
    def scenarios(self) -> tuple[Scenario, ...]:
        """The calculated load, then each working hour."""
        return (self.calculated, *self.working_hours.values())

    def _solved(self, id: str, title: str, draws: Sequence[Draw]) -> Scenario:
        return solved(id, title, self.graph, self.built, self.solver, draws, self.across_v)

    # --- motors ----------------------------------------------------------------------------------------------------

    @cached_property
    def starts(self) -> tuple[MotorStart, ...]:
        """Every motor, each starting by itself while everything else is at calculated load."""
        motors = [each for each in self._listed[0] if each.motor]
        if not motors:
            return ()
        before = self.solver.voltages(self._calculated_draws)
        hot_c = temperature_facts()["hot_c"]
        return tuple(
            start(
                each, self.graph, self.built, self.solver, before, across_v=self.across_v, temperature_c=hot_c,
                edition=self.edition,
            )
            for each in motors
        )  # fmt: skip

    # --- advice ----------------------------------------------------------------------------------------------------

    def advised(self, run: str) -> Cited:
        """How much a run may lose by the code's notes: a farm's long run to where animals stand less than others."""
        to = self.graph.installation.equipment.get(self.graph.installation.runs[run].to or "")
        building = self.graph.installation.buildings.get(to.building or "") if to is not None else None
        if building is not None and building.use in AGRICULTURAL_USES and self.edition.has("farm_voltage_drop_percent"):
            return self.edition.value("farm_voltage_drop_percent")
        return self.edition.value("voltage_drop_feeder_percent")

    @cached_property
    def advice(self) -> tuple[DropAdvice, ...]:
        """Runs of the customer that lose more than is advised at calculated load."""
        found = []
        for id, drop in self.calculated.runs.items():
            if self.graph.installation.runs[id].owner == "utility":
                continue
            advised = self.advised(id)
            if drop.drop_percent > advised.number:
                found.append(
                    DropAdvice(
                        id, drop.drop_percent, advised.number, advised.section, self.wires_for(id, advised.number)
                    )
                )
        return tuple(found)

    def wires_for(self, run: str, limit_percent: float) -> tuple[WireChoice, ...]:
        """The conductors that keep a run under a limit at calculated load, the lightest metal first.

        Raises:
            DriploopError: no such run hangs on a known supply.
        """
        drop = self.calculated.runs.get(run)
        if drop is None:
            raise DriploopError(f'"{run}" is no run on a known supply. There are: {", ".join(self.calculated.runs)}.')
        sizing = self.conductors.runs.get(run)
        part = self.graph.installation.runs[run]
        return choices(
            drop, self.built.wires[run], limit_percent=limit_percent, system_v=self.across_v, method=part.method,
            sets=sizing.sets if sizing else part.sets, temperature_c=temperature_facts()["hot_c"], edition=self.edition,
        )  # fmt: skip

    # --- the neutral -------------------------------------------------------------------------------------------------

    def open_neutral(self, run: str, *, hours: str | None = None) -> OpenNeutral:
        """The neutral of a run open in a working hour, or at the worst moment.

        The worst moment: everything runs on one leg, and on the other only its smallest load. The supply stands at its
        strongest and the electrodes at their poorest, which is the safe side here.

        Raises:
            DriploopError: no such run with a neutral, or no such working hour.
        """
        draws = self._listed[0]
        if hours is None:
            moments = list(self._moments(run)) or [(draws, "all listed loads")]
            found = [self._opened(run, running_then, words) for running_then, words in moments]
            return max(found, key=lambda each: each.loads[0].voltage_v if each.loads else 0.0)
        known = self.graph.installation.working_hours
        if hours not in known:
            listed_hours = ", ".join(known) or "none"
            raise DriploopError(f'"{hours}": no working hour has that id. There are: {listed_hours}.')
        return self._opened(run, list(running(draws, known[hours])), known[hours].title)

    def _opened(self, run: str, draws: Sequence[LoadDraw], words: str) -> OpenNeutral:
        return opened(run, self.graph, self._firm, draws, hours=words, across_v=self.across_v)

    @cached_property
    def _firm(self) -> Built:
        """The network with its supply at its strongest: an open neutral then drives the legs farthest apart."""
        strong = build_network(
            self.graph, self.loads, self.conductors, self.bonds, case="strong", edition=self.edition
        ).supply
        return replace(self.built, network=replace(self.built.network, source=strong.source()), supply=strong)

    def _moments(self, run: str) -> Iterator[tuple[list[LoadDraw], str]]:
        """Everything on one leg, and on the other only its smallest load; both ways round."""
        part = self.graph.installation.runs.get(run)
        below = set(self.graph.below(part.to or "")) if part is not None else set()
        draws = self._listed[0]
        single = [each for each in draws if each.on_neutral and each.draw.positive.bus in below]
        legs: tuple[tuple[Wire, Wire], ...] = (("A", "B"), ("B", "A"))
        for leg, other in legs:
            here = [each for each in single if each.draw.positive.wire == leg]
            alone = min(here, key=_size, default=None) or self._lamp(part.to if part else None, leg)
            if alone is not None and any(each.draw.positive.wire == other for each in single):
                left = [each for each in draws if each not in single or each.draw.positive.wire == other]
                yield [*left, alone], f"everything on leg {other}, and on leg {leg} only {alone.load.title}"

    def _lamp(self, equipment: str | None, leg: Wire) -> LoadDraw | None:
        """A single lamp on a leg on which the survey lists nothing: general lighting is seldom listed load by load."""
        if equipment is None or "N" not in self.built.network.buses.get(equipment, ()):
            return None
        va = complex(advice()["lone_lamp"])
        return LoadDraw(_LAMP, Draw(_LAMP.id, Node(equipment, leg), Node(equipment, "N"), va, LEG_V), motor=False)

    @cached_property
    def runs_with_neutral(self) -> tuple[str, ...]:
        """Runs whose neutral could open, in the order of supply."""
        return tuple(dict.fromkeys(b.run for b in self.built.network.branches if b.to.wire == "N"))

    @cached_property
    def open_neutrals(self) -> tuple[OpenNeutral, ...]:
        """The neutral of each run open by itself, each at its worst moment."""
        return tuple(self.open_neutral(run) for run in self.runs_with_neutral)

    # --- earth -------------------------------------------------------------------------------------------------------

    @cached_property
    def earth_voltages(self) -> tuple[EarthVoltage, ...]:
        """Voltage between neutral and earth where animals stand, in every scenario."""
        hours = [(hours.title, self._running_in(hours)) for hours in self.graph.installation.working_hours.values()]
        scenarios: list[Running] = [(CALCULATED, self._calculated_draws), *hours]
        return tuple(read_neutral_to_earth(self.graph, self.built, scenarios, known={}))

    def earth_voltages_with(self, resistance_ohm: Mapping[str, float]) -> tuple[EarthVoltage, ...]:
        """The same at calculated load, with given resistances of electrodes. [ohm by electrode id]"""
        scenario = (CALCULATED, self._calculated_draws)
        return tuple(read_neutral_to_earth(self.graph, self.built, [scenario], known=resistance_ohm))

    # --- on paper --------------------------------------------------------------------------------------------------

    @cached_property
    def worksheets(self) -> tuple[Worksheet, ...]:
        """One worksheet a run for the drop at calculated load, by hand and by the model; one a starting motor."""
        return (*(self._drop_sheet(id) for id in self.calculated.runs), *(s.worksheet for s in self.starts))

    def _drop_sheet(self, run: str) -> Worksheet:
        drop, wires = self.calculated.runs[run], self.built.wires[run]
        title = self.graph.installation.runs[run].title
        sheet = WorksheetWriter(f"voltage/{run}", f"Voltage lost along {title}")
        sheet.number("Line current", "calculated load at its end", round(drop.line_a, 2), "A", key="line")
        sheet.number("Neutral current", "calculated, all on one leg", round(drop.neutral_a, 2), "A", key="neutral")
        cosine = advice()["calculated_power_factor"]
        sine = (1 - cosine**2) ** 0.5
        z = wires.line_ohm
        balanced = drop.line_a - drop.neutral_a / 2
        by_hand = 2 * balanced * (z.real * cosine + z.imag * sine)
        words = (
            f"2 x {balanced:.1f} A (mean of the lines) x ({z.real:.4f} x {cosine:g} + {z.imag:.4f} x {sine:.2f}) ohm, "
            f"{wires.length_ft:g} ft of {wires.line_size or 'wire not known'}"
        )
        sheet.number("Lost across, by hand", words, round(by_hand, 2), "V", key="hand")
        sheet.number("Lost across, by the model", "network at calculated load", round(drop.drop_v, 2), "V", key="model")
        sheet.number("Of the system's voltage", "", round(drop.drop_percent, 2), "%", key="percent")
        advised = self.advised(run)
        sheet.cite("Advised at most, not a rule", "a note of the code", advised, key="advised")
        return sheet.done()

    @cached_property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What was assumed on the way."""
        return unique((*self.built.assumptions, *self._listed[1], *(a for s in self.starts for a in s.assumptions)))


_LAMP = Load(id="lone-lamp", name="one lamp", kind="lighting")


def _size(each: LoadDraw) -> float:
    return abs(each.draw.va)


def read_voltages(
    graph: Graph,
    loads: LoadReading,
    conductors: ConductorReading,
    bonds: Mapping[str, NeutralBond],
    *,
    edition: Edition,
) -> VoltageReading:
    """Voltages of an installation.

    Args:
        graph: the installation.
        loads: its calculated loads.
        conductors: its runs.
        bonds: where the code wants neutral and enclosure joined; speaks where nobody looked.
        edition: the code edition to ask.

    Returns:
        A reading that answers what it is asked.
    """
    return VoltageReading(graph, loads, conductors, bonds, edition)
