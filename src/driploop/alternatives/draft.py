"""An installation being rebuilt: parts come out, go in, and hang elsewhere. A draft ends as a frozen installation."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from driploop.alternatives.errors import ProposalError
from driploop.installation import (
    UTILITY,
    Bond,
    Building,
    Circuit,
    Electrode,
    Equipment,
    Graph,
    Installation,
    Load,
    LoadManagement,
    MeteredDemand,
    Run,
)
from driploop.installation.model import Part
from driploop.worksheet import Assumption

PartT = TypeVar("PartT", bound=Part)

#: Roles that follow from the place in the tree. The others say what a device is, wherever it hangs.
_BY_PLACE = frozenset({"service disconnect", "building disconnect", "feeder panel", "subpanel"})


class _Watched(dict[str, PartT]):
    """Parts by id that count how often they were changed, so that a tree is read anew only when it must be."""

    __slots__ = ("changes",)

    def __init__(self, parts: Mapping[str, PartT]) -> None:
        super().__init__(parts)
        self.changes = 0

    def __setitem__(self, id: str, part: PartT) -> None:
        self.changes += 1
        super().__setitem__(id, part)

    def __delitem__(self, id: str) -> None:
        self.changes += 1
        super().__delitem__(id)


@dataclass(slots=True)
class Draft:
    """A working copy of an installation. Nothing outside ``alternatives`` ever sees one.

    ``gone`` tells of each piece of equipment that came out who took over what hung on it.
    """

    base: Installation
    equipment: _Watched[Equipment]
    runs: _Watched[Run]
    circuits: _Watched[Circuit]
    loads: _Watched[Load]
    electrodes: _Watched[Electrode]
    bonds: _Watched[Bond]
    buildings: _Watched[Building]
    load_management: _Watched[LoadManagement]
    assumptions: list[Assumption] = field(default_factory=list)
    gone: dict[str, str | None] = field(default_factory=dict)
    _read: tuple[int, Graph] | None = None

    @classmethod
    def of(cls, base: Installation, *, keep_roles: bool = False) -> Draft:
        """A draft that starts as ``base``.

        Where the main moves, roles that follow from the place are read anew from the graph: stated ones are taken off
        unless ``keep_roles``.
        """
        anew = frozenset() if keep_roles else _BY_PLACE
        bare = {
            id: each.model_copy(update={"role": None}) if each.role in anew else each
            for id, each in base.equipment.items()
        }
        return cls(
            base,
            _Watched(bare),
            _Watched(base.runs),
            _Watched(base.circuits),
            _Watched(base.loads),
            _Watched(base.electrodes),
            _Watched(base.bonds),
            _Watched(base.buildings),
            _Watched(base.load_management),
        )

    def done(self) -> Installation:
        """The installation as proposed."""
        return self.base.model_copy(
            update={
                "state": "proposed",
                "buildings": dict(self.buildings),
                "equipment": dict(self.equipment),
                "runs": dict(self.runs),
                "circuits": dict(self.circuits),
                "loads": dict(self.loads),
                "electrodes": dict(self.electrodes),
                "bonds": dict(self.bonds),
                "metered": {id: self._metered(each) for id, each in self.base.metered.items()},
                "load_management": {id: self._managed(each) for id, each in self.load_management.items()},
            }
        )

    def _metered(self, record: MeteredDemand) -> MeteredDemand:
        """A record of a meter that came out stands for what took its place."""
        if record.meter not in self.gone:
            return record
        heir = self.took_over(record.meter)
        return record.model_copy(update={"meter": heir if heir in self.equipment else None})

    def _managed(self, system: LoadManagement) -> LoadManagement:
        """A system that held what came out holds what took its place."""
        if system.holds not in self.gone:
            return system
        heir = self.took_over(system.holds)
        return system.model_copy(update={"holds": heir if heir in self.equipment else None})

    def graph(self) -> Graph:
        """The tree of the draft as it stands. What names a part that is not there, or not yet, hangs on nothing."""
        parts = (self.equipment, self.runs, self.circuits, self.loads, self.electrodes, self.bonds, self.buildings)
        changes = sum(each.changes for each in parts)
        if self._read is None or self._read[0] != changes:
            self._read = (changes, self._tree())
        return self._read[1]

    def _tree(self) -> Graph:
        return Graph(
            self.done().model_copy(
                update={
                    "runs": {id: self._tied_run(run) for id, run in self.runs.items()},
                    "circuits": {id: self._tied_circuit(circuit) for id, circuit in self.circuits.items()},
                    "loads": {id: self._tied_load(load) for id, load in self.loads.items()},
                }
            )
        )

    def _tied_run(self, run: Run) -> Run:
        starts = run.from_ in (None, UTILITY) or run.from_ in self.equipment
        ends = run.to is None or run.to in self.equipment
        if starts and ends:
            return run
        return run.model_copy(update={"from_": run.from_ if starts else None, "to": run.to if ends else None})

    def _tied_circuit(self, circuit: Circuit) -> Circuit:
        if circuit.from_ is None or circuit.from_ in self.equipment:
            return circuit
        return circuit.model_copy(update={"from_": None})

    def _tied_load(self, load: Load) -> Load:
        if load.circuit is not None and load.circuit not in self.circuits:
            return load.model_copy(update={"circuit": None})
        if load.panel is not None and load.panel not in self.equipment:
            return load.model_copy(update={"panel": None})
        return load

    def assume(self, where: str, assumed: str, why_safe: str, would_change: str) -> None:
        """Note what was assumed while building."""
        self.assumptions.append(Assumption(where, assumed, why_safe, would_change))

    def took_over(self, id: str | None) -> str | None:
        """The equipment itself, or where it came out, what took over from it in the end."""
        while id is not None and id not in self.equipment and id in self.gone:
            id = self.gone[id]
        return id

    # --- changes -------------------------------------------------------------------------------------------------

    def change(self, parts: _Watched[PartT], id: str, /, **fields: Any) -> None:
        """Set fields of one part."""
        parts[id] = parts[id].model_copy(update=fields)

    def lay_over(
        self, kind: _Watched[PartT], wanted: Mapping[str, PartT], *, bought: Mapping[str, object] | None = None
    ) -> None:
        """Set what the job file states of a part; a part that is not there is added as new.

        ``bought`` is what an added part has because it is new, where the job file does not speak of it.
        """
        for id, part in wanted.items():
            if id in kind:
                stated = {name: getattr(part, name) for name in part.model_fields_set if name != "id"}
                kind[id] = kind[id].model_copy(update=stated)
            else:
                unsaid = {name: value for name, value in (bought or {}).items() if name not in part.model_fields_set}
                kind[id] = part.model_copy(update={**unsaid, "id": id, "is_new": True})

    def run_into(self, equipment: str) -> Run | None:
        """The run that supplies this equipment."""
        return next((run for run in self.runs.values() if run.to == equipment), None)

    def add_run(self, run: Run) -> None:
        """Put in a new run. A run found under its id stays, and the new one is called ``new-`` and the id."""
        id = run.id if run.id not in self.runs else f"new-{run.id}"
        self.runs[id] = run.model_copy(update={"id": id})

    def add_equipment(self, equipment: Equipment) -> None:
        """Put in a new piece of equipment. Raises ProposalError where the survey already has one of that id."""
        if equipment.id in self.equipment:
            raise ProposalError(
                f"equipment.{equipment.id}",
                "this id belongs to the device that the proposal adds; give what was found another one.",
            )
        self.equipment[equipment.id] = equipment

    def remove_equipment(self, id: str, *, hand_to: str | None) -> None:
        """Take a piece of equipment out. What it fed, its circuits and electrodes go over to ``hand_to``."""
        del self.equipment[id]
        self.gone[id] = hand_to
        for run in [run for run in self.runs.values() if run.to == id]:
            del self.runs[run.id]
        if hand_to is None:
            return
        for run in [run for run in self.runs.values() if run.from_ == id and run.to != hand_to]:
            self.change(self.runs, run.id, from_=hand_to)
        for run in [run for run in self.runs.values() if run.from_ == id]:
            del self.runs[run.id]
        self.move_circuits(id, hand_to)

    def put_loads(self, loads: Mapping[str, Load], circuits: Mapping[str, Circuit]) -> None:
        """Put other loads, and circuits as these leave them, in the place of those that are there."""
        self.loads, self.circuits, self._read = _Watched(loads), _Watched(circuits), None

    def bridge(self, id: str, *, to: str) -> None:
        """Take a piece of equipment out and lead the run that fed it on to one of those it fed, which takes over."""
        supply = self.run_into(id)
        if supply is not None:
            for run in [run for run in self.runs.values() if run.to == to]:
                del self.runs[run.id]
            self.change(self.runs, supply.id, to=to)
        self.remove_equipment(id, hand_to=to)

    def move_circuits(self, source: str, target: str) -> None:
        """Land every circuit and load of one enclosure in another; bonds and electrodes named there follow."""
        for circuit in [c for c in self.circuits.values() if c.from_ == source]:
            self.change(self.circuits, circuit.id, from_=target)
        for load in [load for load in self.loads.values() if load.panel == source]:
            self.change(self.loads, load.id, panel=target)
        lands = target if target in self.equipment else None
        for electrode in [e for e in self.electrodes.values() if e.conductor_to == source]:
            self.change(self.electrodes, electrode.id, conductor_to=lands)
        for bond in [b for b in self.bonds.values() if b.equipment == source]:
            self.change(self.bonds, bond.id, equipment=lands)

    def remove_circuit(self, id: str) -> tuple[str, ...]:
        """Take a circuit out with the loads on it; returns their ids."""
        del self.circuits[id]
        for other in [c for c in self.circuits.values() if c.multiwire_with == id]:
            self.change(self.circuits, other.id, multiwire_with=None)
        went = tuple(load.id for load in self.loads.values() if load.circuit == id)
        for load in went:
            del self.loads[load]
        return went
