"""The calculated load of every meter, disconnect and panel: every method that applies, and which governs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from driploop.editions import Edition
from driploop.installation import Equipment, Graph, Installation, MeteredDemand
from driploop.loads.building_inputs import building_inputs, merged
from driploop.loads.connected import as_other_load, connected_building
from driploop.loads.dwelling_inputs import dwelling_inputs
from driploop.loads.existing import existing_dwelling, existing_permission
from driploop.loads.farm import building_load, farm_total
from driploop.loads.gather import MANY_UNITS, Group, Hanging, Shares, Site
from driploop.loads.inputs import BuildingInputs, DwellingInputs, MeteredRecord, NewLoad, together
from driploop.loads.metered import metered_existing
from driploop.loads.multifamily import multifamily
from driploop.loads.neutral import neutral_of_building, neutral_of_dwelling, neutral_of_site
from driploop.loads.optional import optional_dwelling, optional_permission
from driploop.loads.results import LoadReading, LoadResult, NeutralLoad, NodeLoad
from driploop.loads.set_points import SetPoints
from driploop.loads.standard import standard_dwelling
from driploop.loads.two_dwellings import two_dwellings
from driploop.loads.uses import larger_of, other_readings, use_not_known
from driploop.loads.writing import conductor_current_of
from driploop.worksheet import Assumption, Worksheet, WorksheetWriter, plain, unique


def read_loads(
    graph: Graph,
    *,
    edition: Edition,
    metered: Mapping[str, MeteredDemand] | None = None,
    by_building: bool = False,
) -> LoadReading:
    """The calculated load of every piece of equipment.

    Args:
        graph: the installation.
        edition: the code edition to ask.
        metered: demand records by id; left out = those of the installation.
        by_building: also each building by itself, on a site of several; ``NodeLoad.equipment`` holds its id there.
    """
    reader = LoadReader(graph, edition=edition, metered=metered)
    nodes = {id: reader.node(id) for id in graph.order}
    of_site = reader.site.by_building if by_building else {}
    buildings = {id: reader.building(id) for id in of_site} if len(of_site) > 1 else {}
    notes = [note for node in nodes.values() for result in node.results for note in result.assumptions]
    return LoadReading(nodes, unique([*reader.site_assumptions(), *notes]), buildings, reader.set_points.held)


#: Methods that only a dwelling's own supply may use.
_DWELLING_WAYS = ("optional", "existing", "two dwellings", "multifamily")


@dataclass(frozen=True, slots=True)
class _Computed:
    """Everything about one set of loads that does not depend on which equipment is asked about."""

    results: tuple[LoadResult, ...]
    neutral: NeutralLoad
    dwelling: DwellingInputs | None
    new_loads: tuple[NewLoad, ...]
    barred: str = ""


class LoadReader:
    """Reads one installation, each set of loads once, however many boxes it passes through."""

    def __init__(
        self,
        graph: Graph,
        *,
        edition: Edition,
        metered: Mapping[str, MeteredDemand] | None = None,
        shares: Shares | None = None,
        uses_settled: bool = False,
    ) -> None:
        self.graph = graph
        self._uses_settled = uses_settled
        self.edition = edition
        self.site = Site(graph, edition=edition, shares=shares)
        self.metered = graph.installation.metered if metered is None else metered
        self._computed: dict[int, _Computed] = {}
        self._dwellings: dict[int, DwellingInputs] = {}
        self._buildings: dict[int, BuildingInputs] = {}
        self._farm_parts: dict[int, LoadResult] = {}
        self.set_points = SetPoints(self.site, edition=edition, read_anew=self._anew)

    def _anew(self, installation: Installation, *, metered: bool = True, shares: Shares | None = None) -> LoadReader:
        """A reader of the same site otherwise: something off, or held back."""
        records = self.metered if metered else {}
        return LoadReader(
            Graph(installation), edition=self.edition, metered=records, shares=shares, uses_settled=self._uses_settled
        )

    @cached_property
    def _by_other_uses(self) -> tuple[LoadReader, ...]:
        if self._uses_settled:
            return ()
        return tuple(
            LoadReader(
                Graph(installation), edition=self.edition, metered=self.metered, shares=self.site.shares,
                uses_settled=True,
            )
            for installation in other_readings(self.graph.installation)
        )  # fmt: skip

    def node(self, id: str) -> NodeLoad:
        """The calculated load at one piece of equipment."""
        readings = [self._node(id), *(reader._node(id) for reader in self._by_other_uses)]
        return self._larger_of_uses(id, readings)

    def _larger_of_uses(self, id: str, readings: Sequence[NodeLoad]) -> NodeLoad:
        if len(readings) == 1:
            return readings[0]
        return larger_of(
            readings, summary=lambda results, governing: _summary_head(id, results, governing), edition=self.edition
        )

    def _node(self, id: str) -> NodeLoad:
        hanging = self.site.hanging[id]
        if (key := _key(hanging)) not in self._computed:
            self._computed[key] = self._compute(hanging, where=id)
        computed = self._computed[key]
        results = [self._at(id, result, computed) for result in computed.results]
        results += self._metered(id, computed)
        results += self.set_points.at(id)
        governing = _governing(results)
        neutral = replace(computed.neutral, worksheet=_renamed(computed.neutral.worksheet, id))
        conductor_a = conductor_current_of(governing)
        return NodeLoad(
            equipment=id,
            voltage_v=self.site.volts,
            results=tuple(results),
            governing=governing,
            neutral=neutral,
            conductor_current_a=conductor_a,
            worksheet=_summary(id, results, governing, conductor_a),
        )

    def building(self, id: str) -> NodeLoad:
        """The calculated load of one building by itself, as permitted at the equipment that supplies all of it."""
        others = (reader for reader in self._by_other_uses if id in reader.site.by_building)
        readings = [self._building_by_itself(id), *(reader._building_by_itself(id) for reader in others)]
        return self._larger_of_uses(f"building-{id}", readings)

    def _building_by_itself(self, id: str) -> NodeLoad:
        group = self.site.by_building[id]
        computed = self._compute({id: group}, where=f"building-{id}")
        supply = self.site.supplies.get(id)
        results = [
            self._permitted(result, computed, supply) if supply is not None else result for result in computed.results
        ]
        governing = _governing(results)
        conductor_a = conductor_current_of(governing)
        return NodeLoad(
            equipment=id,
            voltage_v=self.site.volts,
            results=tuple(results),
            governing=governing,
            neutral=computed.neutral,
            conductor_current_a=conductor_a,
            worksheet=_summary(f"building-{id}", results, governing, conductor_a),
        )

    # --- what is computed once for a set of loads ----------------------------------------------------------------

    def _compute(self, hanging: Hanging, *, where: str) -> _Computed:
        groups = [group for group in hanging.values() if group.circuits or group.loads or group.outside or group.panels]
        dwellings = [group for group in groups if self.site.is_dwelling(group)]
        others = [group for group in groups if not self.site.is_dwelling(group)]
        new = tuple(
            NewLoad(name=load.title, va=load.va, continuous=load.continuous and not load.motor_va)
            for group in groups
            for load in (*group.loads, *group.outside_loads)
            if load.load.is_new and load.load.kind != "generator"
        )
        if self.site.farm and others and len(groups) > 1:
            results, neutral = self._farm(dwellings, others, groups, where=where)
            return _Computed(results, neutral, None, new)
        if not dwellings:
            usual = self._no_dwelling(others, new, where=where)
        else:
            usual = self._homes(dwellings, others, new, where=where)
        if self.graph.installation.site_kind is not None or not others or len(groups) == 1:
            return usual
        results, neutral = self._farm(dwellings, others, groups, where=where)
        return _larger_of(usual, _Computed(results, neutral, None, new))

    def _no_dwelling(self, groups: Sequence[Group], new: tuple[NewLoad, ...], *, where: str) -> _Computed:
        buildings = [self._building(group) for group in groups]
        inputs = merged(buildings, volts=self.site.volts)
        if self.site.farm and groups:
            result = building_load(inputs, edition=self.edition, where=where)
        else:
            result = connected_building(inputs, edition=self.edition, where=where)
        if len(buildings) == 1:
            neutral = neutral_of_building(inputs, edition=self.edition, where=where)
        else:
            neutral = neutral_of_site([], buildings, volts=self.site.volts, edition=self.edition, where=where)
        return _Computed((result,), neutral, None, new)

    def _homes(
        self, dwellings: Sequence[Group], others: Sequence[Group], new: tuple[NewLoad, ...], *, where: str
    ) -> _Computed:
        units = [self._dwelling(group) for group in dwellings]
        house = tuple(as_other_load(self._building(group)) for group in others)
        inputs = together(units, other=house)
        neutral = neutral_of_dwelling(inputs, edition=self.edition, where=where)
        results = [standard_dwelling(inputs, edition=self.edition, where=where)]
        whole = all(self.site.is_whole(group) and _use_is_known(group) for group in dwellings)
        one = all(self.site.is_whole(group) for group in dwellings) and len(units) == 1 and not _is_many(dwellings[0])
        if one:
            results.append(optional_dwelling(inputs, edition=self.edition, where=where))
            results.append(existing_dwelling(inputs, edition=self.edition, where=where))
        elif whole and len(units) == 2:
            results.append(two_dwellings(units, edition=self.edition, house=house, where=where))
        elif whole and len(units) > 2:
            results.append(multifamily(units, edition=self.edition, house=house, where=where))
        barred = self._barred(dwellings[0], units[0]) if one else ""
        if others and self.site.installation.site_kind is None:
            barred = "this may be a farm, where the whole load is figured otherwise"
        return _Computed(tuple(results), neutral, inputs if one else None, new, barred)

    def _farm(
        self, dwellings: Sequence[Group], others: Sequence[Group], groups: Sequence[Group], *, where: str
    ) -> tuple[tuple[LoadResult, ...], NeutralLoad]:
        buildings = [self._building(group) for group in others]
        homes = [self._farm_dwelling(group) for group in dwellings]
        total = farm_total(
            [self._farm_building(group) for group in others],
            homes,
            edition=self.edition,
            volts=self.site.volts,
            where=where,
        )
        neutrals = [
            neutral_of_dwelling(self._dwelling(group), edition=self.edition, where=where) for group in dwellings
        ]
        neutral = neutral_of_site(neutrals, buildings, volts=self.site.volts, edition=self.edition, where=where)
        return (total,), neutral

    def _farm_building(self, group: Group) -> LoadResult:
        """A farm building as a part of the farm's total, computed once."""
        if id(group) not in self._farm_parts:
            self._farm_parts[id(group)] = building_load(self._building(group), edition=self.edition)
        return self._farm_parts[id(group)]

    def _farm_dwelling(self, group: Group) -> LoadResult:
        """A farm dwelling as a part of the farm's total, computed once."""
        if id(group) not in self._farm_parts:
            self._farm_parts[id(group)] = self._least_farm_dwelling(group, where=group.id or "dwelling")
        return self._farm_parts[id(group)]

    def _least_farm_dwelling(self, group: Group, *, where: str) -> LoadResult:
        """The standard method, or the optional one where that is permitted and less."""
        inputs = self._dwelling(group)
        standard = standard_dwelling(inputs, edition=self.edition, where=where)
        supply = self.site.supplies.get(group.id)
        if supply is None or _is_many(group) or not self.site.is_whole(group) or self._barred(group, inputs):
            return standard
        rating = self.site.rating_a(supply)
        optional = optional_dwelling(inputs, edition=self.edition, rating_a=rating, where=where)
        return min((standard, optional), key=_load_va) if optional.permitted == "yes" else standard

    def _barred(self, group: Group, inputs: DwellingInputs) -> str:
        """Why the optional methods are barred for a dwelling, "" where they are not."""
        if not _use_is_known(group):
            return "it is not known that the building is a dwelling"
        supply = self.site.supplies.get(group.id)
        # A site whose kind nobody stated may be a farm.
        residence = self.site.installation.site_kind == "residence"
        if residence or not inputs.electric_heat or supply is None:
            return ""
        above = [id for id in self.graph.path_up(supply) if id in self.graph.installation.equipment]
        common = self.site.hanging[above[-1] if above else supply]
        dryers = [load for g in common.values() for load in g.loads if load.load.kind == "grain dryer"]
        if not dryers:
            return ""
        section = self.edition.section("farm-dwelling-optional-bar")
        return f"the house has electric heat and the farm electric grain drying on one service ({section})"

    def _dwelling(self, group: Group) -> DwellingInputs:
        if id(group) not in self._dwellings:
            self._dwellings[id(group)] = dwelling_inputs(self.site, group, edition=self.edition)
        return self._dwellings[id(group)]

    def _building(self, group: Group) -> BuildingInputs:
        if id(group) not in self._buildings:
            self._buildings[id(group)] = building_inputs(self.site, group)
        return self._buildings[id(group)]

    # --- what depends on the equipment ---------------------------------------------------------------------------

    def _at(self, id: str, result: LoadResult, computed: _Computed) -> LoadResult:
        """A result as it stands for this equipment: its worksheet's name, and whether it is permitted here."""
        return replace(self._permitted(result, computed, id), worksheet=_renamed(result.worksheet, id))

    def _permitted(self, result: LoadResult, computed: _Computed, id: str) -> LoadResult:
        """A result with the answer whether its method is permitted at this equipment."""
        permitted, why = result.permitted, result.why
        if result.load_va is not None and computed.dwelling is not None:
            if result.method == "optional":
                permitted, why = optional_permission(self.site.rating_a(id), edition=self.edition)
            elif result.method == "existing":
                new = self.graph.installation.equipment[id].is_new
                permitted, why = existing_permission(new, inputs=computed.dwelling)
        if result.load_va is not None and result.method in _DWELLING_WAYS and computed.barred:
            permitted, why = "no", computed.barred
        return replace(result, permitted=permitted, why=why)

    def _metered(self, id: str, computed: _Computed) -> list[LoadResult]:
        hanging = self.site.hanging[id]
        for record in self.metered.values():
            if record.meter is not None and self.site.hanging.get(record.meter) is hanging:
                return [
                    metered_existing(
                        record_of(record),
                        edition=self.edition,
                        new_loads=computed.new_loads,
                        rating_a=self.site.rating_a(id),
                        volts=self.site.volts,
                        where=id,
                    )
                ]
        return []

    def site_assumptions(self) -> tuple[Assumption, ...]:
        """What had to be assumed of the whole site."""
        installation = self.graph.installation
        notes = [_fed_from(where, self.graph.equipment(id)) for where, id in self.graph.fed_from_unknown.items()]
        if installation.site_kind is None:
            notes.append(
                Assumption(
                    where="site.kind",
                    assumed="no farm, and no garage counted with the house",
                    why_safe="neither the farm's reductions nor the dwelling's are claimed for other buildings",
                    would_change='"residence" or "farm"',
                )
            )
        notes += [use_not_known(b) for b in installation.buildings.values() if b.use is None]
        if installation.utility.system is None:
            notes.append(
                Assumption(
                    where="utility.system",
                    assumed="120/240 V single-phase",
                    why_safe="it is what houses and farms are served with; a wye would show at the meter",
                    would_change="208Y/120 V makes every current larger by a sixth",
                )
            )
        return tuple(notes)


