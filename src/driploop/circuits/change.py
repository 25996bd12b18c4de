"""The change as the duties look at it: what will stand, what stood before, where a circuit ends, whether it moves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from driploop.editions import Edition
from driploop.grounding.results import WireCount
from driploop.installation import Building, Circuit, Equipment, Graph, Load
from driploop.installation.graph import DWELLING_USES
from driploop.worksheet import Assumption


@dataclass(frozen=True, slots=True)
class Change:
    """An installation and the one it comes from; ``found`` is None while nothing is proposed.

    ``wires`` are the wire counts of the runs as the grounding stage read them.
    """

    graph: Graph
    edition: Edition
    found: Graph | None = None
    permit_date: str | None = None
    wires: Mapping[str, WireCount] = field(default_factory=dict)

    @property
    def proposed(self) -> bool:
        """Whether this is read of what will stand, and not only of what was found."""
        return self.found is not None

    def panel_of(self, circuit: Circuit) -> Equipment | None:
        """The enclosure a circuit starts from."""
        return self.graph.installation.equipment.get(circuit.from_ or "")

    def building_of(self, circuit: Circuit) -> Building | None:
        """The building in which a circuit ends; where it starts, where nobody named another."""
        panel = self.panel_of(circuit)
        return self.graph.installation.buildings.get(
            circuit.building or (panel.building if panel is not None else None) or ""
        )

    def in_dwelling(self, circuit: Circuit) -> bool:
        """Whether a circuit ends where people live."""
        building = self.building_of(circuit)
        return building is not None and building.use in DWELLING_USES

    def loads_on(self, circuit: Circuit) -> list[Load]:
        """The loads a circuit feeds."""
        return [self.graph.installation.loads[id] for id in self.graph.loads_on.get(circuit.id, ())]

    def lands_anew(self, circuit: Circuit) -> bool:
        """Whether a circuit is landed in new equipment; while nothing is proposed, every circuit may be."""
        panel = self.panel_of(circuit)
        return not self.proposed or circuit.is_new or panel is None or panel.is_new

    def moves(self, circuit: Circuit) -> bool:
        """Whether an old circuit lands in another enclosure than before, or in one that was itself moved."""
        before = self.found.installation.circuits.get(circuit.id) if self.found is not None else None
        panel = self.panel_of(circuit)
        if before is None or panel is None or not panel.is_new:
            return False
        old = self.found.installation.equipment.get(circuit.from_ or "") if self.found is not None else None
        return before.from_ != circuit.from_ or old is None or _place(old) != _place(panel)

    def section(self, name: str) -> str:
        """The section of an entry as this edition numbers it; empty where it has none."""
        return self.edition.entry(name).section


def _place(equipment: Equipment) -> tuple[object, ...]:
    return equipment.building, equipment.outdoors, equipment.room, equipment.location


def unseen(where: str, assumed: str, why_safe: str, would_change: str) -> tuple[Assumption, ...]:
    """One assumption, as a duty carries it."""
    return (Assumption(where, assumed, why_safe, would_change),)
