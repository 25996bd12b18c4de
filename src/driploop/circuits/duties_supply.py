"""Duties of enclosures and feeders: surge protection at each level, four wires to another building."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.change import Change, unseen
from driploop.circuits.duties_results import Answer, Duty, Need
from driploop.editions import Edition, NotInEdition
from driploop.grounding.sites import enters_building
from driploop.installation import Equipment, Graph, Run
from driploop.worksheet import Assumption

_FED = ("building disconnect", "subpanel", "feeder panel")
_SUPPLY_SIDE = ("emergency disconnect", "meter disconnect")


def surge_requirement(graph: Graph, id: str, *, edition: Edition) -> str | None:
    """The name of the rule that asks for surge protection at one enclosure when it is renewed; None where none does.

    Source: the edition's rules on surge protection at the service and on feeders of dwellings.
    """
    each, role = graph.equipment(id), graph.roles[id]
    if not graph.dwelling_units_below(id):
        return None
    if role == "service disconnect":
        return "surge-protection-service" if _asks(edition, "surge-protection-service") else None
    if role in _FED and each.kind in ("panel", "disconnect") and _asks(edition, "surge-protection-feeder"):
        return "surge-protection-feeder"
    return None


def surge_level(graph: Graph, id: str) -> list[Equipment]:
    """The enclosures in which one surge device serves: itself, and at the service also the next ones downstream."""
    level = [graph.equipment(id)]
    if graph.roles[id] == "service disconnect":
        next_down = [graph.installation.runs[run].to for run in graph.runs_out.get(id, ())]
        level += [graph.equipment(to) for to in next_down if to in graph.installation.equipment]
    return level


def surge(change: Change, id: str) -> Iterator[Duty]:
    """The duty of one enclosure. Source: see ``surge_requirement``."""
    graph, edition = change.graph, change.edition
    rule = surge_requirement(graph, id, edition=edition)
    if rule is None or graph.equipment(id).kind not in ("panel", "disconnect"):
        return
    if rule == "surge-protection-feeder" and graph.equipment(id).kind != "panel":
        return
    kinds = {each.surge_protection for each in surge_level(graph, id)}
    least = f" of {edition.value('spd_discharge').text} or more" if edition.has("spd_discharge") else ""
    answer: Answer = "yes"
    reason = "It is renewed, and there is no surge protection."
    assumed: tuple[Assumption, ...] = ()
    if kinds & {"type 1", "type 2"}:
        answer, reason = "no", "There is surge protection."
    elif not _renewed(change, id):
        answer, reason = "no", "It is not renewed; surge protection is asked for when it is."
    elif None in kinds:
        reason = "It is renewed, and whether there is surge protection is not known."
        where = f"equipment.{id}.surge_protection"
        assumed = unseen(where, "none", "one too many harms nobody", "a device in it or beside it")
    needs = (Need(f"surge device, Type 1 or 2{least}"),)
    do = f"Add a Type 1 or Type 2 surge device{least}, in it or beside it."
    yield Duty(f"equipment.{id}", "surge-protection", answer, reason, change.section(rule), do, needs, (), assumed)


def _renewed(change: Change, id: str) -> bool:
    """Whether this enclosure, or for a service disconnect a device ahead of it, is new in what will stand."""
    graph = change.graph
    ahead = [up for up in graph.path_up(id) if graph.roles.get(up) in _SUPPLY_SIDE]
    devices = [id, *(ahead if graph.roles[id] == "service disconnect" else ())]
    return not change.proposed or any(graph.equipment(device).is_new for device in devices)


def _asks(edition: Edition, requirement: str) -> bool:
    try:
        return edition.has(requirement)
    except NotInEdition:
        return False


def feeder(change: Change, run: Run) -> Iterator[Duty]:
    """The duty of one run that comes into another building. Source: the wire counts of the grounding stage."""
    count = change.wires.get(run.id)
    if count is None or not enters_building(change.graph, run):
        return
    answer: Answer = "no" if count.may_stay else "yes"
    assumed: tuple[Assumption, ...] = ()
    if count.found is None and not count.may_stay and not run.is_new:
        assumed = unseen(
            f"runs.{run.id}.wires", "an equipment ground is missing", "four wires are right in every case", "4"
        )
    if run.is_new and not count.may_stay:
        assumed = ()
    reason = f"{count.why[:1].upper()}{count.why[1:]}."
    needs = (Need(f"feeder of {count.needed} wires"), Need("electrode and disconnect at the building, if not there"))
    do = f"Run {count.needed} wires and isolate the neutral at the building."
    yield Duty(f"runs.{run.id}", "feeder-to-building", answer, reason, count.section, do, needs, (), assumed)
