"""The survey of one dwelling unit read into the inputs of the dwelling methods, every unknown on the safe side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Literal

from driploop.editions import Edition
from driploop.installation import Building, Circuit
from driploop.loads.coincidence import coincident
from driploop.loads.gather import MANY_UNITS, Group, Site
from driploop.loads.inputs import (
    Appliance,
    ConnectedLoad,
    CookingUnit,
    CoolingUnit,
    DwellingInputs,
    HeatPump,
    HeatUnit,
    Motor,
    NameplateLine,
)
from driploop.loads.nameplate import Nameplate
from driploop.loads.typical import of_site
from driploop.loads.unread import circuit_without_loads, is_dedicated
from driploop.worksheet import Assumption, plain

LIGHTING = frozenset({"lighting and receptacles", "lighting", "receptacles"})
COOKING = frozenset({"range", "oven", "cooktop"})
ALWAYS_FASTENED = frozenset({"water heater", "instantaneous water heater", "dishwasher", "disposer"})
PLUGGED = frozenset({"microwave", "freezer", "refrigerator", "other appliance", "other", "heat lamp"})
MOTORS = frozenset(
    {
        "motor", "well pump", "irrigation pump", "refrigeration", "milking equipment", "ventilation fan",
        "workshop machine", "grain dryer",
    }
)  # fmt: skip
_HEAT_KINDS: Mapping[str | None, Literal["resistance", "storage", "blower"]] = {
    "electric heat": "resistance",
    "thermal storage heat": "storage",
    "furnace blower": "blower",
}
CLIMATE = frozenset({"electric heat", "heat pump", "supplemental heat", "thermal storage heat", "air conditioner"})
COUNTED_BY_KIND = COOKING | MOTORS | CLIMATE | {"furnace blower", "vehicle charger"}
GENERAL_PURPOSES = frozenset({"general", "bathroom", "garage", "outdoor"})
SHARED_PURPOSES = GENERAL_PURPOSES | {"small appliance", "laundry"}


def dwelling_inputs(site: Site, group: Group, *, edition: Edition) -> DwellingInputs:
    """The inputs of one dwelling unit, as far as its load goes through one piece of equipment."""
    whole = site.is_whole(group)
    loads = coincident([*group.loads, *group.outside_loads], same=_class_of)
    circuits = [circuit for circuit in (*group.circuits, *group.outside) if circuit.purpose != "spare"]
    # A load left out because it cannot run with another still stands on its circuit.
    served = {load.circuit.id for load in (*group.loads, *group.outside_loads) if load.circuit is not None}
    held = {load.circuit.id for load in loads if load.circuit is not None and load.load.kind not in (None, *PLUGGED)}
    shared = [circuit for circuit in circuits if _may_be_shared(circuit, held)]
    unsure = [circuit for circuit in shared if not is_dedicated(circuit)]
    # One with nothing listed on it may also feed one thing, which asks for more than a kitchen's circuit.
    kitchens = [circuit for circuit in unsure if circuit.id in served]
    notes = [_kitchen_assumed(circuit) for circuit in kitchens]
    alone = [c for c in circuits if c.id not in served and (_is_dedicated(c) or _may_be_shared(c, held))]
    extra = [circuit_without_loads(circuit, building=group.title) for circuit in alone]
    general = whole or _has_general(circuits, loads, held)
    area, area_notes = _floor_area(site, group, general=general, whole=whole, edition=edition)
    heating, pumps, heat_notes = _heating(loads)
    chargers = [load for load in loads if load.load.kind == "vehicle charger"]
    notes += [*area_notes, *heat_notes, *(note for _, note in extra)]
    notes += [note for load in loads if load.load.kind not in LIGHTING for note in load.assumptions]
    units = MANY_UNITS.get(group.building.use or "", 1) if group.building else 1
    return DwellingInputs(
        floor_area_ft2=area,
        small_appliance_circuits=_small_appliance(circuits, kitchens, units=units, whole=whole, edition=edition),
        laundry_circuits=_laundry(group, circuits, units=units, whole=whole, edition=edition),
        appliances=(
            *(_appliance(load) for load in loads if _is_appliance(load)),
            *(_unread_appliance(load) for load, _ in extra),
        ),
        cooking=tuple(CookingUnit(load.title, load.va / 1000) for load in loads if load.load.kind in COOKING),
        dryers_va=tuple(load.va for load in loads if load.load.kind == "dryer" and not _plugs_in(load)),
        heating=tuple(heating),
        cooling=tuple(_cooling(load) for load in loads if load.load.kind == "air conditioner"),
        heat_pumps=tuple(pumps),
        motors=tuple(_motor(load) for load in loads if load.load.kind in MOTORS),
        evse_va=tuple(load.va for load in chargers if not load.held),
        evse_held_va=sum(load.va for load in chargers if load.held),
        evse_neutral_va=sum(load.va for load in chargers if load.line_to_neutral),
        hvac_added=any(load.load.is_new and load.load.kind in CLIMATE for load in loads),
        units=units,
        volts=site.volts,
        name=group.title,
        nameplates=tuple(_nameplate_lines(loads, extra)),
        assumptions=tuple(notes),
    )


def _class_of(load: Nameplate) -> str:
    """Loads that a dwelling method counts by the same factor, and that use the neutral alike."""
    kind = load.load.kind or "other"
    group = f"climate {kind}" if kind in CLIMATE else "cooking" if kind in COOKING else kind
    return f"{group} {load.line_to_neutral}"


# --- circuits ----------------------------------------------------------------------------------------------------


def _may_be_shared(circuit: Circuit, held: set[str]) -> bool:
    """An unstated purpose that could be a general or small-appliance circuit. ``held``: circuits of fixed loads."""
    return circuit.purpose is None and circuit.id not in held and circuit.poles not in (2, 3)


def _is_dedicated(circuit: Circuit) -> bool:
    return circuit.purpose in (None, "dedicated") and is_dedicated(circuit)


def _has_general(circuits: Iterable[Circuit], loads: Iterable[Nameplate], held: set[str]) -> bool:
    """Whether lights and receptacles hang here, or may: two lines that share a neutral behind one device may, too."""
    stated = any(circuit.purpose in GENERAL_PURPOSES for circuit in circuits)
    may = any(circuit.purpose is None and circuit.id not in held for circuit in circuits)
    return stated or may or any(load.load.kind in LIGHTING for load in loads)


def _small_appliance(
    circuits: Iterable[Circuit], unsure: Sequence[Circuit], *, units: int, whole: bool, edition: Edition
) -> int:
    counted = sum(circuit.purpose == "small appliance" for circuit in circuits) + len(unsure)
    least = int(edition.number("small_appliance_circuits_minimum")) * units
    return max(least, counted) if whole else counted


def _laundry(group: Group, circuits: Iterable[Circuit], *, units: int, whole: bool, edition: Edition) -> int:
    counted = sum(circuit.purpose == "laundry" for circuit in circuits)
    building = group.building
    # A unit of a larger house may do without where laundry is shared or not allowed; a one-family house may not.
    without = building is not None and building.use == "dwelling unit" and building.laundry in ("common", "none")
    if without or not whole:
        return counted
    return max(int(edition.number("laundry_circuits_minimum")) * units, counted)


def _kitchen_assumed(circuit: Circuit) -> Assumption:
    return Assumption(
        where=f"circuits.{circuit.id}.purpose",
        assumed="one of the small-appliance circuits",
        why_safe="such a circuit adds load of its own, a general one does not",
        would_change="what it feeds",
    )


def _floor_area(
    site: Site, group: Group, *, general: bool, whole: bool, edition: Edition
) -> tuple[float, list[Assumption]]:
    building = group.building
    if not general or building is None:
        return 0.0, []
    notes: list[Assumption] = []
    area = building.floor_area_ft2
    if area is None:
        area = of_site("floor_area_ft2")
        notes.append(
            Assumption(
                where=f"buildings.{building.id}.floor_area_ft2",
                assumed=f"{plain(area)} ft2",
                why_safe="few houses of this kind are larger",
                would_change="the outside dimensions of each floor",
            )
        )
    if edition.has("garage_in_floor_area"):
        stated = building.garage_area_ft2
        area += of_site("garage_area_ft2") if stated is None else stated
    if not whole:
        notes.append(
            Assumption(
                where=f"buildings.{building.id}.floor_area_ft2",
                assumed="general lighting of the whole floor area hangs on this panel",
                why_safe="it cannot carry more than all of it",
                would_change="which rooms its general circuits serve",
            )
        )
    if edition.has("garage_in_floor_area"):
        notes += _garage_assumed(building)
    return area, notes


def _garage_assumed(building: Building) -> list[Assumption]:
    if building.garage_area_ft2 is not None:
        return []
    return [
        Assumption(
            where=f"buildings.{building.id}.garage_area_ft2",
            assumed=f"an attached garage of {plain(of_site('garage_area_ft2'))} ft2 beside the floor area",
            why_safe="this edition counts a garage with the floor area, and few hold more than two cars",
            would_change="the garage's outside dimensions; 0 where there is none, or where the floor area holds it",
        )
    ]


# --- loads -------------------------------------------------------------------------------------------------------


def _plugs_in(load: Nameplate) -> bool:
    """A dryer on one line: heated by gas, its motor on a receptacle."""
    stated = load.load.volts in (115, 120)
    return stated or (load.load.volts is None and load.circuit is not None and load.circuit.poles == 1)


def _is_appliance(load: Nameplate) -> bool:
    kind = load.load.kind
    if kind == "dryer":
        return _plugs_in(load) and not _on_shared_circuit(load)
    if kind in LIGHTING or kind in COUNTED_BY_KIND or kind == "generator":
        return False
    plugged = kind in PLUGGED and load.load.receptacle_supplied is True
    return not (plugged and _on_shared_circuit(load))


def _on_shared_circuit(load: Nameplate) -> bool:
    """On a general, kitchen or laundry circuit, whose load holds what is plugged in there."""
    return load.circuit is not None and load.circuit.purpose in SHARED_PURPOSES


def _appliance(load: Nameplate) -> Appliance:
    kind = load.load.kind
    return Appliance(
        name=load.title,
        va=load.va,
        line_to_neutral=load.line_to_neutral,
        fastened=kind in ALWAYS_FASTENED or (kind in PLUGGED and load.load.receptacle_supplied is False),
        motor=load.motor_va > 0,
        hp=load.hp,
        instantaneous_heater=kind == "instantaneous water heater",
        continuous=load.continuous and not load.motor_va,
        rating_known=load.known,
    )


def _nameplate_lines(
    loads: Sequence[Nameplate], extra: Sequence[tuple[ConnectedLoad, Assumption]]
) -> Iterator[NameplateLine]:
    for load in loads:
        if (
            _is_appliance(load)
            or load.load.kind in COUNTED_BY_KIND
            or (load.load.kind == "dryer" and not _plugs_in(load))
        ):
            yield NameplateLine(load.title, load.working, load.va)
    for unread, _ in extra:
        yield NameplateLine(unread.name, unread.working, unread.va)


def _unread_appliance(load: ConnectedLoad) -> Appliance:
    return Appliance(
        name=load.name,
        va=load.va,
        line_to_neutral=bool(load.neutral_va),
        fastened=False,
        rating_known=False,
        # What its device holds has that share in it, and lights of a dwelling are not reckoned as continuous.
        continuous=False,
    )


def _motor(load: Nameplate) -> Motor:
    return Motor(name=load.title, va=load.va, line_to_neutral=load.line_to_neutral)


def _cooling(load: Nameplate) -> CoolingUnit:
    return CoolingUnit(name=load.title, va=load.va, motor_va=load.motor_va, line_to_neutral=load.line_to_neutral)


def _heating(loads: Sequence[Nameplate]) -> tuple[list[HeatUnit], list[HeatPump], list[Assumption]]:
    pumps = [load for load in loads if load.load.kind == "heat pump"]
    helpers = [load for load in loads if load.load.kind == "supplemental heat"]
    units = _heat_units(loads)
    notes: list[Assumption] = []
    only = pumps[0].id if len({pump.id for pump in pumps}) == 1 else None
    taken: set[str] = set()
    read: list[HeatPump] = []
    for pump in pumps:
        mine = [h for h in helpers if (h.load.supplemental_to or only) == pump.id] if pump.id not in taken else []
        taken.add(pump.id)
        locked = pump.load.locked_out is True or (bool(mine) and all(h.load.locked_out is True for h in mine))
        if mine and not locked and pump.load.locked_out is None and any(h.load.locked_out is None for h in mine):
            notes.append(_not_locked_out(pump))
        read.append(
            HeatPump(
                name=pump.title,
                compressor_va=pump.va,
                supplemental_va=sum(h.va for h in mine),
                locked_out=locked,
                motor_va=pump.motor_va,
                line_to_neutral=pump.line_to_neutral,
            )
        )
    alone = [h for h in helpers if (h.load.supplemental_to or only) not in taken]
    units += [HeatUnit(name=h.title, va=h.va, continuous=h.continuous) for h in alone]
    return units, read, notes + [note for load in loads for note in _controls_unknown(load)]


def _heat_units(loads: Sequence[Nameplate]) -> list[HeatUnit]:
    units: list[HeatUnit] = []
    seen: set[str] = set()
    for load in loads:
        kind = load.load.kind
        if kind not in _HEAT_KINDS:
            continue
        # The controls are those of the whole row, however many units it stands for.
        controls = (load.load.controls or 0) if load.id not in seen else 0
        seen.add(load.id)
        units.append(
            HeatUnit(
                name=load.title,
                va=load.va,
                kind=_HEAT_KINDS[kind],
                controls=controls,
                line_to_neutral=load.line_to_neutral,
                continuous=load.continuous,
            )
        )
    return units


def _controls_unknown(load: Nameplate) -> list[Assumption]:
    if load.load.kind != "electric heat" or load.load.controls is not None:
        return []
    return [
        Assumption(
            where=f"loads.{load.id}.controls",
            assumed="not separately controlled",
            why_safe="several separately controlled units may be taken at a lower share",
            would_change="the number of thermostats or switches that each work their own heater",
        )
    ]


def _not_locked_out(pump: Nameplate) -> Assumption:
    return Assumption(
        where=f"loads.{pump.id}.locked_out",
        assumed="compressor and supplemental heat can run together",
        why_safe="both then count",
        would_change="controls that keep the compressor off while the supplemental heat runs",
    )
