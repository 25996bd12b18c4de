"""The installation read as a tree: what feeds what, what hangs below, which disconnect is the service disconnect."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from functools import cached_property
from operator import attrgetter

from driploop.installation.kinds import Role
from driploop.installation.model import Building, Circuit, Equipment, Installation, Load, Part, Run
from driploop.worksheet import DriploopError

UTILITY = "utility"
DWELLING_USES = frozenset({"dwelling", "dwelling unit", "two-family dwelling", "multifamily dwelling"})
AGRICULTURAL_USES = frozenset({"agricultural", "livestock", "poultry"})


class GraphError(DriploopError):
    """The runs do not form a tree below the utility's supply."""


class Graph:
    """Indexes over one installation. Cheap to build, read many times; all answers are in the survey's order."""

    def __init__(self, installation: Installation) -> None:
        self.installation = installation
        self._buildings: dict[str, tuple[Building, ...]] = {}
        self._whole: dict[str, Building | None] = {}
        self._below: dict[str, tuple[str, ...]] = {}
        self.run_into: dict[str, str] = {}
        self.runs_out: dict[str, list[str]] = defaultdict(list)
        for run in installation.runs.values():
            if run.to is None or run.from_ is None:
                continue
            if run.to in self.run_into:
                raise GraphError(
                    f"runs.{run.id}.to: {run.to!r} is already fed by runs.{self.run_into[run.to]}. "
                    "One piece of equipment has one supply; give the second its own id or mend 'to'."
                )
            self.run_into[run.to] = run.id
            self.runs_out[run.from_].append(run.id)
        self.circuits_at: dict[str, list[str]] = defaultdict(list)
        for circuit in installation.circuits.values():
            if circuit.from_ is not None:
                self.circuits_at[circuit.from_].append(circuit.id)
        self.loads_on: dict[str, list[str]] = defaultdict(list)
        self.loads_at: dict[str, list[str]] = defaultdict(list)
        for load in installation.loads.values():
            if load.circuit is not None:
                self.loads_on[load.circuit].append(load.id)
            elif load.panel is not None:
                self.loads_at[load.panel].append(load.id)
        self._refuse_missing()
        self._refuse_loops()
        #: Circuits and loads of which nobody said where they are fed from: path in the job file to the equipment that
        #: they are counted at, so that no sum leaves them out.
        self.fed_from_unknown: dict[str, str] = {}
        self._take_in_the_loose()

    def _take_in_the_loose(self) -> None:
        homes: dict[str | None, str | None] = {}
        for circuit in self.installation.circuits.values():
            if circuit.from_ is None and (home := self._home(circuit.building, homes)):
                self.circuits_at[home].append(circuit.id)
                self.fed_from_unknown[f"circuits.{circuit.id}.from"] = home
        for load in self.installation.loads.values():
            if load.circuit is None and load.panel is None and (home := self._home(load.building, homes)):
                self.loads_at[home].append(load.id)
                self.fed_from_unknown[f"loads.{load.id}.panel"] = home

    def _home(self, building: str | None, homes: dict[str | None, str | None]) -> str | None:
        """The panel nearest the utility in this building, else on the site; any enclosure where there is no panel."""
        if building in homes:
            return homes[building]
        found = self.installation.equipment

        def rank(id: str) -> tuple[bool, bool, int, str]:
            elsewhere = building is None or found[id].building != building
            return found[id].kind != "panel", elsewhere, sum(1 for _ in self.path_up(id)), id

        homes[building] = min((id for id in found if id != UTILITY), key=rank, default=None)
        return homes[building]

    def _refuse_missing(self) -> None:
        # What names a part that is not there would drop out of every sum in silence.
        for where, field, named, held in self._references():
            names = set(map(attrgetter(field), named.values()))
            missing = names.difference(held, (None, UTILITY) if field == "from_" else (None,))
            if missing:
                part, name = next((p, n) for p in named.values() if (n := getattr(p, field)) in missing)
                raise GraphError(
                    f"{where}.{part.id}.{field.rstrip('_')}: there is no {name!r}; "
                    "name a part that is there, or leave it unknown."
                )

    def _references(self) -> tuple[tuple[str, str, Mapping[str, Part], Mapping[str, Part]], ...]:
        """Table, field, the parts that have it, and the parts it may name."""
        parts = self.installation
        return (
            ("equipment", "building", parts.equipment, parts.buildings),
            ("circuits", "building", parts.circuits, parts.buildings),
            ("loads", "building", parts.loads, parts.buildings),
            ("electrodes", "building", parts.electrodes, parts.buildings),
            ("bonds", "building", parts.bonds, parts.buildings),
            ("buildings", "part_of", parts.buildings, parts.buildings),
            ("runs", "from_", parts.runs, parts.equipment),
            ("runs", "to", parts.runs, parts.equipment),
            ("circuits", "from_", parts.circuits, parts.equipment),
            ("loads", "circuit", parts.loads, parts.circuits),
            ("loads", "panel", parts.loads, parts.equipment),
        )

    def _refuse_loops(self) -> None:
        no_loop: set[str] = set()
        for start in self.installation.equipment:
            seen = {start}
            for above in self.path_up(start):
                if above in no_loop:
                    break
                if above in seen:
                    raise GraphError(f"equipment.{start}: following its supply comes back to {above!r}; mend the runs.")
                seen.add(above)
            no_loop |= seen

    # --- up and down ---------------------------------------------------------------------------------------------

    def equipment(self, id: str) -> Equipment:
        """The equipment with this id."""
        return self.installation.equipment[id]

    def feeding_run(self, equipment: str) -> Run | None:
        """The run that supplies this equipment."""
        run = self.run_into.get(equipment)
        return self.installation.runs[run] if run else None

    def source_of(self, equipment: str) -> str | None:
        """The id of the equipment that supplies this one, ``"utility"`` at the top, None where the survey has none."""
        run = self.feeding_run(equipment)
        return run.from_ if run else None

    def path_up(self, equipment: str) -> Iterator[str]:
        """The supplies of this equipment, nearest first."""
        runs, run_into = self.installation.runs, self.run_into
        above: str | None = equipment
        while above in run_into and (above := runs[run_into[above]].from_) is not None:
            yield above
            if above == equipment:
                return

    @cached_property
    def order(self) -> tuple[str, ...]:
        """Every equipment, each after its supply."""
        roots = [UTILITY, *(id for id in self.installation.equipment if id not in self.run_into and id != UTILITY)]
        return tuple(
            dict.fromkeys(id for root in roots for id in self._walk(root) if id in self.installation.equipment)
        )

    def _walk(self, start: str) -> Iterator[str]:
        stack = [start]
        while stack:
            here = stack.pop()
            yield here
            stack.extend(self.installation.runs[run].to or "" for run in reversed(self.runs_out.get(here, [])))

    def below(self, equipment: str) -> tuple[str, ...]:
        """This equipment and all that it supplies."""
        if equipment not in self._below:
            self._below[equipment] = tuple(id for id in self._walk(equipment) if id in self.installation.equipment)
        return self._below[equipment]

    # --- what hangs below ----------------------------------------------------------------------------------------

    @cached_property
    def _loads_below(self) -> Mapping[str, tuple[str, ...]]:
        # From the far ends up, so that a site of thousands of circuits is read once.
        found: dict[str, tuple[str, ...]] = {}
        for id in reversed(self.order):
            own = [load for circuit in self.circuits_at.get(id, ()) for load in self.loads_on.get(circuit, ())]
            own += self.loads_at.get(id, ())
            for run in self.runs_out.get(id, ()):
                own += found.get(self.installation.runs[run].to or "", ())
            found[id] = tuple(own)
        return found

    def loads_below(self, equipment: str) -> tuple[Load, ...]:
        """Every load supplied through this equipment."""
        return tuple(self.installation.loads[id] for id in self._loads_below.get(equipment, ()))

    def circuits_below(self, equipment: str) -> tuple[Circuit, ...]:
        """Every circuit supplied through this equipment."""
        return tuple(
            self.installation.circuits[circuit]
            for id in self.below(equipment)
            for circuit in self.circuits_at.get(id, ())
        )

    def circuits_of(self, equipment: str) -> tuple[Circuit, ...]:
        """The circuits that start in this equipment."""
        return tuple(self.installation.circuits[circuit] for circuit in self.circuits_at.get(equipment, ()))

    def building_of(self, load: Load) -> str | None:
        """The id of the building in which a load stands."""
        if load.building is not None:
            return load.building
        circuit = self.installation.circuits.get(load.circuit or "")
        if circuit is not None and circuit.building is not None:
            return circuit.building
        panel = circuit.from_ if circuit is not None else load.panel
        equipment = self.installation.equipment.get(panel or "")
        return equipment.building if equipment else None

    def buildings_below(self, equipment: str) -> tuple[Building, ...]:
        """Buildings and dwelling units with equipment or loads supplied through this equipment, poles left out."""
        if equipment not in self._buildings:
            self._buildings[equipment] = self._read_buildings_below(equipment)
        return self._buildings[equipment]

    def _read_buildings_below(self, equipment: str) -> tuple[Building, ...]:
        ids = [self.installation.equipment[id].building for id in self.below(equipment)]
        ids += [self.building_of(load) for load in self.loads_below(equipment)]
        ids += [circuit.building for circuit in self.circuits_below(equipment)]
        buildings = (self.installation.buildings.get(id) for id in dict.fromkeys(ids) if id)
        return tuple(b for b in buildings if b is not None and b.use != "yard pole")

    def dwelling_units_below(self, equipment: str) -> tuple[Building, ...]:
        """Dwelling units supplied through this equipment; a building whose units are listed counts by its units."""
        below = [b for b in self.buildings_below(equipment) if b.use in DWELLING_USES]
        parents = {b.part_of for b in below if b.part_of}
        return tuple(b for b in below if b.id not in parents and b.use in ("dwelling", "dwelling unit"))

    def may_feed_a_home(self, equipment: str) -> bool:
        """Whether a dwelling hangs below, or a building that may be one, as nobody said its use."""
        return any(b.use is None or b.use in DWELLING_USES for b in self.buildings_below(equipment))

    def whole_dwelling(self, equipment: str) -> Building | None:
        """The one dwelling whose whole load, and nothing else, goes through this equipment; else None.

        A garage or store beside a house counts as part of the dwelling; on a farm, or where that is not known, not.
        """
        if equipment not in self._whole:
            self._whole[equipment] = self._read_whole_dwelling(equipment)
        return self._whole[equipment]

    def _read_whole_dwelling(self, equipment: str) -> Building | None:
        units = self.dwelling_units_below(equipment)
        if len(units) != 1:
            return None
        unit = units[0]
        if any(not self._belongs_to_dwelling(b, unit) for b in self.buildings_below(equipment)):
            return None
        starts = self._starts_of.get(unit.id, set())
        return unit if starts and starts <= set(self.below(equipment)) else None

    @cached_property
    def _starts_of(self) -> Mapping[str | None, set[str | None]]:
        """Where the circuits and loads of each building start, by the building's id."""
        starts: dict[str | None, set[str | None]] = defaultdict(set)
        for circuit in self.installation.circuits.values():
            starts[self._circuit_building(circuit)].add(circuit.from_)
        for load in self.installation.loads.values():
            if load.building is not None and load.panel is not None:
                starts[load.building].add(load.panel)
        return starts

    def _belongs_to_dwelling(self, building: Building, unit: Building) -> bool:
        if building.id in (unit.id, unit.part_of):
            return True
        return self.installation.site_kind == "residence" and building.use in ("garage", "storage")

    def _circuit_building(self, circuit: Circuit) -> str | None:
        if circuit.building is not None:
            return circuit.building
        equipment = self.installation.equipment.get(circuit.from_ or "")
        return equipment.building if equipment else None

    # --- roles ---------------------------------------------------------------------------------------------------

    @cached_property
    def roles(self) -> Mapping[str, Role]:
        """What each piece of equipment is to the installation: stated, or read from its place in the tree."""
        roles: dict[str, Role] = {}
        for id in self.order:
            roles[id] = self._role(id, roles)
        return roles

    def _role(self, id: str, roles: Mapping[str, Role]) -> Role:
        equipment = self.installation.equipment[id]
        if equipment.role is not None:
            return equipment.role
        if equipment.kind in ("meter", "junction box", "utility"):
            return "not a disconnect"
        above = [roles[up] for up in self.path_up(id) if up in roles]
        if "service disconnect" not in above and "site-isolating device" not in above:
            return "service disconnect"
        return "building disconnect" if self._enters_building(id) else "subpanel"

    def _enters_building(self, id: str) -> bool:
        source = self.installation.equipment.get(self.source_of(id) or "")
        here = self.installation.equipment[id].building
        return source is not None and self.site_of(here) != self.site_of(source.building)

    def site_of(self, building: str | None) -> str | None:
        """The building a dwelling unit is part of; any other building is its own site."""
        known = self.installation.buildings.get(building or "")
        return known.part_of if known is not None and known.part_of else building

    @cached_property
    def service_disconnects(self) -> tuple[str, ...]:
        """Ids of the service disconnects, by id: what is said of several at one of them never hangs on the survey's
        order."""
        return tuple(sorted(id for id, role in self.roles.items() if role == "service disconnect"))

    def is_service_run(self, run: Run) -> bool:
        """Whether the conductors of this run are service conductors: on the supply side of the service disconnect."""
        return run.to is not None and run.from_ not in self._after_service

    @cached_property
    def _after_service(self) -> frozenset[str]:
        """Equipment at which the service has ended: service disconnects, and all that hangs below one."""
        after: set[str] = set()
        for id in self.order:
            if self.roles[id] in ("service disconnect", "site-isolating device") or self.source_of(id) in after:
                after.add(id)
        return frozenset(after)
