"""What the line conductors of a run must do: load, device, and whether the dwelling rule speaks for them."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.device import Device, device_of
from driploop.conductors.dwelling import Condition, rule_conditions, wye_is_covered
from driploop.conductors.overcurrent import next_standard_up
from driploop.conductors.results import RunKind
from driploop.conductors.sizing import Duty
from driploop.editions import Edition
from driploop.installation.graph import Graph
from driploop.installation.kinds import Metal
from driploop.installation.model import Building, Run
from driploop.loads.rating import least_rating
from driploop.loads.results import LoadReading, NodeLoad
from driploop.worksheet import Assumption, Cited, WorksheetWriter


@dataclass(frozen=True, slots=True)
class RunDuty:
    """A run's load and device with the answer to each condition of the dwelling rule.

    ``circuit_a`` is what terminals are judged by: the device, or the load where no one device stands. ``least``: what
    new service conductors must carry whatever the load, None for others. [A]
    """

    kind: RunKind
    node: NodeLoad | None
    device: Device
    device_a: float | None
    rule: tuple[Condition, ...]
    least: Cited | None
    assumptions: tuple[Assumption, ...]

    @property
    def load_a(self) -> float | None:
        """What the conductors must carry, None where no load was calculated. [A]"""
        return self.node.conductor_current_a if self.node is not None else None

    @property
    def neutral_a(self) -> float | None:
        """The neutral load, None where none was calculated. [A]"""
        return self.node.neutral.current_a if self.node is not None else None

    @property
    def circuit_a(self) -> float:
        """What terminals are judged by. [A]"""
        return self.device_a or self.device.total_a or self.load_a or 0.0

    @property
    def overloaded(self) -> bool:
        """Whether the calculated load is more than the one device is rated for."""
        return self.device_a is not None and self.load_a is not None and self.load_a > self.device_a

    def lines(self, run: Run, metal: Metal, *, edition: Edition, hopeful: bool = False) -> Duty:
        """The duty of the line conductors. Hopeful: a device that was only assumed asks nothing."""
        device_a = None if hopeful and not self.device.known else self.device_a
        dwelling = device_a if all(c.holds for c in self.rule) and not self.overloaded else None
        smallest = None
        if self.kind == "service" and run.is_new:
            copper = metal == "copper"
            smallest = edition.value("service_drop_minimum_copper" if copper else "service_drop_minimum_aluminum")
        must_a = max(self.load_a or 0.0, self.least.number if self.least is not None else 0.0)
        return Duty(must_a, device_a, dwelling, run.sets, str(smallest.value) if smallest is not None else None)


def duty_of(graph: Graph, run: Run, kind: RunKind, loads: LoadReading, *, edition: Edition) -> RunDuty:
    """Load, device and dwelling rule of one run. A new run without a device gets the next standard size."""
    node = loads.nodes.get(run.to or "")
    device = device_of(graph, run, kind)
    said = list(device.assumptions)
    if node is None:
        said.append(_no_load(run))
    device_a = device.rating_a
    if device_a is None and not device.several and run.is_new and node is not None:
        device_a = next_standard_up(node.conductor_current_a, edition=edition).number
        said.append(_next_standard(run, device_a))
    return RunDuty(
        kind=kind,
        node=node,
        device=device,
        device_a=device_a,
        rule=rule_conditions(
            device_a,
            whole_dwelling=_is_whole_dwelling(graph, run.to),
            single_phase=graph.installation.utility.system != _WYE or wye_is_covered(edition),
            edition=edition,
        ),
        least=_least_ampacity(graph, run.to, edition=edition) if kind == "service" and run.is_new else None,
        assumptions=tuple(said),
    )


_WYE = "208Y/120 V single-phase"


def _is_whole_dwelling(graph: Graph, end: str | None) -> bool:
    """Whether one dwelling and nothing else hangs here. A garage belongs to it only where the site is known no farm."""
    unit = graph.whole_dwelling(end) if end is not None else None
    if end is None or unit is None:
        return False
    alone = all(building.id in (unit.id, unit.part_of) for building in graph.buildings_below(end))
    return alone or graph.installation.site_kind is not None


def _least_ampacity(graph: Graph, end: str | None, *, edition: Edition) -> Cited | None:
    """What service conductors must carry at least: the least rating of the disconnect of their kind of service."""
    if end not in graph.installation.equipment:
        return None
    homes = (*graph.dwelling_units_below(end), *_may_be_homes(graph, end))
    home = any(unit.part_of is None and _all_below(graph, unit, end) for unit in homes)
    circuits = graph.circuits_below(end)
    listed = not any(graph.loads_at.get(id) for id in graph.below(end))
    two_wire = all(circuit.poles == 1 for circuit in circuits)
    few = listed and (len(circuits) == 1 or (len(circuits) == 2 and two_wire))
    return least_rating(dwelling=home, circuits=len(circuits) if few else None, edition=edition)


def _may_be_homes(graph: Graph, end: str) -> list[Building]:
    """Buildings that nobody said the use of. Their load says what is assumed of them."""
    return [building for building in graph.buildings_below(end) if building.use is None]


def _all_below(graph: Graph, unit: Building, end: str) -> bool:
    """Whether every circuit of a dwelling starts below here; of several service disconnects each has a part."""
    below, equipment = set(graph.below(end)), graph.installation.equipment
    of_unit = (
        circuit
        for circuit in graph.installation.circuits.values()
        if circuit.from_ in equipment and (circuit.building or equipment[circuit.from_].building) == unit.id
    )
    return all(circuit.from_ in below for circuit in of_unit)


def write_duty(writer: WorksheetWriter, duty: RunDuty, run: Run, *, edition: Edition) -> None:
    """The lines ``load`` and ``device``."""
    section = edition.section("service-conductor-ampacity" if duty.kind == "service" else "load-continuous")
    if duty.node is None or duty.load_a is None:
        writer.write("Load", f"at {run.to or 'its end'}", "not known", "", section, key="load")
    else:
        at = f"at {run.to}: {duty.node.governing.title}, continuous part at its percentage"
        writer.number("Load", at, round(duty.load_a, 2), "A", section, key="load")
    if duty.least is not None and duty.least.number > (duty.load_a or 0.0):
        least = duty.least
        words = "whatever the load: the least rating of the disconnect of this kind of service"
        cited = Cited(least.value, least.unit, f"{section}, {least.section}", least.confirmed)
        writer.cite("Least they must carry", words, cited, key="least_load")
    protects = edition.section("service-overload" if duty.kind == "service" else "breaker-matches-wire")
    if duty.device_a is not None:
        words = duty.device.words if duty.device.rating_a is not None else "next standard rating for the load"
        writer.number("Overcurrent device", words, duty.device_a, "A", protects, key="device")
    elif duty.device.several:
        answer = "calculated load binds"
        total = f" = {duty.device.total_a:g} A" if duty.device.total_a else ""
        writer.write("Overcurrent devices", f"{duty.device.words}{total}", answer, "", protects, key="device")
    else:
        writer.write("Overcurrent device", duty.device.words, "not known", "", protects, key="device")


def _no_load(run: Run) -> Assumption:
    return Assumption(
        f"runs.{run.id}.to",
        "no load is calculated here, so the wire is held to its device alone",
        "a wire that fits its device cannot be overloaded without the device opening",
        "naming the equipment the run ends at",
    )


def _next_standard(run: Run, rating_a: float) -> Assumption:
    return Assumption(
        f"runs.{run.id}.ocpd_a",
        f"{rating_a:g} A",
        "the smallest standard rating that carries the calculated load",
        "a larger device asks for a larger wire",
    )
