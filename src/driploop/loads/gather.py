"""What hangs below each piece of equipment, grouped by building, and read into the inputs of the methods."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from driploop.editions import Edition
from driploop.installation import Building, Circuit, Equipment, Graph
from driploop.installation.graph import DWELLING_USES
from driploop.loads.nameplate import Nameplate, as_counted, read_nameplate

MANY_UNITS = {"two-family dwelling": 2, "multifamily dwelling": 3}
PARTS_OF_A_HOME = frozenset({"garage", "storage"})
PASSES_ON = frozenset({"meter", "junction box", "utility"})
LINE_VOLTS = {"208Y/120 V single-phase": 208.0}


@dataclass(slots=True)
class Group:
    """What one building, or dwelling unit, takes through one piece of equipment.

    ``outside`` holds the circuits that serve a garage or store counted with the dwelling; ``starts`` counts circuits
    and loads that are the dwelling's own.
    """

    building: Building | None
    loads: list[Nameplate] = field(default_factory=list)
    circuits: list[Circuit] = field(default_factory=list)
    outside: list[Circuit] = field(default_factory=list)
    outside_loads: list[Nameplate] = field(default_factory=list)
    starts: int = 0
    panels: int = 0

    @property
    def id(self) -> str:
        """The building's id; "" where the survey does not say."""
        return self.building.id if self.building else ""

    @property
    def title(self) -> str:
        """The building's name on paper."""
        return self.building.title if self.building else "Building not stated"

    def absorb(self, other: Group) -> None:
        """Take another piece of the same building in."""
        self.loads += other.loads
        self.circuits += other.circuits
        self.outside += other.outside
        self.outside_loads += other.outside_loads
        self.starts += other.starts
        self.panels += other.panels


Hanging = Mapping[str, Group]
#: The part of its load that each held charger counts with, and why in words, by load id.
Shares = Mapping[str, tuple[float, str]]


