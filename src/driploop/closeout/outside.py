"""The walk outside: drop and mast, meter, outdoor disconnect, electrodes."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.closeout.results import Check, Stop
from driploop.closeout.walk import Walk, measured
from driploop.grounding.electrode_conductor import ROD_LIKE
from driploop.grounding.results import ElectrodeSystem
from driploop.installation import UTILITY, Electrode, Equipment, Run
from driploop.rules.facts import rating_a
from driploop.rules.overhead import ground_clearances

_CABLES = ("SE cable", "SER cable", "USE cable")
#: What stands ahead of everything else and is looked at from outdoors.
_FIRST = ("service disconnect", "emergency disconnect", "meter disconnect", "site-isolating device")


def drop_and_mast(walk: Walk) -> Iterator[Check]:
    """Overhead conductors from the utility, and the service conductors below them."""
    r = walk.r
    for run in r.installation.runs.values():
        if not r.graph.is_service_run(run):
            continue
        if run.from_ == UTILITY:
            if run.overhead or (run.overhead is None and r.installation.utility.supply == "overhead"):
                yield from _drop(walk, run)
        else:
            yield from _service_conductors(walk, run)


def _drop(walk: Walk, run: Run) -> Iterator[Check]:
    stop: Stop = "The drop and the mast"
    where, place, e = f"runs.{run.id}", run.title, walk.r.edition
    clearances = ground_clearances(walk.r, run)
    needed = clearances.get(run.ground_below or "") or max(clearances.values(), key=lambda each: each.number)
    ground = run.ground_below or "ground of an unknown kind"
    see = f"hangs {measured(run.lowest_over_ground_ft, 'ft')} over {ground}; {needed.text} or more"
    yield from walk.line(stop, "drop-clearance-over-ground", where, place, see, "the span with the ground below it")
    least = e.value("attachment_height_ft").text
    see = f"held {measured(run.attachment_height_ft, 'ft')} above grade; {least} or more"
    yield from walk.line(stop, "attachment-height", where, place, see, "the attachment with the wall or pole below it")
    least = e.value("opening_clearance_ft").text
    see = f"{measured(run.from_openings_ft, 'ft')} from windows that open, doors and porches; {least} or more"
    yield from walk.line(stop, "clearance-from-openings", where, place, see, "the drop with the nearest opening")
    see = "the service head stands above the attachment"
    yield from walk.line(stop, "service-head-above-attachment", where, place, see, "head and attachment together")
    yield from walk.line(stop, "drip-loop", where, place, "a drip loop below the head", "the loops")
    see = "no telephone or television cable on the mast"
    yield from walk.line(stop, "only-power-on-the-mast", where, place, see, "the whole mast")


def _service_conductors(walk: Walk, run: Run) -> Iterator[Check]:
    stop: Stop = "The drop and the mast"
    where, place = f"runs.{run.id}", run.title
    sizing = walk.r.conductors.runs.get(run.id)
    if sizing is not None and sizing.line_size is not None:
        sets = f"{sizing.sets} sets of " if sizing.sets > 1 else ""
        neutral = f", neutral {sizing.neutral_size}" if sizing.neutral_size else ""
        method = f" in {run.method}" if run.method else ""
        see = f"{sets}{sizing.line_size} {sizing.metal}{neutral}{method}"
        yield from walk.line(stop, "conductor-carries-the-load", where, place, see, "the print on the conductors")
    if sizing is not None and sizing.raceway is not None:
        see = f"{sizing.raceway.raceway}, trade size {sizing.raceway.trade_size}"
        yield from walk.line(stop, "raceway-fill", where, place, see, "the raceway from end to end")
    if run.method in _CABLES:
        e = walk.r.edition
        see = f"strapped every {e.value('se_support_in').text}, and {e.value('se_support_ends_in').text} from each end"
        yield from walk.line(stop, "service-cable-supported", where, place, see, "the cable from end to end")
        see = "protected where it can be struck"
        yield from walk.line(stop, "service-cable-protected", where, place, see, "the lowest part of the cable")


def meters(walk: Walk) -> Iterator[Check]:
    """Every meter: bonded, and entered by fittings that bond."""
    stop: Stop = "The meter"
    for meter in walk.enclosures("meter"):
        where, place = f"equipment.{meter.id}", meter.title
        see = f"box and hub bonded by the neutral; entered by {meter.line_side_fitting or 'hub or bonding fitting'}"
        yield from walk.line(stop, "line-side-enclosure-bonded", where, place, see, "the box, shut, with its fittings")
        if meter.knockouts in ("concentric", "eccentric"):
            see = "a jumper round the ringed knockout"
            photograph = "the jumper, before the cover goes on and before anything is live"
            yield from walk.line(stop, "knockouts-need-a-jumper", where, place, see, photograph)


def outdoor_disconnects(walk: Walk) -> Iterator[Check]:
    """Every outdoor device of the service."""
    for each in walk.enclosures("disconnect", "panel"):
        if each.outdoors and walk.r.graph.roles[each.id] in _FIRST:
            yield from service_device(walk, each, "The outdoor disconnect")


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
    fault_a = r.installation.utility.available_fault_current_a
    see = f"interrupts {measured(each.interrupting_rating_a, 'A')}; {measured(fault_a, 'A')} available at the service"
    yield from walk.line(stop, "interrupting-rating-enough", where, place, see, "the label, with the utility's figure")
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
        if label.equipment == each.id and label.id.split("/")[0] not in ("directory", "source"):
            words = " / ".join(label.words)
            rule = "emergency-disconnect-label" if words.startswith("EMERGENCY") else "service-disconnect-marked"
            rule = "fault-current-mark" if label.id.startswith("available-fault-current") else rule
            if walk.r.edition.has(walk.rules[rule].requirement):
                yield from walk.line(
                    stop, rule, f"equipment.{each.id}", each.title, f"it reads: {words}", "the label, legible",
                    section=label.section,
                )  # fmt: skip


def electrodes(walk: Walk) -> Iterator[Check]:
    """The electrode system where the service ends."""
    for site in walk.service_sites:
        system = walk.r.grounding.systems.get(site or "")
        if system is not None:
            yield from electrode_system(walk, system, "The electrodes")


def electrode_system(walk: Walk, system: ElectrodeSystem, stop: Stop) -> Iterator[Check]:
    """Every electrode of one place with its conductor."""
    e = walk.r.edition
    parts = walk.r.installation.electrodes
    for conductor in system.conductors:
        electrode = parts[conductor.electrode]
        lands = walk.r.graph.equipment(conductor.lands_at).title
        size = f"{conductor.required_copper} copper"
        if conductor.required_aluminum:
            size += f" or {conductor.required_aluminum} aluminum"
        near = ""
        if electrode.kind == "metal water pipe":
            near = f" within {e.value('water_pipe_connection_ft').text} of entry"
        see = f"{size}, or larger, from {lands} to {electrode.title.lower()}{near}, in one piece"
        where, place = f"electrodes.{electrode.id}", electrode.title
        photograph = "the clamp, and the conductor on its way to it"
        yield from walk.line(stop, "electrode-conductor-size", where, place, see, photograph, section=conductor.section)
        if electrode.kind == "metal water pipe":
            see = "a jumper round the water meter and every filter"
            yield from walk.line(stop, "water-meter-jumper", where, place, see, "meter, filter and jumper together")
    yield from _rods(walk, [parts[id] for id in system.electrodes if parts[id].kind in ROD_LIKE], stop)


def _rods(walk: Walk, rods: list[Electrode], stop: Stop) -> Iterator[Check]:
    if len(rods) < 2:
        return
    first, e = rods[0], walk.r.edition
    new = " and ".join(rod.title for rod in rods if rod.is_new)
    see = f"{len(rods)} rods, {e.value('rod_spacing_ft').text} or more apart, {e.value('rod_length_ft').text} in the earth"
    photograph = "the rods with a tape between them" + (f", and {new} before the ground is closed" if new else "")
    where, place = f"electrodes.{first.id}", ", ".join(rod.title for rod in rods)
    yield from walk.line(stop, "rods-six-feet-apart", where, place, see, photograph)
