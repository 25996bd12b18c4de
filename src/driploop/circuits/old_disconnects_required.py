"""Which switch the next inspection asks for: in sight of a motor, a cooling unit, an appliance, or at a building."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.old_disconnects_results import Requirement
from driploop.editions import Edition
from driploop.installation import Equipment, Graph, Load

COOLING = frozenset({"air conditioner", "heat pump"})
APPLIANCES = frozenset({
    "water heater", "instantaneous water heater", "electric heat", "furnace blower", "dishwasher", "disposer", "oven",
    "cooktop", "other appliance",
})  # fmt: skip
#: Machines that are driven by a motor, whether or not somebody read its plate.
_MOTOR_KINDS = frozenset({
    "motor", "well pump", "irrigation pump", "refrigeration", "grain dryer", "milking equipment", "ventilation fan",
    "workshop machine",
})  # fmt: skip


def is_fixed_motor(load: Load) -> bool:
    """A motor that is fastened in place; one on a cord is pulled out of its receptacle."""
    return load.hp is not None and load.kind not in COOLING and not load.receptacle_supplied


def is_large_appliance(load: Load, *, edition: Edition) -> bool:
    """A fixed appliance that is large enough to need a disconnect; a nameplate not read counts as large."""
    va = load.va or (load.kw * 1000 if load.kw else 1e9)
    large = va > edition.number("appliance_disconnect_threshold_va")
    return load.kind in APPLIANCES and not load.receptacle_supplied and large


def disconnect_requirement(load: Load, *, edition: Edition) -> tuple[str, str] | None:
    """The rule that asks for a disconnect in sight of a load: its name in the edition, and the load in words.

    None where no rule asks. Source: the edition's rules on disconnects of motors, cooling equipment and appliances.
    """
    if load.kind in COOLING and not load.receptacle_supplied:
        return "ac-disconnect", "a cooling unit"
    if is_fixed_motor(load) or (load.kind in _MOTOR_KINDS and not load.receptacle_supplied):
        return "motor-disconnect", "a motor"
    if is_large_appliance(load, edition=edition):
        return "appliance-disconnect", "a fixed appliance"
    return None


def required_by(graph: Graph, id: str, *, after: Graph | None, edition: Edition) -> tuple[Requirement, ...]:
    """Why an old enclosure must stay a disconnect, as far as anyone knows.

    A load that the survey names as seen from it counts for sure. Where the survey names none, a switch that feeds a
    load directly may be that load's disconnect, unless somebody said that none is in sight of it.

    Args:
        graph: the installation as found.
        id: the old enclosure.
        after: the installation as proposed; what stands there may serve instead. None while nothing is proposed.
        edition: the code edition to ask.

    Returns:
        The requirements, sure ones first.
    """
    each = graph.equipment(id)
    found = [*_by_loads(graph, each, after, edition), *_by_building(graph, each, after, edition)]
    return tuple(sorted(found, key=lambda r: not r.sure))


def _by_loads(graph: Graph, each: Equipment, after: Graph | None, edition: Edition) -> Iterator[Requirement]:
    standing = (after or graph).installation
    for load_id, sure in _candidates(graph, each):
        load = standing.loads.get(load_id)
        asked = disconnect_requirement(load, edition=edition) if load is not None else None
        if load is None or asked is None or _served_elsewhere(load_id, each.id, graph, after):
            continue
        name, words = asked
        section = edition.entry(name).section
        yield Requirement(
            f"loads.{load_id}",
            f"{load.title}, {words}",
            section,
            sure,
            breaker_will_do=name == "appliance-disconnect",
            breaker_may_do=name == "motor-disconnect",
        )


def _candidates(graph: Graph, each: Equipment) -> Iterator[tuple[str, bool]]:
    """Loads of which this enclosure is or may be the disconnect, and whether that is sure."""
    if each.in_sight_of is not None:
        yield from ((load, True) for load in each.in_sight_of)
        return
    fed = [load for circuit in graph.circuits_at.get(each.id, ()) for load in graph.loads_on.get(circuit, ())]
    for id in dict.fromkeys([*fed, *graph.loads_at.get(each.id, ())]):
        seen = graph.installation.loads[id].disconnect_in_sight
        # A panel that feeds the whole house is the switch of one pump only where somebody saw a switch.
        if seen or (seen is None and each.kind == "disconnect"):
            yield id, False


def _served_elsewhere(load: str, id: str, graph: Graph, after: Graph | None) -> bool:
    standing = (after or graph).installation.equipment.values()
    return any(load in (other.in_sight_of or ()) and other.id != id and is_disconnect(other) for other in standing)


def is_disconnect(each: Equipment) -> bool:
    """Whether an enclosure opens anything."""
    return each.kind in ("disconnect", "panel", "transfer switch")


def _by_building(graph: Graph, each: Equipment, after: Graph | None, edition: Edition) -> Iterator[Requirement]:
    if graph.roles[each.id] != "building disconnect":
        return
    site = graph.site_of(each.building)
    building = graph.installation.buildings.get(site or "")
    if after is not None:
        there = [other for other in after.installation.equipment.values() if after.site_of(other.building) == site]
        opens = ("building disconnect", "service disconnect")
        if any(after.roles[other.id] in opens and other.id != each.id and is_disconnect(other) for other in there):
            return
        if not any(b.id == site or b.part_of == site for id in after.order for b in after.buildings_below(id)):
            return
    title = building.title if building is not None else each.title
    section = edition.entry("building-disconnect").section
    yield Requirement(f"buildings.{site}" if site else f"equipment.{each.id}", f"{title}, a building", section, True)
