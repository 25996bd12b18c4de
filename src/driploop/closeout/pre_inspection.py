"""The pre-inspection list: this job's own facts, in the order in which an inspector walks."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.closeout.enclosures import panel
from driploop.closeout.inside import bonding, circuits, panels
from driploop.closeout.outside import drop_and_mast, electrode_system, electrodes, meters, outdoor_disconnects
from driploop.closeout.results import STOPS, Check, Stop
from driploop.closeout.walk import Walk
from driploop.installation import Building
from driploop.planning import Plan

#: The rule that stands for each kind of local check.
LOCAL_RULES = {
    "meter height": "local-meter-height",
    "clearance from gas": "local-clearance-from-gas",
    "rods": "local-rods",
    "mast trade size": "local-mast-trade-size",
    "unguyed mast length": "local-unguyed-mast",
    "tail length": "local-tail-length",
    "attachment height": "local-attachment-height",
    "service conductors inside": "local-length-inside",
    "who pulls the meter": "local-who-pulls-the-meter",
    "notice": "local-notice",
}


def pre_inspection(plan: Plan) -> tuple[Check, ...]:
    """What the inspector will look at on this job: what to see, with the job's value, and what to photograph.

    Args:
        plan: the plan of the job; what is proposed counts, or what was found while nothing is proposed.

    Returns:
        The lines in the order of the walk: outside, inside, the other buildings, what the place asks.
    """
    findings = plan.proposed_findings if plan.proposed else plan.found_findings
    walk = Walk(plan.final, findings)
    lines = (
        *drop_and_mast(walk), *meters(walk), *outdoor_disconnects(walk), *electrodes(walk), *panels(walk),
        *bonding(walk), *circuits(walk), *_other_buildings(walk), *_local(walk),
    )  # fmt: skip
    order = {stop: place for place, stop in enumerate(STOPS)}
    return tuple(sorted(dict.fromkeys(lines), key=lambda line: order[line.stop]))


def _other_buildings(walk: Walk) -> Iterator[Check]:
    for building in walk.r.installation.buildings.values():
        if building.part_of is None and building.id not in walk.service_sites:
            yield from _building(walk, building)


def _building(walk: Walk, building: Building) -> Iterator[Check]:
    stop: Stop = "Other buildings"
    r = walk.r
    for each in walk.enclosures("panel", "disconnect"):
        if r.graph.site_of(each.building) != building.id:
            continue
        for label in r.labels:
            if label.equipment == each.id and not label.id.startswith("directory"):
                see = f"it reads: {' / '.join(label.words)}"
                where = f"equipment.{each.id}"
                yield from walk.line(stop, "building-disconnect-present", where, each.title, see, "the label, legible",
                                     section=label.section)  # fmt: skip
        yield from panel(walk, each, stop)
    system = r.grounding.systems.get(building.id)
    if system is not None and system.required:
        yield from electrode_system(walk, system, stop)


def _local(walk: Walk) -> Iterator[Check]:
    stop: Stop = "What the place asks"
    for overlay in walk.r.edition.overlays:
        kinds = {check.name: check.kind for check in overlay.checks}
        for entry in overlay.entries:
            if entry.kind != "requirement":
                continue
            rule = LOCAL_RULES[kinds[entry.name]] if entry.name in kinds else "local-requirement-to-be-seen"
            where = _worst(walk, rule) or f"{'utility' if overlay.kind == 'utility' else 'town'}.overlay"
            see = f"{entry.requires.rstrip('.')} ({entry.source})"
            yield from walk.line(stop, rule, where, entry.title, see, "what shows it", section=entry.section)


def _worst(walk: Walk, rule: str) -> str:
    """Where the gravest finding of a rule stands, "" where it has none."""
    return next((finding.where for finding in walk.findings if finding.rule == rule), "")
