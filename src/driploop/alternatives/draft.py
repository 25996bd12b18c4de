"""An installation being rebuilt: parts come out, go in, and hang elsewhere. A draft ends as a frozen installation."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, TypeVar

from driploop.installation import (
    Bond,
    Circuit,
    Electrode,
    Equipment,
    Graph,
    Installation,
    Load,
    Run,
)
from driploop.installation.model import Part
from driploop.worksheet import Assumption

PartT = TypeVar("PartT", bound=Part)


@dataclass(slots=True)
class Draft:
    """A working copy of an installation. Nothing outside ``alternatives`` ever sees one."""

    base: Installation
    equipment: dict[str, Equipment] = field(default_factory=dict)
    runs: dict[str, Run] = field(default_factory=dict)
    circuits: dict[str, Circuit] = field(default_factory=dict)
    loads: dict[str, Load] = field(default_factory=dict)
    electrodes: dict[str, Electrode] = field(default_factory=dict)
    bonds: dict[str, Bond] = field(default_factory=dict)
    assumptions: list[Assumption] = field(default_factory=list)

    @classmethod
    def of(cls, base: Installation) -> Draft:
        """A draft that starts as ``base``. Roles are read anew from the graph, so stated ones are taken off."""
        bare = {id: each.model_copy(update={"role": None}) for id, each in base.equipment.items()}
        return cls(
            base,
            bare,
            dict(base.runs),
            dict(base.circuits),
            dict(base.loads),
            dict(base.electrodes),
            dict(base.bonds),
        )

    def done(self) -> Installation:
        """The installation as proposed."""
        return self.base.model_copy(
            update={
                "state": "proposed",
                "equipment": dict(self.equipment),
                "runs": dict(self.runs),
                "circuits": dict(self.circuits),
                "loads": dict(self.loads),
                "electrodes": dict(self.electrodes),
                "bonds": dict(self.bonds),
            }
        )

    def graph(self) -> Graph:
        """The tree of the draft as it stands."""
        return Graph(self.done())

    def assume(self, where: str, assumed: str, why_safe: str, would_change: str) -> None:
        """Note what was assumed while building."""
        self.assumptions.append(Assumption(where, assumed, why_safe, would_change))

    # --- changes -------------------------------------------------------------------------------------------------

    def change(self, parts: dict[str, PartT], id: str, /, **fields: Any) -> None:
        """Set fields of one part."""
        parts[id] = parts[id].model_copy(update=fields)

    def lay_over(self, kind: dict[str, PartT], wanted: dict[str, PartT]) -> None:
        """Set what the job file states of a part; a part that is not there is added as new."""
        for id, part in wanted.items():
            stated = {name: getattr(part, name) for name in part.model_fields_set if name != "id"}
            if id in kind:
                kind[id] = kind[id].model_copy(update=stated)
            else:
                kind[id] = part.model_copy(update={"id": id, "is_new": True})

    def run_into(self, equipment: str) -> Run | None:
        """The run that supplies this equipment."""
        return next((run for run in self.runs.values() if run.to == equipment), None)

    def remove_equipment(self, id: str, *, hand_to: str | None) -> None:
        """Take a piece of equipment out. What it fed, its circuits and electrodes go over to ``hand_to``."""
        del self.equipment[id]
        for run in [run for run in self.runs.values() if run.to == id]:
            del self.runs[run.id]
        if hand_to is None:
            return
        for run in [run for run in self.runs.values() if run.from_ == id and run.to != hand_to]:
            self.change(self.runs, run.id, from_=hand_to)
        for run in [run for run in self.runs.values() if run.from_ == id]:
            del self.runs[run.id]
        self.move_circuits(id, hand_to)

    def move_circuits(self, source: str, target: str) -> None:
        """Land every circuit and load of one enclosure in another; bonds and electrodes named there follow."""
        for circuit in [c for c in self.circuits.values() if c.from_ == source]:
            self.change(self.circuits, circuit.id, from_=target)
        for load in [load for load in self.loads.values() if load.panel == source]:
            self.change(self.loads, load.id, panel=target)
        for electrode in [e for e in self.electrodes.values() if e.conductor_to == source]:
            self.change(self.electrodes, electrode.id, conductor_to=target)
        for bond in [b for b in self.bonds.values() if b.equipment == source]:
            self.change(self.bonds, bond.id, equipment=target)