class Site:
    """Indexes of one installation for the load stage. Every load is read once, every equipment summed once.

    ``shares`` are the parts of their load that held chargers count with, by load id.
    """

    def __init__(self, graph: Graph, *, edition: Edition, shares: Shares | None = None) -> None:
        self.shares = shares or {}
        self.graph = graph
        self.edition = edition
        self.installation = graph.installation
        self.farm = self.installation.site_kind == "farm"
        self.volts = LINE_VOLTS.get(self.installation.utility.system or "", 240.0)

    @cached_property
    def units(self) -> tuple[Building, ...]:
        """The dwelling units of the site; a building whose units are listed counts by its units.

        A building of unknown use counts as one: no other use asks for more at the same listed loads.
        """
        dwellings = [b for b in self.installation.buildings.values() if b.use is None or b.use in DWELLING_USES]
        parents = {b.part_of for b in dwellings if b.part_of}
        return tuple(b for b in dwellings if b.id not in parents)

    @cached_property
    def unit_ids(self) -> frozenset[str]:
        """Ids of the dwelling units."""
        return frozenset(unit.id for unit in self.units)

    @cached_property
    def home_of(self) -> Mapping[str, str]:
        """Garages and stores that count with the one dwelling of a site that is no farm, by their id."""
        if self.installation.site_kind != "residence" or len(self.units) != 1:
            return {}
        home = self.units[0].id
        return {b.id: home for b in self.installation.buildings.values() if b.use in PARTS_OF_A_HOME}

    @cached_property
    def hanging(self) -> Mapping[str, Hanging]:
        """By equipment id: the groups that hang below it. A box that only passes on shares its follower's groups."""
        found: dict[str, Hanging] = {}
        for id in reversed(self.graph.order):
            children = [self.installation.runs[run].to or "" for run in self.graph.runs_out.get(id, ())]
            below = [found[child] for child in children if child in found]
            own = self._own(id, leaf=not below)
            parts = [part for part in (own, *below) if part]
            found[id] = parts[0] if len(parts) == 1 else _merged(parts)
        return found

    def _own(self, id: str, *, leaf: bool) -> dict[str, Group]:
        groups: dict[str, Group] = {}
        equipment = self.installation.equipment[id]
        for circuit_id in self.graph.circuits_at.get(id, ()):
            circuit = self.installation.circuits[circuit_id]
            building = circuit.building or equipment.building
            loads = [self._read(load, circuit, building) for load in self.graph.loads_on.get(circuit_id, ())]
            self._put(groups, building, circuits=[circuit], loads=[])
            for nameplate in loads:
                self._put(groups, nameplate.building, circuits=[], loads=[nameplate])
        for load in self.graph.loads_at.get(id, ()):
            nameplate = self._read(load, None, self.installation.loads[load].building or equipment.building)
            self._put(groups, nameplate.building, circuits=[], loads=[nameplate])
        if leaf and not groups and equipment.kind in ("panel", "disconnect", None):
            group, _ = self._group(groups, equipment.building)
            group.panels += 1
        return groups

    def _read(self, load_id: str, circuit: Circuit | None, building: str | None) -> Nameplate:
        load = self.installation.loads[load_id]
        plate = read_nameplate(
            load,
            circuit=circuit,
            building=load.building or building,
            system_volts=self.volts,
            edition=self.edition,
        )
        counted = as_counted(plate, edition=self.edition)
        share = self.shares.get(load_id)
        if share is None:
            return counted
        return replace(counted, va=counted.va * share[0], working=f"{counted.working}; {share[1]}", held=True)

    def _group(self, groups: dict[str, Group], building: str | None) -> tuple[Group, bool]:
        """The group of a building, and whether the building is a garage or store counted with a dwelling."""
        home = self.home_of.get(building or "")
        id = home or building or ""
        if id not in groups:
            groups[id] = Group(self.installation.buildings.get(id))
        return groups[id], home is not None

    def _put(
        self, groups: dict[str, Group], building: str | None, *, circuits: list[Circuit], loads: list[Nameplate]
    ) -> None:
        group, outside = self._group(groups, building)
        many = [load for load in loads for _ in range(load.load.count)]
        if outside:
            group.outside += circuits
            group.outside_loads += many
        else:
            group.circuits += circuits
            group.loads += many
            group.starts += len(circuits) + len(loads)

    @cached_property
    def starts_of(self) -> Mapping[str, int]:
        """How many circuits and loads each building has in the whole survey."""
        counts: dict[str, int] = {}
        for id in self.installation.equipment:
            for key, group in self._own_counts(id):
                counts[key] = counts.get(key, 0) + group
        return counts

    def _own_counts(self, id: str) -> Iterable[tuple[str, int]]:
        equipment = self.installation.equipment[id]
        for circuit_id in self.graph.circuits_at.get(id, ()):
            circuit = self.installation.circuits[circuit_id]
            building = circuit.building or equipment.building
            yield building or "", 1
            for load in self.graph.loads_on.get(circuit_id, ()):
                yield self.installation.loads[load].building or building or "", 1
        for load in self.graph.loads_at.get(id, ()):
            yield self.installation.loads[load].building or equipment.building or "", 1

    def is_whole(self, group: Group) -> bool:
        """Whether a dwelling unit's whole load is in this group."""
        return group.id in self.unit_ids and group.starts == self.starts_of.get(group.id, 0)

    def is_dwelling(self, group: Group) -> bool:
        """Whether the group is load of a dwelling unit, more than a garage's or store's that counts with one."""
        return group.id in self.unit_ids and bool(group.circuits or group.loads or group.panels)

    # --- ratings -------------------------------------------------------------------------------------------------

    def rating_a(self, id: str) -> float | None:
        """Rating at this equipment: the smaller of its main and its own, its feeder's device, or its follower's. [A]

        What only passes on (a meter, a box) is rated by the one disconnect or panel that follows it.
        """
        equipment = self.installation.equipment[id]
        passes_on = equipment.kind in PASSES_ON
        own = None if passes_on else own_rating(equipment)
        if own is not None:
            return own
        run = self.graph.feeding_run(id)
        if run is not None and run.ocpd_a is not None:
            return run.ocpd_a
        out = self.graph.runs_out.get(id, [])
        follower = self.installation.runs[out[0]].to if len(out) == 1 else None
        return self.rating_a(follower) if follower in self.installation.equipment else None

    @cached_property
    def by_building(self) -> Hanging:
        """All that hangs on the site, building by building; a load whose building is not known is left out."""
        roots = [id for id in self.graph.order if self.graph.source_of(id) not in self.hanging]
        merged = _merged(self.hanging[id] for id in roots)
        return {id: group for id, group in merged.items() if id}

    @cached_property
    def supplies(self) -> Mapping[str, str]:
        """By dwelling unit: the highest equipment that carries the whole of it and nothing else, else the lowest."""
        alone: dict[str, str] = {}
        lowest: dict[str, str] = {}
        for id in sorted(self.graph.order, key=lambda id: (sum(1 for _ in self.graph.path_up(id)), id)):
            hanging = self.hanging[id]
            for unit, group in hanging.items():
                if self.is_whole(group):
                    lowest[unit] = id
                    if len(hanging) == 1:
                        alone.setdefault(unit, id)
        return {**lowest, **alone}


def own_rating(equipment: Equipment) -> float | None:
    """The smaller of main device and bus rating, as far as known. [A]"""
    known = [rating for rating in (equipment.main_a, equipment.rating_a) if rating is not None]
    return min(known) if known else None


def _merged(parts: Iterable[Hanging]) -> Hanging:
    # A group that comes from one part only is shared, so that what was computed for it once serves again.
    merged: dict[str, Group] = {}
    own: set[str] = set()
    for part in parts:
        for id, group in part.items():
            if id not in merged:
                merged[id] = group
                continue
            if id not in own:
                first, merged[id] = merged[id], Group(group.building)
                merged[id].absorb(first)
                own.add(id)
            merged[id].absorb(group)
    return merged