def _fed_from(where: str, equipment: Equipment) -> Assumption:
    return Assumption(
        where=where,
        assumed=f"fed from {equipment.title}",
        why_safe="the service then carries it; left out, no sum would hold it",
        would_change="the panel it is fed from, whose feeder then carries it too",
    )


def _larger_of(one: _Computed, other: _Computed) -> _Computed:
    """Two ways to count the same loads where it is not known which applies: the larger stands, the rest is asked."""
    computed = [result for result in (*one.results, *other.results) if result.load_va is not None]
    largest = max(computed, key=lambda result: result.load_va or 0.0)
    why = "whether the place is a farm is not known; the larger way of counting stands"
    results = [replace(result, permitted="ask", why=why) for result in computed if result.permitted != "no"]
    kept = [result for result in computed if result.permitted == "no" and result is not largest]
    stands = replace(largest, permitted="yes", why=why)
    results = [stands if result.method == largest.method else result for result in results]
    if stands not in results:
        results.append(stands)
    neutral = max((one.neutral, other.neutral), key=lambda each: each.load_va)
    return replace(one, results=(*results, *kept), neutral=neutral, dwelling=None)


def _use_is_known(group: Group) -> bool:
    return group.building is None or group.building.use is not None


def record_of(record: MeteredDemand) -> MeteredRecord:
    """A survey's demand record as the metered method takes it."""
    return MeteredRecord(
        peak_kw=record.peak_kw,
        interval_minutes=record.interval_minutes,
        record_months=record.record_months,
        record_days=record.record_days,
        highest_phase=record.highest_phase,
        occupied=record.occupied,
        season_added_va=record.season_added_va,
        solar_wind_or_peak_shaving=record.solar_wind_or_peak_shaving,
        where=f"metered.{record.id}",
    )


