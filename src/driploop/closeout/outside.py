"""The walk outside: drop and mast, meter, outdoor disconnect, electrodes."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.closeout.enclosures import FIRST, service_device, surroundings
from driploop.closeout.results import Check, Stop
from driploop.closeout.walk import Walk, measured
from driploop.grounding.electrode_conductor import ROD_LIKE
from driploop.grounding.results import ElectrodeSystem
from driploop.installation import UTILITY, Electrode, Run
from driploop.rules.overhead import ground_clearances

_CABLES = ("SE cable", "SER cable", "USE cable")


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
    yield from walk.line(stop, "drop-clearance-over-ground", where, place, see, "the span with the ground below it",
                         known=run.lowest_over_ground_ft is not None)  # fmt: skip
    least = e.value("attachment_height_ft").text
    see = f"held {measured(run.attachment_height_ft, 'ft')} above grade; {least} or more"
    yield from walk.line(stop, "attachment-height", where, place, see, "the attachment with the wall or pole below it",
                         known=run.attachment_height_ft is not None)  # fmt: skip
    least = e.value("opening_clearance_ft").text
    see = f"{measured(run.from_openings_ft, 'ft')} from windows that open, doors and porches; {least} or more"
    yield from walk.line(stop, "clearance-from-openings", where, place, see, "the drop with the nearest opening",
                         known=run.from_openings_ft is not None)  # fmt: skip
    see = "the service head stands above the attachment"
    yield from walk.line(stop, "service-head-above-attachment", where, place, see, "head and attachment together",
                         known=run.head_above_attachment is not None)  # fmt: skip
    yield from walk.line(stop, "drip-loop", where, place, "a drip loop below the head", "the loops",
                         known=run.drip_loop is not None)  # fmt: skip
    see = "no telephone or television cable on the mast"
    yield from walk.line(stop, "only-power-on-the-mast", where, place, see, "the whole mast",
                         known=run.mast_carries_other_cables is not None)  # fmt: skip


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
        if each.outdoors and walk.r.graph.roles[each.id] in FIRST:
            yield from service_device(walk, each, "The outdoor disconnect")
            yield from surroundings(walk, each, "The outdoor disconnect")


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
    kinds = "rods" if all(rod.kind == "rod" for rod in rods) else "rods, pipes or plates"
    apart, deep = e.value("rod_spacing_ft").text, e.value("rod_length_ft").text
    see = f"{len(rods)} {kinds}, {apart} or more apart; a rod {deep} in the earth"
    photograph = "all of them with a tape between" + (f", and {new} before the ground is closed" if new else "")
    where, place = f"electrodes.{first.id}", ", ".join(rod.title for rod in rods)
    yield from walk.line(stop, "rods-six-feet-apart", where, place, see, photograph)
