"""Metal raceways ahead of the service disconnect: which ends need a jumper past their knockouts and locknuts."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.grounding.sites import is_supply_side
from driploop.installation import Graph
from driploop.installation.kinds import METAL_RACEWAYS
from driploop.installation.model import Equipment, Run
from driploop.worksheet import Assumption

_GOOD_BY_ITSELF = frozenset({"threaded hub", "nonmetallic"})
_RINGED = frozenset({"concentric", "eccentric"})


@dataclass(frozen=True, slots=True)
class RacewayEnd:
    """One end of a line-side metal raceway. ``needs_jumper`` takes an unknown as needing one."""

    run: str
    equipment: str
    needs_jumper: bool
    why: str
    assumptions: tuple[Assumption, ...] = ()


def raceway_ends(graph: Graph) -> tuple[RacewayEnd, ...]:
    """Both ends of every metal raceway of the customer's ahead of the service disconnect.

    Source:
        The rules on bonding of service raceways; ordinary locknuts never count by themselves.
    """
    return tuple(
        raceway_end(run, graph.equipment(end))
        for run in graph.installation.runs.values()
        if run.method in METAL_RACEWAYS and run.owner != "utility" and is_supply_side(graph, run)
        for end in (run.from_, run.to)
        if end in graph.installation.equipment and graph.equipment(end).kind != "utility"
    )


def raceway_end(run: Run, equipment: Equipment) -> RacewayEnd:
    """Whether the raceway of a run needs a jumper where it enters an enclosure.

    Args:
        run: in a metal raceway, ahead of the service disconnect.
        equipment: the enclosure, with its knockouts and the fitting used.
    """
    fitting, knockouts = equipment.line_side_fitting, equipment.knockouts
    if fitting in _GOOD_BY_ITSELF or (fitting is None and knockouts == "hub"):
        return RacewayEnd(run.id, equipment.id, False, f"{fitting or 'hub'}: good by itself")
    if fitting == "ordinary locknut":
        return RacewayEnd(run.id, equipment.id, True, "ordinary locknuts never count ahead of the service disconnect")
    if knockouts in _RINGED:
        return RacewayEnd(run.id, equipment.id, True, f"the {knockouts} rings left in the wall are no sure path")
    if fitting is not None and knockouts in ("plain", "hub"):
        return RacewayEnd(run.id, equipment.id, False, f"{fitting} on a {knockouts} opening")
    field = "line_side_fitting" if fitting is None else "knockouts"
    asked = Assumption(
        where=f"equipment.{equipment.id}.{field}",
        assumed="the raceway's end is no sure path for fault current",
        why_safe="a jumper is added, which never harms",
        would_change="a threaded hub, or a bonding locknut or bushing on a plain opening",
    )
    return RacewayEnd(run.id, equipment.id, True, f"{field.replace('_', ' ')} not known", (asked,))
