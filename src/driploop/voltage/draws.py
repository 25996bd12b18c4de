"""The loads of an installation as the network sees them: between which wires, how much, at what power factor."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from driploop.editions import Edition, common_table
from driploop.fault_current.reading import motor_facts
from driploop.installation.graph import UTILITY, Graph
from driploop.installation.model import Circuit, Load, WorkingHours
from driploop.loads.nameplate import read_nameplate
from driploop.loads.results import LoadReading
from driploop.network import LEG_V, Draw, Network, Node, Wire
from driploop.worksheet import Assumption

Say = list[Assumption]


@dataclass(frozen=True, slots=True)
class LoadDraw:
    """One listed load as a draw, and whether it is a motor."""

    load: Load
    draw: Draw
    motor: bool

    @property
    def on_neutral(self) -> bool:
        """Whether it stands between one line and the neutral."""
        return self.draw.negative.wire == "N"

    def at_share(self, share: float) -> LoadDraw:
        """The same running at a part of its full load."""
        return replace(self, draw=replace(self.draw, va=self.draw.va * share))


@lru_cache(maxsize=1)
def advice() -> Mapping[str, float]:
    """Figures of advice, by name."""
    return {str(row["item"]): float(row["value"] or 0) for row in common_table("voltage_advice").rows}


def calculated(graph: Graph, loads: LoadReading, network: Network, across_v: float) -> list[Draw]:
    """Every run at its own calculated load at once, one line carrying all of the neutral's.

    What hangs below an enclosure never draws all at once, so its calculated load is less than the sum of those below
    it. The difference is given back there: each run then carries exactly what it is calculated for.
    """
    phi = math.acos(advice()["calculated_power_factor"])
    turn = complex(math.cos(phi), math.sin(phi))
    totals: dict[str, tuple[float, float]] = {}
    draws: list[Draw] = []
    for id in network.buses:  # far ends first
        if id == UTILITY:
            continue
        below = [graph.installation.runs[run].to or "" for run in graph.runs_out.get(id, ())]
        single = sum(totals[to][0] for to in below if to in totals)
        double = sum(totals[to][1] for to in below if to in totals)
        node = loads.nodes.get(id)
        if node is None:
            totals[id] = (single, double)
            continue
        has_neutral = "N" in network.buses[id]
        neutral_a = min(node.neutral.current_a, node.current_a) if has_neutral else 0.0
        totals[id] = (neutral_a, node.current_a - neutral_a)
        a, b = Node(id, "A"), Node(id, "B")
        if has_neutral and abs(neutral_a - single) > 1e-9:
            draws.append(Draw(id, a, Node(id, "N"), (neutral_a - single) * LEG_V * turn, LEG_V))
        own = totals[id][1] - double
        if abs(own) > 1e-9:
            draws.append(Draw(id, a, b, own * across_v * turn, across_v))
    return draws


def listed(graph: Graph, network: Network, across_v: float, said: Say, *, edition: Edition) -> list[LoadDraw]:
    """Every load of the survey at its full nameplate, each on its leg."""
    made: list[LoadDraw] = []
    legs = Legs(graph, said)
    for id in graph.order:
        if id not in network.buses:
            continue
        hanging = [
            (graph.installation.circuits[circuit], graph.installation.loads[load])
            for circuit in graph.circuits_at.get(id, ())
            for load in graph.loads_on.get(circuit, ())
        ]
        direct = [(None, graph.installation.loads[load]) for load in graph.loads_at.get(id, ())]
        for circuit, load in (*hanging, *direct):
            made.append(_draw(id, circuit, load, network, across_v, legs, edition=edition))
    return made


def _draw(
    id: str, circuit: Circuit | None, load: Load, network: Network, across_v: float, legs: Legs, *, edition: Edition
) -> LoadDraw:
    plate = read_nameplate(load, circuit=circuit, building=load.building, system_volts=across_v, edition=edition)
    motor = plate.motor_va > 0
    facts = motor_facts()
    phi = math.acos(facts["running_power_factor" if motor else "other_power_factor"])
    va = plate.va * load.count * complex(math.cos(phi), math.sin(phi))
    if plate.line_to_neutral and "N" in network.buses[id]:
        leg: Wire = legs.leg_of(id, circuit, load)
        return LoadDraw(load, Draw(load.id, Node(id, leg), Node(id, "N"), va, LEG_V), motor)
    return LoadDraw(load, Draw(load.id, Node(id, "A"), Node(id, "B"), va, across_v), motor)


class Legs:
    """Which line each 120 V load is on: as stated, else by its place in the panel, else turn by turn."""

    def __init__(self, graph: Graph, said: Say) -> None:
        self.graph, self.said = graph, said
        self.of_circuit: dict[str, Wire] = {}
        self.turn: dict[str, int] = {}

    def leg_of(self, equipment: str, circuit: Circuit | None, load: Load) -> Wire:
        """The leg of one load."""
        if circuit is None:
            self._say(f"loads.{load.id}.circuit")
            return self._next(equipment)
        if circuit.id not in self.of_circuit:
            self.of_circuit[circuit.id] = self._leg(equipment, circuit)
        return self.of_circuit[circuit.id]

    def _leg(self, equipment: str, circuit: Circuit) -> Wire:
        if circuit.leg is not None:
            return circuit.leg
        partner = self.graph.installation.circuits.get(circuit.multiwire_with or "")
        if partner is not None and (taken := self.of_circuit.get(partner.id) or partner.leg):
            return "B" if taken == "A" else "A"
        self._say(f"circuits.{circuit.id}.leg")
        if circuit.position is not None and circuit.position.isdigit() and int(circuit.position) > 0:
            return "AB"[(int(circuit.position) - 1) // 2 % 2]  # type: ignore[return-value]
        return self._next(equipment)

    def _next(self, equipment: str) -> Wire:
        turn = self.turn.get(equipment, 0)
        self.turn[equipment] = turn + 1
        return "B" if turn % 2 else "A"

    def _say(self, where: str) -> None:
        self.said.append(
            Assumption(
                where,
                "the leg of its place in the panel, two rows a leg; without a number, turn by turn",
                "panels are built so, and a good panel shares its circuits between the legs",
                "the leg on which it really lands: what is alone on one leg stands worst when a neutral opens",
            )
        )


def running(draws: Iterable[LoadDraw], hours: WorkingHours) -> Iterator[LoadDraw]:
    """What runs in a working hour, each at its share."""
    circuits, loads = set(hours.circuits or ()), set(hours.loads or ())
    shares = hours.share_percent or {}
    for each in draws:
        circuit = each.load.circuit or ""
        if each.load.id in loads or circuit in circuits:
            share = shares.get(each.load.id, shares.get(circuit, 100.0))
            if share:
                yield each.at_share(share / 100)
