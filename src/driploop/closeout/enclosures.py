"""Enclosures on the walk: a service disconnect or a device ahead of it, a fed panel, and the space before each."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.closeout.results import Check, Stop
from driploop.closeout.walk import Walk, measured
from driploop.installation import Equipment, Run
from driploop.rules.facts import rating_a

#: Labels that say what hangs where, not what the disconnect is.
_OF_PANELS = ("directory", "source")
#: What stands ahead of everything else.
FIRST = ("service disconnect", "emergency disconnect", "meter disconnect", "site-isolating device")


def service_device(walk: Walk, each: Equipment, stop: Stop) -> Iterator[Check]:
    """A service disconnect, or a device ahead of it, outdoors or in."""
    r, where, place = walk.r, f"equipment.{each.id}", each.title
    role = r.graph.roles[each.id]
    rating = rating_a(each)
    if role == "service disconnect":
        see = f"rated {measured(rating, 'A')}"
        yield from walk.line(stop, "service-carries-the-load", where, place, see, "the label of its maker")
    yield from _labels(walk, each, stop)
    if each.suitable_as_service_equipment is not False and role in ("service disconnect", "emergency disconnect"):
        see = "marked suitable as service equipment"
        yield from walk.line(stop, "suitable-as-service-equipment", where, place, see, "the label of its maker")
    faults = r.faults
    reached = faults.transformer_known and each.id in faults.largest
    fault_a = round(faults.available_a(each.id)) if reached else None
    see = f"interrupts {measured(each.interrupting_rating_a, 'A')}; {measured(fault_a, 'A')} available here"
    known = None not in (each.interrupting_rating_a, fault_a)
    photograph = "the label, with the utility's figure"
    yield from walk.line(stop, "interrupting-rating-enough", where, place, see, photograph, known=known)
    bond = r.grounding.bonds.get(each.id)
    if bond is not None and bond.required == "bonded":
        jumper = next((j for j in r.grounding.jumpers if j.kind == "main bonding jumper" and j.where == each.id), None)
        size = f" by the maker's own part or {jumper.size} {jumper.metal}" if jumper is not None else ""
        see = f"neutral and enclosure joined here{size}, and nowhere after it"
        photograph = "the screw or strap, before anything is live"
        yield from walk.line(stop, "bond-at-the-service", where, place, see, photograph, section=bond.section)
    see = "line terminals covered"
    yield from walk.line(stop, "line-side-barriers", where, place, see, "the barrier, before anything is live")
    if each.is_new:
        see = "terminals tightened to the marked value, each written down"
        yield from walk.line(
            stop, "terminals-tightened-to-the-mark", where, place, see, "the record, beside the label with the values"
        )
    if each.surge_protection in ("type 1", "type 2"):
        see = f"surge protection, {each.surge_protection}"
        yield from walk.line(stop, "surge-protection-at-the-service", where, place, see, "the device and its light")


def _labels(walk: Walk, each: Equipment, stop: Stop) -> Iterator[Check]:
    for label in walk.r.labels:
        if label.equipment == each.id and label.id.split("/")[0] not in _OF_PANELS:
            words = " / ".join(label.words)
            rule = "emergency-disconnect-label" if words.startswith("EMERGENCY") else "service-disconnect-marked"
            rule = "fault-current-mark" if label.id.startswith("available-fault-current") else rule
            if walk.r.edition.has(walk.rules[rule].requirement):
                yield from walk.line(
                    stop, rule, f"equipment.{each.id}", each.title, f"it reads: {words}", "the label, legible",
                    section=label.section,
                )  # fmt: skip


def panel(walk: Walk, each: Equipment, stop: Stop) -> Iterator[Check]:
    """One panel or disconnect: its supply, its neutral, its place, what is inside."""
    r = walk.r
    if r.graph.roles[each.id] in FIRST:
        yield from service_device(walk, each, stop)
    else:
        yield from _fed(walk, each, r.graph.feeding_run(each.id), stop)
    yield from surroundings(walk, each, stop)


def surroundings(walk: Walk, each: Equipment, stop: Stop) -> Iterator[Check]:
    """Directory and working space of one enclosure."""
    where, place = f"equipment.{each.id}", each.title
    if each.kind == "panel":
        see = "every circuit written down by what it feeds; openings closed; each neutral under its own screw"
        yield from walk.line(stop, "directory-says-what-is-fed", where, place, see, "the directory, and the open panel "
                             "before anything is live")  # fmt: skip
    see = (
        f"{measured(each.working_width_in, 'in')} wide, {measured(each.working_depth_in, 'in')} deep, "
        f"{measured(each.working_height_in, 'in')} high; {walk.r.edition.value('working_width_in').text} wide or more"
    )
    known = None not in (each.working_width_in, each.working_depth_in, each.working_height_in)
    photograph = "the space before it, with a tape"
    yield from walk.line(stop, "working-space-width", where, place, see, photograph, known=known)


def _fed(walk: Walk, each: Equipment, run: Run | None, stop: Stop) -> Iterator[Check]:
    r, where, place = walk.r, f"equipment.{each.id}", each.title
    if run is not None and (count := r.grounding.wires.get(run.id)) is not None:
        see = f"fed by {count.needed} wires"
        if (sizing := r.conductors.runs.get(run.id)) is not None and sizing.line_size is not None:
            see += f": lines {sizing.line_size} {sizing.metal}, neutral {sizing.neutral_size or 'none'}"
            see += f", ground {sizing.egc_size} {sizing.egc_metal or ''}".rstrip() if sizing.egc_size else ""
            see += f", behind {sizing.ocpd_a:g} A" if sizing.ocpd_a else ""
        same_place = r.graph.site_of(each.building) == _site(walk, run)
        rule = "four-wire-downstream" if same_place else "four-wires-to-a-building"
        photograph = "the conductors where they come in, before anything is live"
        yield from walk.line(stop, rule, f"runs.{run.id}", run.title, see, photograph, section=count.section)
    bond = r.grounding.bonds.get(each.id)
    if bond is not None and bond.required == "isolated":
        see = "neutrals on a bar apart from the box, screw and strap taken out; grounds on their own bar"
        photograph = "both bars, and the empty hole of the screw, before anything is live"
        yield from walk.line(stop, "bond-once", where, place, see, photograph, section=bond.section)


def _site(walk: Walk, run: Run) -> str | None:
    source = walk.r.installation.equipment.get(run.from_ or "")
    return walk.r.graph.site_of(source.building) if source is not None else None
