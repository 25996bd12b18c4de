"""Where the neutral is bonded: at the service disconnect and ahead of it, nowhere after it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from driploop.editions import Edition
from driploop.grounding.results import NeutralBond, WireCount
from driploop.grounding.sites import enters_building, on_supply_side
from driploop.grounding.wires import carries_neutral
from driploop.installation import UTILITY, Graph
from driploop.worksheet import Assumption

_SUPPLY_SIDE = (
    "line-side metal is bonded by the neutral; electrode conductor and main bonding jumper stay at the service"
)


def neutral_bonds(
    graph: Graph, wires: Mapping[str, WireCount], *, edition: Edition
) -> tuple[dict[str, NeutralBond], tuple[Assumption, ...]]:
    """What the neutral must be at every enclosure but the utility's own.

    Args:
        graph: the installation.
        wires: the wire counts of its runs: a kept three-wire feeder brings its bond to the building.
        edition: the code edition to ask.

    Returns:
        The bonds by equipment id, and what was assumed of equipment whose supply is not known.
    """
    bonds = {id: _bond(graph, id, wires, edition) for id in graph.order if graph.equipment(id).kind != "utility"}
    asked = tuple(_unknown_supply(id) for id in bonds if _supply_unknown(graph, id))
    return bonds, asked


def kept_on_three_wires(graph: Graph, equipment: str, wires: Mapping[str, WireCount]) -> bool:
    """Whether a building's disconnect hangs on an old three-wire feeder that may stay."""
    run = graph.feeding_run(equipment)
    count = wires.get(run.id) if run is not None else None
    if count is None or not enters_building(graph, run):
        return False
    return count.may_stay and count.found is not None and count.found < count.needed


def _bond(graph: Graph, id: str, wires: Mapping[str, WireCount], edition: Edition) -> NeutralBond:
    required, why, rule = _required(graph, id, wires)
    return NeutralBond(id, required, graph.equipment(id).neutral_bonded, why, edition.section(rule))


def _required(
    graph: Graph, id: str, wires: Mapping[str, WireCount]
) -> tuple[Literal["bonded", "isolated", "no neutral"], str, str]:
    role = graph.roles[id]
    if role == "service disconnect":
        return (
            "bonded",
            "the service disconnect: neutral, enclosure and electrode conductor meet here",
            ("neutral-bond-at-service"),
        )
    if role == "site-isolating device":
        why = "the distribution point: the neutral is joined here to its electrode and to the equipment grounds"
        return "bonded", why, "ag-distribution-point"
    if on_supply_side(graph, id):
        return "bonded", _SUPPLY_SIDE, "neutral-bond-at-service"
    run = graph.feeding_run(id)
    if run is not None and not carries_neutral(graph, run):
        return "no neutral", "its supply brings no neutral", "four-wire-downstream"
    if kept_on_three_wires(graph, id, wires):
        why = "the old three-wire feeder stays by the exception: its neutral grounds this building"
        return "bonded", why, "three-wire-feeder-existing"
    if enters_building(graph, run):
        return "isolated", "fed by a feeder: the neutral is not joined to the ground here", "separate-building-egc"
    return (
        "isolated",
        "after the service disconnect: a second bond puts neutral current on metal",
        ("neutral-past-the-service"),
    )


def _supply_unknown(graph: Graph, id: str) -> bool:
    equipment = graph.equipment(id)
    if equipment.role is not None or equipment.kind == "meter" or graph.roles[id] != "service disconnect":
        return False
    top = id
    for above in graph.path_up(id):
        top = above
    known = graph.installation.equipment.get(top)
    return top != UTILITY and (known is None or known.kind not in ("utility", "meter"))


def _unknown_supply(id: str) -> Assumption:
    return Assumption(
        where=f"equipment.{id}.role",
        assumed="it is a service disconnect, fed by the utility",
        why_safe="it is treated as having nothing ahead of it that opens; nothing is called safe on this ground",
        would_change="what feeds it: behind another disconnect its neutral must be isolated and it needs four wires",
    )
