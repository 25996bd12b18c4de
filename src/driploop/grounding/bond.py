"""Where the neutral is bonded: at the service disconnect and ahead of it, nowhere after it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.results import NeutralBond, WireCount
from driploop.grounding.sites import enters_building, on_supply_side
from driploop.grounding.wires import carries_neutral, wire_counts
from driploop.installation import UTILITY, Graph
from driploop.loads.results import LoadReading
from driploop.worksheet import Assumption

_SUPPLY_SIDE = (
    "line-side metal is bonded by the neutral; electrode conductor and main bonding jumper stay at the service"
)


def neutral_bonds(
    graph: Graph,
    *,
    loads: LoadReading | None = None,
    conductors: ConductorReading | None = None,
    found: Graph | None = None,
    edition: Edition,
) -> dict[str, NeutralBond]:
    """What the neutral must be at every enclosure but the utility's own.

    Args:
        graph: the installation.
        loads: its calculated loads; without them no old three-wire feeder is shown to be allowed to stay.
        conductors: its conductors; without them the sizes of the survey count.
        found: the installation before the change.
        edition: the code edition to ask.

    Returns:
        The bonds by equipment id.
    """
    sizes = conductors or ConductorReading({})
    wires, _ = wire_counts(graph, loads or LoadReading({}), sizes, found=found, edition=edition)
    return bonds_on(graph, wires, edition=edition)[0]


def bonds_on(
    graph: Graph, wires: Mapping[str, WireCount], *, edition: Edition
) -> tuple[dict[str, NeutralBond], tuple[Assumption, ...]]:
    """As ``neutral_bonds``, from wire counts already read: a kept three-wire feeder brings its bond to the building.

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
    required, why, section = _required(graph, id, wires, edition)
    return NeutralBond(id, required, graph.equipment(id).neutral_bonded, why, section)


def _required(
    graph: Graph, id: str, wires: Mapping[str, WireCount], edition: Edition
) -> tuple[Literal["bonded", "isolated", "no neutral"], str, str]:
    role = graph.roles[id]
    if role == "service disconnect":
        why = "the service disconnect: neutral, enclosure and electrode conductor meet here"
        return "bonded", why, edition.section("neutral-bond-at-service")
    if role == "site-isolating device":
        why = "the distribution point: the neutral is joined here to its electrode and to the equipment grounds"
        return "bonded", why, edition.section("ag-distribution-point")
    if on_supply_side(graph, id):
        return "bonded", _SUPPLY_SIDE, edition.section("neutral-bond-at-service")
    run = graph.feeding_run(id)
    if run is not None and not carries_neutral(graph, run):
        return "no neutral", "its supply brings no neutral", edition.section("four-wire-downstream")
    if kept_on_three_wires(graph, id, wires):
        why = "the old three-wire feeder stays by the exception: its neutral grounds this building"
        return "bonded", why, edition.section("three-wire-feeder-existing")
    if enters_building(graph, run):
        why = "fed by a feeder: the neutral is not joined to the ground here"
        return "isolated", why, edition.section("separate-building-egc")
    why = "after the service disconnect: a second bond puts neutral current on metal"
    return "isolated", why, edition.section("neutral-past-the-service")


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