def _key(hanging: Hanging) -> int:
    return id(hanging)


def _is_many(group: Group) -> bool:
    return group.building is not None and (group.building.use or "") in MANY_UNITS


def _load_va(result: LoadResult) -> float:
    return result.load_va if result.load_va is not None else float("inf")


def _governing(results: Sequence[LoadResult]) -> LoadResult:
    permitted = [result for result in results if result.permitted == "yes" and result.load_va is not None]
    if permitted:
        return min(permitted, key=_load_va)
    return max((result for result in results if result.load_va is not None), key=_load_va)


def _renamed(worksheet: Worksheet, equipment: str) -> Worksheet:
    return replace(worksheet, id=f"load/{equipment}/{worksheet.id.rpartition('/')[2]}")


def _summary_head(id: str, results: Sequence[LoadResult], governing: LoadResult) -> WorksheetWriter:
    sheet = WorksheetWriter(f"load/{id}/governing", "Which load governs")
    for result in results:
        words = f"permitted: {result.permitted}; {result.why}" if result.why else f"permitted: {result.permitted}"
        value = "not computed" if result.load_va is None else result.load_va
        unit = "" if result.load_va is None else "VA"
        sheet.write(result.title, words, value, unit, result.section, key=result.method)
    current_a = governing.current_a or 0.0
    working = f"{governing.method}, {plain(governing.load_va or 0.0)} VA"
    sheet.number("Governing load", working, current_a, "A", governing.section, key="governing")
    return sheet


def _summary(id: str, results: Sequence[LoadResult], governing: LoadResult, conductor_a: float) -> Worksheet:
    sheet = _summary_head(id, results, governing)
    sheet.number(
        "For conductors and overcurrent devices",
        "worksheet of the governing method",
        conductor_a,
        "A",
        governing.worksheet.line("conductor_current").result.section,
        key="conductor_current",
    )
    return sheet.done()
