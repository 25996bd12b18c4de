"""What a state, a town or a utility asks beyond the edition, each with who said so and when."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import get_args

from driploop.editions import LocalCheck
from driploop.editions.local_check import trade_size_in
from driploop.grounding.electrode_conductor import ROD_LIKE
from driploop.grounding.sites import sites
from driploop.installation import UTILITY, Equipment, Run
from driploop.installation.kinds import Method
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, gravity
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_FROM_THE_GROUND = "Measure from the ground; keep tapes, poles and ladders away from the drop."
_NO_MAST = "none"


@rule(
    "wiring-method-allowed-here",
    title="The wiring method is allowed in this place",
    why="A town or a utility forbids a method after it has seen what happens to it there. "
    "Work by a forbidden method is not connected, however well it was done.",
    requirement="approved-by-ahj",
)
def wiring_method_allowed_here(r: Readings) -> Iterator[Found]:
    forbidden = {_spelled(each.method): each for each in r.edition.forbidden}
    for run in r.installation.runs.values():
        ban = forbidden.get(_spelled(run.method or ""))
        if ban is not None:
            mend = f"Choose another method: {ban.reason} ({ban.source})."
            wrong = f"{run.method} is not allowed here."
            yield Found(f"runs.{run.id}", wrong, mend, gravity(run), section=ban.section)
    known = {_spelled(method) for method in get_args(Method)}
    for spelled, ban in forbidden.items():
        if spelled not in known and asks(r):
            wrong = f"The overlay forbids {ban.method!r}, which is no wiring method of a job file."
            mend = f"Write the method as a job file does, or see to it by hand: {ban.reason} ({ban.source})."
            yield Found("town.overlay", wrong, mend, Verdict.ASK, section=ban.section)


@rule(
    "local-meter-height",
    title="The meter hangs at the height the utility wants",
    why="A meter that is too low is buried in snow or hit by a mower, one too high needs a ladder to read or to pull. "
    "The utility leaves a meter at the wrong height unconnected.",
    requirement="approved-by-ahj",
)
def local_meter_height(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "meter height"):
        band = _band(check.number("least_in"), check.number("most_in"), "in")
        for meter in _meters(r):
            where = f"equipment.{meter.id}.meter_height_in"
            if meter.meter_height_in is None:
                mend = f"The centre of the meter goes {band} above grade."
                yield from _open(r, check, where, "The height of the meter", mend, new=meter.is_new)
            elif not _within(meter.meter_height_in, check.number("least_in"), check.number("most_in")):
                wrong = f"The meter hangs {meter.meter_height_in:g} in up; {band} is wanted."
                yield _found(check, where, wrong, "Hang the new one in that band.", gravity(meter))


@rule(
    "local-clearance-from-gas",
    title="Meter and outdoor devices keep away from gas",
    why="A gas regulator breathes out gas in ordinary use. A switch that opens beside its vent may light it.",
    requirement="approved-by-ahj",
)
def local_clearance_from_gas(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "clearance from gas"):
        least = check.number("least_ft") or 0.0
        for each in r.installation.equipment.values():
            if each.kind not in ("meter", "disconnect", "panel") or not (each.outdoors or each.kind == "meter"):
                continue
            where = f"equipment.{each.id}.from_gas_ft"
            if each.from_gas_ft is None:
                wrong = "How far it hangs from a gas meter, regulator or vent"
                mend = f"{least:g} ft or more; where there is no gas at all, say so with a large number."
                yield from _open(r, check, where, wrong, mend, new=each.is_new)
            elif each.from_gas_ft < least:
                wrong = f"It hangs {each.from_gas_ft:g} ft from gas; {least:g} ft is the least here."
                yield _found(check, where, wrong, "Choose another place for it.", gravity(each))


@rule(
    "local-rods",
    title="As many rods as the place asks for",
    why="Where the ground is dry or stony, offices stopped believing in one rod and a test. "
    "A rod left out is dug for after the lawn is sown.",
    requirement="approved-by-ahj",
)
def local_rods(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "rods"):
        least = check.number("least_count") or 0.0
        for place in sites(r.graph).values():
            electrodes = [r.installation.electrodes[id] for id in r.grounding.systems[place.id].electrodes]
            rods = [each for each in electrodes if each.kind in ROD_LIKE and each.connected is not False]
            if place.fed or len(rods) >= least:
                continue
            wrong = f"{len(rods)} {'rod' if len(rods) == 1 else 'rods'} at this service; {least:g} are asked for."
            apart = r.edition.value("rod_spacing_ft").text
            verdict = Verdict.MEND if r.proposed else Verdict.KNOW
            yield _found(check, f"equipment.{place.lands_at[0]}", wrong, f"Drive the rest, {apart} apart.", verdict)


@rule(
    "local-mast-trade-size",
    title="The mast is as thick as the place asks for",
    why="Ice and wind pull at the drop with hundreds of pounds, and a thin mast folds over the roof. "
    "The live conductors then lie on the shingles.",
    requirement="approved-by-ahj",
)
def local_mast_trade_size(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "mast trade size"):
        least = check.text("least_trade_size")
        for drop in _drops(r):
            where = f"runs.{drop.id}.mast_trade_size"
            if drop.mast_trade_size is None:
                mend = f'A mast is of trade size {least} or more; "none" where the drop ends on the wall.'
                yield from _open(r, check, where, "The size of the mast", mend, new=drop.is_new)
            elif drop.mast_trade_size != _NO_MAST and _size(drop.mast_trade_size) < trade_size_in(least):
                wrong = f"The mast is of trade size {drop.mast_trade_size}; {least} is the least here."
                yield _found(check, where, wrong, f"Set a mast of trade size {least} or more.", _renewed(r, drop))


@rule(
    "local-unguyed-mast",
    title="A tall mast is guyed or braced",
    why="The higher the drop is held above the roof, the longer the lever with which it pulls. "
    "A mast that leans opens the roof and stretches the neutral first.",
    requirement="approved-by-ahj",
)
def local_unguyed_mast(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "unguyed mast length"):
        most = check.number("most_in") or 0.0
        for drop in _drops(r):
            height, where = drop.mast_above_roof_in, f"runs.{drop.id}.mast_above_roof_in"
            if drop.mast_trade_size == _NO_MAST or drop.mast_guyed:
                continue
            if height is None:
                wrong = "How far the mast stands above the roof"
                mend = f"More than {most:g} in needs a guy or a brace. {_FROM_THE_GROUND}"
                yield from _open(r, check, where, wrong, mend, new=drop.is_new)
            elif height > most and drop.mast_guyed is False:
                wrong = f"The mast stands {height:g} in above the roof without guy or brace; {most:g} in is the most."
                yield _found(check, where, wrong, "Guy or brace it, or attach the drop lower.", _renewed(r, drop))
            elif height > most:
                wrong = f"Whether the mast, {height:g} in above the roof, is guyed or braced"
                yield from _open(r, check, f"runs.{drop.id}.mast_guyed", wrong, "Look from the ground.", new=False)


@rule(
    "local-tail-length",
    title="Enough wire is left out of the service head",
    why="The line crew splices at the head, from a bucket. Tails that are too short make no drip loop, "
    "and the crew drives away.",
    requirement="approved-by-ahj",
)
def local_tail_length(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "tail length"):
        least = check.number("least_in") or 0.0
        for drop in _drops(r):
            where = f"runs.{drop.id}.tail_length_in"
            if drop.tail_length_in is None:
                if r.proposed:
                    wrong = "How much wire is left out of the service head is not settled."
                    yield _found(check, where, wrong, f"Leave {least:g} in or more of each conductor.", Verdict.KNOW)
            elif drop.tail_length_in < least:
                wrong = f"{drop.tail_length_in:g} in of wire is left out of the head; {least:g} in is the least here."
                yield _found(check, where, wrong, "Pull in longer conductors.", _renewed(r, drop))


@rule(
    "local-attachment-height",
    title="The drop is held at the height the place asks for",
    why="The utility's own book sets how high its wire hangs, and its crew measures before it connects. "
    "Too low a hook means a new mast on the day of the cut-over.",
    requirement="approved-by-ahj",
)
def local_attachment_height(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "attachment height"):
        least, most = check.number("least_ft"), check.number("most_ft")
        band = _band(least, most, "ft")
        for drop in _drops(r, poles=True):
            height, where = drop.attachment_height_ft, f"runs.{drop.id}.attachment_height_ft"
            if height is None:
                mend = f"{band[:1].upper()}{band[1:]} above grade. {_FROM_THE_GROUND}"
                wrong = "The height at which the drop is held"
                yield from _open(r, check, where, wrong, mend, new=drop.is_new)
            elif not _within(height, least, most):
                wrong = f"The drop is held {height:g} ft up; {band} is wanted."
                yield _found(check, where, wrong, "Agree on another point with the utility.", _renewed(r, drop))


@rule(
    "local-length-inside",
    title="Service conductors are short inside the building",
    why="Inside, service conductors have no breaker ahead of them, and a fault burns until the utility's fuse opens. "
    "The code sets no distance, so towns set one.",
    requirement="approved-by-ahj",
)
def local_length_inside(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "service conductors inside"):
        most = check.number("most_ft") or 0.0
        for id in r.graph.service_disconnects:
            run = r.graph.feeding_run(id)
            if r.graph.equipment(id).outdoors or run is None:
                continue
            where = f"runs.{run.id}.inside_length_ft"
            if run.inside_length_ft is None:
                wrong = "How far the service conductors run inside the building"
                mend = f"{most:g} ft at most, from where they come in to the disconnect."
                yield from _open(r, check, where, wrong, mend, new=run.is_new)
            elif run.inside_length_ft > most:
                wrong = f"Service conductors run {run.inside_length_ft:g} ft inside; {most:g} ft is the most here."
                mend = "Put the service disconnect outdoors or nearer to where they come in."
                yield _found(check, where, wrong, mend, gravity(run))


@rule(
    "local-who-pulls-the-meter",
    title="It is settled who pulls the meter",
    why="Behind the meter the conductors are live from the transformer. "
    "Whoever breaks the seal without leave loses the licence first and perhaps a hand.",
    requirement="approved-by-ahj",
)
def local_who_pulls_the_meter(r: Readings) -> Iterator[Found]:
    for check in _checks(r, "who pulls the meter"):
        allowed, written = check.text("who"), r.installation.utility.meter_work_by
        where = "utility.meter_work_by"
        if written is None:
            wrong = "Who pulls the meter"
            yield from _open(r, check, where, wrong, f"Here it is: {allowed}.", new=False)
        elif written != allowed:
            wrong = f"The survey lets the meter be pulled by: {written}. Here it is: {allowed}."
            yield _found(check, where, wrong, "Order it so, or get leave in writing.", Verdict.MEND)


@rule(
    "local-notice",
    title="The work is announced early enough",
    why="A line crew and an inspector come by appointment. "
    "Without notice the house stays dark overnight, or the old service stays live beside the new one.",
    requirement="approved-by-ahj",
)
def local_notice(r: Readings) -> Iterator[Found]:
    if not (r.proposed or asks(r)):
        return
    for check in _checks(r, "notice"):
        place = "utility" if check.place == "utility" else "town"
        told = r.installation.utility.notice_date if place == "utility" else r.job.town.notice_date
        opened, given = _day(r.installation.utility.cutover_date), _day(told)
        where, length = f"{place}.notice_date", _notice_words(check)
        if opened is None:
            wrong = f"The {place} wants notice of {length} before the supply is opened; no day is fixed yet."
            yield _found(check, where, wrong, "Fix the day, and write both days into the job.", Verdict.KNOW)
            continue
        last = _latest_notice(check, opened)
        if given is None:
            wrong = f"The {place} wants notice of {length}; none is written down."
            mend = f"For {opened.isoformat()} give it by {last.isoformat()}; holidays are not counted here."
            yield _found(check, where, wrong, mend, Verdict.ASK)
        elif given > last:
            wrong = f"Notice was given on {given.isoformat()} for {opened.isoformat()}; {length} are wanted."
            yield _found(check, where, wrong, "Move the day, or get the short notice agreed to.", Verdict.MEND)


@rule(
    "local-requirement-to-be-seen",
    title="What else the place asks for",
    why="No program knows every habit of an office. What is written here once is not forgotten on the day.",
    requirement="approved-by-ahj",
    verdict=Verdict.KNOW,
)
def local_requirement_to_be_seen(r: Readings) -> Iterator[Found]:
    if not (r.proposed or asks(r)):
        return
    for overlay in r.edition.overlays:
        checked = {check.name for check in overlay.checks}
        place = "utility" if overlay.kind == "utility" else "town"
        for entry in overlay.entries:
            if entry.kind == "requirement" and entry.name not in checked:
                mend = f"See to it ({entry.source})."
                yield Found(f"{place}.overlay", f"{entry.title}: {entry.requires}", mend, section=entry.section)


# --- shared ----------------------------------------------------------------------------------------------------------


def _checks(r: Readings, kind: str) -> tuple[LocalCheck, ...]:
    return tuple(check for check in r.edition.local_checks if check.kind == kind)


def _found(check: LocalCheck, where: str, wrong: str, mend: str, verdict: Verdict) -> Found:
    return Found(where, wrong, f"{mend} ({check.source})", verdict, section=check.section)


def _open(r: Readings, check: LocalCheck, where: str, what: str, mend: str, *, new: bool) -> Iterator[Found]:
    """What is not known: a question where it stands already, a thing to build by where it is new."""
    if asks(r):
        wrong = f"{what} is not {'settled' if new else 'known'}."
        yield _found(check, where, wrong, mend, Verdict.KNOW if new else Verdict.ASK)


def _renewed(r: Readings, drop: Run) -> Verdict:
    """What hangs at the drop must be right where the change renews what it ends on; else it was lawful once, or may
    have been."""
    end = r.installation.equipment.get(drop.to or "")
    renewed = r.proposed and (drop.is_new or (end is not None and end.is_new))
    return Verdict.MEND if renewed else Verdict.KNOW


def _meters(r: Readings) -> Iterator[Equipment]:
    return (each for each in r.installation.equipment.values() if each.kind == "meter")


def _drops(r: Readings, *, poles: bool = False) -> Iterator[Run]:
    """Overhead runs from the utility; those that end on a pole have no mast."""
    for run in r.installation.runs.values():
        overhead = run.overhead or (run.overhead is None and r.installation.utility.supply == "overhead")
        if run.from_ != UTILITY or not overhead:
            continue
        end = r.installation.equipment.get(run.to or "")
        building = r.installation.buildings.get((end.building if end is not None else None) or "")
        if poles or building is None or building.use != "yard pole":
            yield run


def _within(value: float, least: float | None, most: float | None) -> bool:
    return (least is None or value >= least) and (most is None or value <= most)


def _band(least: float | None, most: float | None, unit: str) -> str:
    if least is None:
        return f"at most {most:g} {unit}"
    return f"{least:g} {unit} or more" if most is None else f"{least:g} to {most:g} {unit}"


def _size(written: str) -> float:
    """A trade size as the survey writes it; one that cannot be read is taken as the smallest there is."""
    try:
        return trade_size_in(written.strip().removesuffix("in").strip())
    except ValueError:
        return 0.0


def _day(written: str | None) -> date | None:
    try:
        return date.fromisoformat(written) if written else None
    except ValueError:
        return None


def _notice_words(check: LocalCheck) -> str:
    working = check.number("least_working_days")
    return f"{working:g} working days" if working is not None else f"{check.number('least_days') or 0:g} days"


def _latest_notice(check: LocalCheck, opened: date) -> date:
    """The last day on which notice is still early enough; Saturdays and Sundays are no working days."""
    working = check.number("least_working_days")
    if working is None:
        return opened - timedelta(days=int(check.number("least_days") or 0))
    day, left = opened, int(working)
    while left:
        day -= timedelta(days=1)
        left -= day.weekday() < 5
    return day


def _spelled(method: str) -> str:
    """A wiring method so that ``se-cable`` and ``SE cable`` are one."""
    return method.lower().replace("-", " ")
