"""What each circuit draws, pole by pole, in each working hour: on what runs together, not on nameplates alone."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from driploop.editions import Edition
from driploop.installation import Circuit, Graph, Load
from driploop.installation.model import WorkingHours
from driploop.loads.nameplate import Nameplate, read_nameplate
from driploop.panel.habits import unlisted_share
from driploop.worksheet import Assumption

#: The hour that stands for all where the survey names none.
ALL = "all"
ALL_TITLE = "Everything at its calculated share"
ACROSS_V = 240.0
LEG_V = 120.0


@dataclass(frozen=True, slots=True)
class Hour:
    """A working hour; ``said`` is None for the one that stands for all."""

    id: str
    title: str
    said: WorkingHours | None

    def share(self, circuit: str, load: str) -> float:
        """What part of a load runs; ``load`` is "" for a circuit without a listed one."""
        if self.said is None:
            return 1.0
        runs = circuit in (self.said.circuits or ()) or (load and load in (self.said.loads or ()))
        shares = self.said.share_percent or {}
        return shares.get(load, shares.get(circuit, 100.0)) / 100 if runs else 0.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """What a circuit draws in each hour, before the share of the hour that stands for all. [A]

    ``legs`` holds both lines of a two-pole circuit, the one line of a one-pole circuit.
    """

    legs: tuple[tuple[float, ...], ...]


def hours_of(graph: Graph) -> tuple[tuple[Hour, ...], tuple[Assumption, ...]]:
    """The working hours of a place; one that stands for all where none is named."""
    named = graph.installation.working_hours
    if named:
        return tuple(Hour(id, hours.title, hours) for id, hours in named.items()), ()
    said = Assumption(
        "working_hours",
        "everything runs at once, each circuit at the share of its nameplates that its panel is calculated for",
        "no circuit is left out of the balance",
        "naming what runs together, as milking, packing or evening: the lines are then balanced for those hours",
    )
    return (Hour(ALL, ALL_TITLE, None),), (said,)


class Currents:
    """Reads the current of every circuit; what nobody listed is taken as a part of its device, and said."""

    def __init__(self, graph: Graph, hours: Iterable[Hour], *, edition: Edition) -> None:
        self.graph, self.hours, self.edition = graph, tuple(hours), edition
        self.said: list[Assumption] = []

    def of_circuit(self, circuit: Circuit, *, poles: Literal[1, 2], rating_a: float) -> Drawn:
        """The current of a circuit by its listed loads. [A]"""
        loads = [self.graph.installation.loads[load] for load in self.graph.loads_on.get(circuit.id, ())]
        if not loads:
            return self._unlisted(circuit, poles=poles, rating_a=rating_a)
        plates = [(load, self._plate(load, circuit)) for load in loads]
        first, second = [], []
        for hour in self.hours:
            across = single = 0.0
            for load, plate in plates:
                va = plate.va * load.count * hour.share(circuit.id, load.id)
                if poles == 2 and not plate.line_to_neutral:
                    across += va / ACROSS_V
                else:
                    single += va / LEG_V
            first.append(across + single)
            second.append(across)
        return Drawn((tuple(first), tuple(second)) if poles == 2 else (tuple(first),))

    def of_loads(self, loads: Iterable[Load]) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """The current of loads on both lines, of which nobody knows the line of the single ones: half on each. [A]"""
        each_line = []
        plates = [(load, self._plate(load, self.graph.installation.circuits.get(load.circuit or ""))) for load in loads]
        for hour in self.hours:
            va = sum(plate.va * load.count * hour.share(load.circuit or "", load.id) for load, plate in plates)
            each_line.append(va / ACROSS_V)
        return tuple(each_line), tuple(each_line)

    def _plate(self, load: Load, circuit: Circuit | None) -> Nameplate:
        return read_nameplate(
            load,
            circuit=circuit,
            building=self.graph.building_of(load),
            system_volts=ACROSS_V,
            edition=self.edition,
        )

    def _unlisted(self, circuit: Circuit, *, poles: Literal[1, 2], rating_a: float) -> Drawn:
        current = rating_a * unlisted_share()
        self.said.append(
            Assumption(
                f"circuits.{circuit.id}",
                f"draws {unlisted_share():.0%} of its device where it runs; no load of it is listed",
                "it is not left out of the balance",
                "listing what it feeds under [loads]",
            )
        )
        one = tuple(current * hour.share(circuit.id, "") for hour in self.hours)
        return Drawn((one,) * poles)


def calculated_share(full_a: float, calculated_va: float | None) -> float:
    """Which part of all its nameplates a panel is calculated for: 1 where it is not known, never more.

    Args:
        full_a: both lines at full nameplate, added up. [A]
        calculated_va: the governing calculated load. [VA]
    """
    if calculated_va is None or full_a <= 0:
        return 1.0
    return min(1.0, calculated_va / (full_a * LEG_V))


def scaled(legs: tuple[tuple[float, ...], ...], share: float) -> tuple[tuple[float, ...], ...]:
    """Currents at a share."""
    return tuple(tuple(current * share for current in leg) for leg in legs)


def balance_before(present: Mapping[str, tuple[int | None, tuple[float, ...]]], hours: int) -> tuple[float | None, ...]:
    """Neutral current as found in each hour; None where the line of a circuit that draws is not known. [A]

    Args:
        present: by one-pole circuit, 0 for line A and 1 for line B (None: not known) and its current in each hour.
        hours: how many there are.
    """
    found: list[float | None] = []
    for hour in range(hours):
        drawing = [(line, currents[hour]) for line, currents in present.values() if currents[hour]]
        if any(line is None for line, _ in drawing):
            found.append(None)
        else:
            found.append(abs(sum(-current if line else current for line, current in drawing)))
    return tuple(found)
