"""The places an installation stands on, each with the equipment at which its electrodes and bonds land."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from driploop.installation import Graph
from driploop.installation.model import Run

#: Equipment on which the neutral of a supply is first brought to earth.
SERVICE_ROLES = frozenset({"service disconnect", "site-isolating device"})


@dataclass(frozen=True, slots=True)
class Site:
    """A building or pole. ``id`` is the building's; where the survey names no building, that of its equipment.

    ``lands_at`` are the disconnects at which a supply comes in: several only where there are several service
    disconnects. ``fed`` says that they hang on a feeder and not on the service.
    """

    id: str
    lands_at: tuple[str, ...]
    fed: bool


def sites(graph: Graph) -> Mapping[str, Site]:
    """Every place with a service disconnect, a site-isolating device or an incoming feeder, in order of supply."""
    service: dict[str, list[str]] = {}
    fed: dict[str, list[str]] = {}
    for id in graph.order:
        if graph.roles[id] in SERVICE_ROLES:
            service.setdefault(site_id(graph, id), []).append(id)
        elif enters_building(graph, graph.feeding_run(id)):
            fed.setdefault(site_id(graph, id), []).append(id)
    found = {id: Site(id, tuple(sorted(at)), fed=False) for id, at in service.items()}
    # A place that has its own service lands there, whatever else comes in.
    found |= {id: Site(id, tuple(sorted(at)), fed=True) for id, at in fed.items() if id not in found}
    return found


def site_id(graph: Graph, equipment: str) -> str:
    """The place a piece of equipment hangs at: its building, the house a dwelling unit is part of, or its own id."""
    return graph.site_of(graph.equipment(equipment).building) or equipment


def enters_building(graph: Graph, run: Run | None) -> bool:
    """Whether a run is a feeder that comes from another place. False where either end's place is not known."""
    if run is None or is_supply_side(graph, run):
        return False
    ends = [graph.installation.equipment.get(id or "") for id in (run.from_, run.to)]
    places = [graph.site_of(end.building) if end is not None else None for end in ends]
    return None not in places and places[0] != places[1]


def is_supply_side(graph: Graph, run: Run) -> bool:
    """Whether a run is known to lie ahead of the service disconnect. A run of unknown ends is not."""
    return run.from_ is not None and run.to is not None and graph.is_service_run(run)


def on_supply_side(graph: Graph, equipment: str) -> bool:
    """Whether equipment lies ahead of the service disconnect, which itself is not counted."""
    above = (equipment, *graph.path_up(equipment))
    return not any(graph.roles.get(id) in SERVICE_ROLES for id in above)
