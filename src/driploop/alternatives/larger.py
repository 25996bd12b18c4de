"""Mendings that put something in: a larger panel or feeder, a disconnect outdoors, a circuit of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from driploop.alternatives.new_parts import bought, surge_device, usual_insulation
from driploop.alternatives.trade import metals, methods, service_class
from driploop.conductors import next_standard_rating
from driploop.editions import Edition
from driploop.installation import Equipment, Run
from driploop.loads.gather import own_rating
from driploop.rules import Readings
from driploop.worksheet import Finding


@dataclass(frozen=True, slots=True)
class Mending:
    """Fields of one part that mend a finding, and the work in words. ``table`` is the part's in the job file.

    ``large``: equipment or conductors are put in, more than a repair of what stays.
    """

    table: str
    id: str
    fields: Mapping[str, Any]
    words: str
    large: bool = False


def larger_panel(each: Equipment, r: Readings, edition: Edition) -> Mending | None:
    """A breaker panel in the place of one that is too small for what hangs on it."""
    node = r.loads.nodes.get(each.id)
    if node is None or each.kind not in ("panel", "disconnect"):
        return None
    entrance = r.graph.roles[each.id] == "building disconnect"
    least_a = node.conductor_current_a
    if entrance:
        dwelling = r.graph.may_feed_a_home(each.id)
        name = "building_disconnect_one_family" if dwelling else "building_disconnect_other"
        least_a = max(least_a, edition.number(name))
    rating_a = service_class(next_standard_rating(max(least_a, own_rating(each) or 0.0), edition=edition))
    has_main = entrance or each.main in ("breaker", "fuses")
    fields: dict[str, Any] = {
        **bought(), "is_new": True, "rating_a": rating_a, "main": "breaker" if has_main else "none",
        "main_a": rating_a if has_main else None, "spaces": None, "circuits_max": None, "condition": None,
        "branch_protection": "breakers" if each.kind == "panel" else each.branch_protection,
    }  # fmt: skip
    return Mending("equipment", each.id, fields, f"{each.title}: put in one of {rating_a:g} A", large=True)


def larger_feeder(finding: Finding, run: Run, r: Readings, edition: Edition) -> Mending | None:
    """A new feeder with a device that carries its load; its conductors follow."""
    sizing = r.conductors.runs.get(run.id)
    if finding.rule != "calculated-load-fits-feeder" or sizing is None or sizing.load_a is None:
        return None
    device_a = next_standard_rating(sizing.load_a, edition=edition)
    fields = {"ocpd": "breaker", "ocpd_a": device_a, "line_size": None, "neutral_size": None, "egc_size": None}
    return Mending("runs", run.id, fields, f"{run.title}: build it for {device_a:g} A", large=True)


def outdoor_disconnect(finding: Finding, r: Readings) -> tuple[Mending, ...]:
    """A marked disconnect on the outside of a house fed from another place, ahead of its panel inside."""
    named = finding.where.split(".")[1]
    inside = named if named in r.installation.equipment else _entrance_of(named, r)
    feeder = r.graph.feeding_run(inside) if inside is not None else None
    if inside is None or feeder is None:
        return ()
    panel = r.graph.equipment(inside)
    sizing = r.conductors.runs[feeder.id]
    rating_a = sizing.ocpd_a or own_rating(panel) or service_class(sizing.load_a or 0.0)
    id = f"{panel.building or inside}-outdoor-disconnect"
    method, metal = methods("feeder_inside")[0], feeder.metal or metals()[0]
    device: Mapping[str, Any] = {
        "kind": "disconnect", "building": panel.building, "outdoors": True, "rating_a": rating_a, "poles": 2,
        "main": "breaker", "main_a": rating_a, "mains_count": 1, "branch_protection": "none",
        **surge_device(r.edition), "name": f"Outdoor disconnect of {panel.title}", "is_new": True, **bought(),
    }  # fmt: skip
    inner: Mapping[str, Any] = {
        "from_": id, "to": inside, "owner": "customer", "method": method, "metal": metal, "wires": 4,
        "insulation": usual_insulation(method), "neutral_insulated": True, "ocpd": "breaker", "ocpd_a": rating_a,
        "name": f"Outdoor disconnect to {panel.title}", "is_new": True,
    }  # fmt: skip
    words = f"{panel.title}: a marked disconnect outdoors ahead of it, and four wires from there"
    return (
        Mending("equipment", id, device, words, large=True),
        Mending("runs", feeder.id, {"to": id}, words, large=True),
        Mending("runs", f"{inside}-inner-feeder", inner, words, large=True),
    )


def _entrance_of(building: str, r: Readings) -> str | None:
    entrances = (id for id in r.graph.order if r.graph.roles[id] == "building disconnect")
    return next((id for id in entrances if r.graph.equipment(id).building == building), None)


def own_circuit(id: str, r: Readings) -> tuple[Mending, ...]:
    """A circuit with ground-fault protection for a wish that names none, or one that is not there."""
    load, wish = r.installation.loads.get(id), r.job.wishes.get(id)
    if load is None or wish is None or load.circuit is not None or load.panel is None:
        return ()
    circuit = wish.circuit or f"{id}-circuit"
    fields: dict[str, Any] = {
        "from_": load.panel, "serves": load.title, "purpose": "dedicated", "poles": 2, "ocpd": "breaker",
        "ocpd_a": load.mocp_a, "gfci": True, "ground": "wire", "is_new": True,
    }  # fmt: skip
    words = f"{load.title}: a circuit of its own with ground-fault protection"
    return Mending("circuits", circuit, fields, words), Mending("wishes", id, {"circuit": circuit}, words)
