"""What the rules about service equipment share: which disconnects belong together, and what each should be."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation import Equipment, Graph
from driploop.rules.catalogue import Found
from driploop.rules.facts import (
    asks,
    at_home,
    devices_above,
    homes_below,
    rating_a,
    service_equipment,
    service_is_renewed,
    supply_side_devices,
)
from driploop.rules.readings import Readings
from driploop.worksheet import Cited, Verdict


def serving_together(r: Readings) -> list[list[Equipment]]:
    """Service disconnects by what they serve: those of one one-family dwelling add up, any other stands alone."""
    groups: dict[tuple[str, str], list[Equipment]] = {}
    for each in service_equipment(r):
        units = r.graph.dwelling_units_below(each.id)
        alone = len(units) == 1 and units[0].part_of is None
        groups.setdefault(("home", units[0].id) if alone else ("alone", each.id), []).append(each)
    return list(groups.values())


def least_rating(r: Readings, group: list[Equipment]) -> Cited:
    """The least rating of one service: a one-family dwelling's, that of one or two circuits, or any other's. [A]"""
    if any(unit.part_of is None for each in group for unit in r.graph.dwelling_units_below(each.id)):
        return r.edition.value("minimum_service_one_family")
    circuits = [circuit for each in group for circuit in r.graph.circuits_below(each.id)]
    listed = not any(r.graph.loads_at.get(id) for each in group for id in r.graph.below(each.id))
    if listed and len(circuits) == 1:
        return r.edition.value("minimum_service_one_circuit")
    if listed and len(circuits) == 2 and all(circuit.poles == 1 for circuit in circuits):
        return r.edition.value("minimum_service_two_circuits")
    return r.edition.value("minimum_service_other")


def all_uses_known(r: Readings, group: list[Equipment]) -> bool:
    """Whether the use of every building on these disconnects is known."""
    buildings = [building for each in group for building in r.graph.buildings_below(each.id)]
    return bool(buildings) and all(building.use is not None for building in buildings)


def motions_of(r: Readings, equipment: Equipment) -> int | None:
    """Handles that open this service equipment; None where the survey does not say."""
    if equipment.mains_count is not None:
        return equipment.mains_count
    if equipment.main in ("breaker", "fuses") or equipment.kind != "panel":
        return 1
    if equipment.main == "none":
        return len(r.graph.circuits_at.get(equipment.id, ())) + len(r.graph.runs_out.get(equipment.id, ()))
    return None


#: Where the edition does not say whether replaced service equipment counts as new.
REPLACEMENT_READINGS = (
    "the rule speaks of new and upgraded services; a replacement of the same size stays as it was",
    "replaced service equipment is new service equipment, and the rule holds",
)


def on_replacement(r: Readings, equipment: Equipment) -> Verdict:
    """What a missing outdoor disconnect means: the edition may or may not speak of replacing service equipment.

    An upgrade is a rating above the old service disconnect's; a large old meter socket makes it no less of one.
    """
    if not service_is_renewed(r, equipment.id):
        return Verdict.KNOW
    old: list[float] = []
    if r.found is not None:
        # A rating that was not read is taken as small, which asks for more.
        old = [rating_a(r.found.equipment[id]) or 0 for id in Graph(r.found).service_disconnects]
    upgraded = (rating_a(equipment) or 0) > max(old, default=0)
    return Verdict.MEND if upgraded or r.edition.has("emergency-disconnect-replacement") else Verdict.ASK


def outdoors_means(
    r: Readings, main: Equipment, devices: list[Equipment], absent: Verdict, *, called: str = "disconnect"
) -> Iterator[Found]:
    """What is to be said of the disconnects that should open a home from outdoors, on it or within sight.

    ``called`` is what the edition asks to be outdoors: any disconnect, or the service disconnect itself.
    """
    outside = [each for each in devices if each.outdoors]
    where, sites = f"equipment.{main.id}", {r.graph.site_of(home.id) for home in homes_below(r, main.id)}
    if any(each.building is None or r.graph.site_of(each.building) in sites for each in outside):
        return
    if outside:
        run = r.graph.feeding_run(main.id)
        in_sight = r.edition.value("in_sight_ft")
        if asks(r) and (run is None or run.length_ft is None or run.length_ft > in_sight.number):
            wrong = f"{outside[0].title} hangs elsewhere; whether it is in sight of the dwelling is not known."
            mend = f"See whether it is visible and within {in_sight.text}; if not, put one on the dwelling."
            yield Found(where, wrong, mend, Verdict.ASK)
    elif any(each.outdoors is None for each in devices):
        if asks(r):
            mend = "Note whether it can be reached from outside without entering."
            yield Found(where, f"It is not known whether the {called} hangs outdoors.", mend, Verdict.ASK)
    else:
        mend = f"Put a {called} on the outside of the dwelling or within sight of it, readily accessible and labelled."
        readings: tuple[str, ...] = ()
        if absent is Verdict.ASK:
            mend = f"{mend} Ask whether a replacement of the same size calls for it."
            readings = REPLACEMENT_READINGS
        wrong = f"No {called} of this dwelling can be reached from outdoors."
        yield Found(where, wrong, mend, absent, readings=readings)


def that_need_emergency_words(r: Readings) -> Iterator[Equipment]:
    """Emergency and meter disconnects, and a new outdoor service disconnect that is the emergency disconnect too."""
    yield from (each for each in supply_side_devices(r) if at_home(r, each) or r.graph.whole_dwelling(each.id))
    for each in service_equipment(r):
        if each.is_new and each.outdoors and at_home(r, each) and len(devices_above(r, each.id)) == 1:
            yield each


def reads(marked: str, words: tuple[str, ...]) -> bool:
    """Whether all these words stand in a marking."""
    return all(word in marked.upper() for word in words)


def surge(r: Readings, main: Equipment, level: list[Equipment], absent: Verdict) -> Iterator[Found]:
    """What is to be said of surge protection at one level of equipment; ``absent`` where there is none for sure."""
    kinds = {each.surge_protection for each in level}
    if kinds & {"type 1", "type 2"}:
        return
    least = f" of {r.edition.value('spd_discharge').text} or more" if r.edition.has("spd_discharge") else ""
    mend = f"Add a Type 1 or Type 2 surge device{least}, in it or beside it."
    if None not in kinds:
        yield Found(f"equipment.{main.id}", "There is no surge protection.", mend, absent)
    elif asks(r) and absent is Verdict.MEND:
        yield Found(f"equipment.{main.id}", "It is not known whether there is surge protection.", mend, Verdict.ASK)
