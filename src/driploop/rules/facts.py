"""What several rules ask alike: where a question belongs, what is old, what a disconnect is rated, whose home it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from driploop.installation import Building, Circuit, Electrode, Equipment, Run
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

#: Buildings the code calls one- and two-family dwellings; a dwelling unit counts unless its building is multifamily.
_HOMES = frozenset({"dwelling", "dwelling unit", "two-family dwelling"})
_SUPPLY_SIDE = ("emergency disconnect", "meter disconnect")
_PARTIAL = ("panel only", "service cable only", "meter only")


def asks(r: Readings) -> bool:
    """Whether an unknown is asked about here: in what will stand in the end, not in what the proposal takes away."""
    proposal = r.job.proposal
    return r.proposed or proposal is None or (proposal.kind is None and proposal.scope not in _PARTIAL)


def gravity(part: Equipment | Run | Circuit | Electrode) -> Verdict:
    """New work must be right; what was found and stays was lawful once, or may have been."""
    return Verdict.MEND if part.is_new else Verdict.KNOW


def service_equipment(r: Readings) -> list[Equipment]:
    """Every service disconnect, in order of supply."""
    return [r.graph.equipment(id) for id in r.graph.service_disconnects]


def supply_side_devices(r: Readings) -> list[Equipment]:
    """Emergency and meter disconnects ahead of the service disconnect."""
    return [r.graph.equipment(id) for id, role in r.graph.roles.items() if role in _SUPPLY_SIDE]


def devices_above(r: Readings, equipment: str) -> list[Equipment]:
    """A service disconnect and the emergency or meter disconnects ahead of it."""
    above = [id for id in r.graph.path_up(equipment) if r.graph.roles.get(id) in _SUPPLY_SIDE]
    return [r.graph.equipment(id) for id in (equipment, *above)]


def rating_a(equipment: Equipment) -> float | None:
    """Rating of a disconnect: its main breaker; a fused or unfused switch by the switch. [A] None where not known."""
    if equipment.main == "breaker":
        return equipment.main_a or equipment.rating_a
    return equipment.rating_a or equipment.main_a


def homes_below(r: Readings, equipment: str) -> list[Building]:
    """One- and two-family dwellings, or units of them, with load below this equipment."""
    found = r.installation.buildings
    homes = [b for b in r.graph.buildings_below(equipment) if b.use in _HOMES]
    return [b for b in homes if b.part_of is None or found.get(b.part_of, b).use in _HOMES]


def at_home(r: Readings, equipment: Equipment) -> bool:
    """Whether an enclosure hangs on a one- or two-family dwelling that it feeds, or nobody said where it hangs."""
    sites = {r.graph.site_of(home.id) for home in homes_below(r, equipment.id)}
    return bool(sites) and (equipment.building is None or r.graph.site_of(equipment.building) in sites)


def service_is_renewed(r: Readings, equipment: str) -> bool:
    """Whether the change replaces the service equipment: this disconnect itself or a device ahead of it is new."""
    return r.proposed and any(each.is_new for each in devices_above(r, equipment))


def holds_overcurrent_devices(equipment: Equipment) -> bool:
    """Whether fuses or breakers sit in it, as far as the survey says; a panel does unless told otherwise."""
    if equipment.kind == "panel":
        return True
    return equipment.kind in ("disconnect", "transfer switch") and equipment.main in ("breaker", "fuses")


def enclosures(r: Readings) -> Iterator[Equipment]:
    """Panels, disconnects and transfer switches: what people open, work on and switch."""
    for equipment in r.installation.equipment.values():
        if equipment.kind in ("panel", "disconnect", "transfer switch"):
            yield equipment


def was_there(r: Readings, equipment: Equipment) -> Equipment | None:
    """The enclosure that a new one takes the place of, None where nothing hung there before."""
    return r.found.equipment.get(equipment.id) if r.found is not None else None


def missing(facts: Iterable[tuple[str, object]]) -> str:
    """The names of the facts that are not known, as one list of words; empty when all are known."""
    return ", ".join(name for name, value in facts if value is None)


def named(circuits: Iterable[Circuit]) -> str:
    """Circuits by what they serve, as one list of words."""
    return ", ".join(circuit.serves or circuit.title for circuit in circuits)
