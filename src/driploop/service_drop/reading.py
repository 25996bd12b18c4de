"""The drop stage's reading of one installation: every overhead run with what it clears and what it pulls at."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from driploop.editions import Edition
from driploop.installation import Graph, Run
from driploop.service_drop import mast
from driploop.service_drop.clearances import clearance, ground_clearances, is_service, overhead_runs, roof_clearance
from driploop.service_drop.loads import practice
from driploop.service_drop.results import Clearance, DropReading, MastReading
from driploop.service_drop.sag import Condition, SagReading, lowest_with, read_sag
from driploop.worksheet import Assumption, Cited, WorksheetWriter, unique

_NO_MAST = "none"
#: How high an attachment is tried before it is said that raising it does not help. [ft]
_HIGHEST_TRIED = 60.0
_GUY_ANGLE = 45.0


def read_drops(graph: Graph, *, edition: Edition) -> Mapping[str, DropReading]:
    """Every overhead run of an installation, by run id.

    Args:
        graph: the installation.
        edition: the code edition to ask, with the utility's overlay: its rules for masts govern.
    """
    return MappingProxyType({run.id: _drop(graph, run, edition) for run in overhead_runs(graph)})


def _drop(graph: Graph, run: Run, edition: Edition) -> DropReading:
    sag = read_sag(run, graph.installation.utility, edition=edition)
    service = is_service(graph, run)
    writer = WorksheetWriter(f"drop/{run.id}", f"Sag, clearance and pull, {run.title}")
    asked = list(sag.assumptions)
    _write_sag(sag, writer)
    least = ground_clearances(run, service=service, edition=edition)
    needed = _needed_over_ground(run, least, asked)
    clearances = _clearances(run, sag, needed, edition, writer)
    loop_in = practice("drip_loop_in")
    footway = clearance("ground-pedestrian", edition=edition)
    attachment = _attachment(sag, needed, footway, loop_in, writer, edition)
    loop = writer.number(
        "Lowest point of the drip loop", f"{sag.attachment_ft:g} ft - {loop_in:g} in loop",
        round(sag.attachment_ft - loop_in / 12, 1), "ft", footway.section, key="loop",
    )  # fmt: skip
    head_in, tail = practice("head_above_in"), _tail(edition)
    head = writer.number(
        "Service head", f"above the attachment, {head_in:g} in by common practice",
        round(sag.attachment_ft + head_in / 12, 1), "ft", edition.section("head_from_attachment_in"), key="head",
    )  # fmt: skip
    writer.cite("Wire left out of the head", "each conductor", tail, key="tail")
    held = _mast(run, sag, edition, writer, asked) if _may_have_a_mast(graph, run) and service else None
    return DropReading(
        run=run.id,
        sag=sag,
        clearances=clearances,
        attachment_needed_ft=attachment,
        loop_lowest_ft=loop,
        head_ft=head,
        tail_in=tail.number,
        mast=held,
        engineer=tuple(_engineer(graph, run, sag, held)),
        worksheet=writer.done(),
        assumptions=unique(asked),
    )


def _may_have_a_mast(graph: Graph, run: Run) -> bool:
    return run.mast_trade_size != _NO_MAST and not _on_a_pole(graph, run.to)


def _on_a_pole(graph: Graph, equipment: str | None) -> bool:
    end = graph.installation.equipment.get(equipment or "")
    building = graph.installation.buildings.get((end.building if end is not None else None) or "")
    return building is not None and building.use == "yard pole"


def _write_sag(sag: SagReading, writer: WorksheetWriter) -> None:
    cable = sag.worst.cable
    basis = "lowest height as surveyed" if sag.measured else "sag assumed"
    words = f"{sag.span_ft:g} ft span, held {sag.pole_ft:g} and {sag.attachment_ft:g} ft up; {basis}"
    writer.number("Sag as it hangs", f"{words}, {sag.today.weather.temperature_f:g} F",
                  round(sag.today.hang.sag_ft, 2), "ft", key="sag-today", confirmed=cable.confirmed)  # fmt: skip
    for each in sag.conditions:
        _write_condition(each, writer)
    pull = sag.pull
    working = (
        f"{pull.weather.name}: {pull.weather.ice_in:g} in ice, {pull.weather.wind_psf:g} psf wind, "
        f"{pull.weather.temperature_f:g} F, {pull.hang.load_lb_per_ft:.3f} lb/ft, {pull.cable.size} triplex"
    )
    writer.number("Largest level pull", working, round(pull.pull_lb), "lb", key="pull", confirmed=pull.cable.confirmed)
    share = 100 * pull.hang.tension_lb / pull.cable.strength_lb
    writer.number("Tension in the messenger", f"{pull.hang.tension_lb:,.0f} / {pull.cable.strength_lb:,.0f} lb rated",
                  round(share), "%", key="strength", confirmed=pull.cable.confirmed)  # fmt: skip


def _write_condition(each: Condition, writer: WorksheetWriter) -> None:
    working = f"{each.weather.temperature_f:g} F, {each.weather.ice_in:g} in ice, {each.hang.load_lb_per_ft:.3f} lb/ft"
    name = each.weather.name
    words = f"{working}, {each.cable.size} triplex"
    writer.number(f"Sag, {name}", words, round(each.hang.sag_ft, 2), "ft", key=f"sag-{name}",
                  confirmed=each.cable.confirmed)  # fmt: skip
    writer.number(f"Lowest over ground, {name}", "catenary between both ends, ground level", round(each.lowest_ft, 1),
                  "ft", key=f"lowest-{name}", confirmed=each.cable.confirmed)  # fmt: skip


def _needed_over_ground(run: Run, least: Mapping[str, Cited], asked: list[Assumption]) -> Cited:
    if run.ground_below is not None:
        return least[run.ground_below]
    ground, highest = max(least.items(), key=lambda pair: pair[1].number)
    why = "it asks for the most height"
    would = "footway or residential drive: less is needed"
    asked.append(Assumption(f"runs.{run.id}.ground_below", ground, why, would))
    return highest


def _clearances(
    run: Run, sag: SagReading, needed: Cited, edition: Edition, writer: WorksheetWriter
) -> tuple[Clearance, ...]:
    over = [("over the ground", sag.today.lowest_ft, sag.worst.lowest_ft, needed)]
    if run.over_roof_ft is not None:
        over.append(("over the roof", run.over_roof_ft, run.over_roof_ft - sag.drop_ft,
                     roof_clearance(run, edition=edition)))  # fmt: skip
    if run.from_openings_ft is not None:
        over.append(("from windows and doors", run.from_openings_ft, run.from_openings_ft - sag.drop_ft,
                     edition.value("opening_clearance_ft")))  # fmt: skip
    found = []
    for what, measured, worst, least in over:
        enough = worst >= least.number
        # A shortfall that rests on an assumed sag is a question, no verdict.
        found.append(Clearance(what, measured, worst, least, enough if enough or sag.measured else None))
        working = f"{measured:.1f} ft - {sag.drop_ft:.1f} ft more sag ({sag.worst.weather.name})"
        writer.number(f"Clearance {what}, at the worst", working, round(worst, 1), "ft", least.section,
                      key=f"worst {what}")  # fmt: skip
        writer.cite("Needed", what, least, key=f"needed {what}")
    return tuple(found)


def _attachment(
    sag: SagReading, needed: Cited, footway: Cited, loop_in: float, writer: WorksheetWriter, edition: Edition
) -> float | None:
    least = edition.value("attachment_height_ft")
    floor = max(least.number, footway.number + loop_in / 12)
    low, high = floor, _HIGHEST_TRIED
    if lowest_with(sag, high) < needed.number:
        words = "raising the building's end alone is not enough: pole, span or way must change"
        writer.write("Attachment needed", f"{needed.text} over the ground", words, section=needed.section,
                     key="attachment")  # fmt: skip
        return None
    if lowest_with(sag, low) < needed.number:
        for _ in range(14):
            middle = (low + high) / 2
            low, high = (middle, high) if lowest_with(sag, middle) < needed.number else (low, middle)
    else:
        high = low
    working = f"{needed.text} at the worst, same sag; loop {loop_in:g} in over {footway.text}; {least.text} at least"
    return writer.number("Attachment needed", working, round(high + 0.05, 1), "ft", needed.section, key="attachment")


def _tail(edition: Edition) -> Cited:
    for check in edition.local_checks:
        length = check.number("least_in") if check.kind == "tail length" else None
        if length is not None:
            return Cited(length, "in", check.section)
    return Cited(practice("tail_in"), "in", "", "memory")


def _mast(
    run: Run, sag: SagReading, edition: Edition, writer: WorksheetWriter, asked: list[Assumption]
) -> MastReading | None:
    local = tuple(
        f"{check.requires} ({check.source})"
        for check in edition.local_checks
        if check.kind in ("mast trade size", "unguyed mast length")
    )
    pull = sag.pull.pull_lb
    for pipe in mast.pipes():
        longest = mast.longest_unguyed_in(pipe, pull_lb=pull)
        working = f"{mast.allowed_stress_psi():,.0f} psi x {pipe.section_in3:.3f} in3 / {pull:,.0f} lb"
        writer.number(f"Rigid steel {pipe.trade_size}: longest without guy", working, round(longest, 1), "in",
                      edition.section("mast"), key=f"mast {pipe.trade_size}", confirmed="memory")  # fmt: skip
    guy = mast.guy_pull_lb(pull_lb=pull, lever_in=1.0, held_at_in=1.0, angle_degrees=_GUY_ANGLE)
    writer.number("A guy at the attachment would carry", f"{pull:,.0f} lb / cos {_GUY_ANGLE:g}", round(guy), "lb",
                  key="guy")  # fmt: skip
    if run.mast_trade_size is None or run.mast_trade_size not in {pipe.trade_size for pipe in mast.pipes()}:
        return None
    pipe = mast.pipe_of(run.mast_trade_size)
    lever = run.mast_above_roof_in
    if lever is None:
        lever = practice("mast_above_roof_in")
        why = "tall for a mast; a shorter lever bends it less"
        asked.append(Assumption(f"runs.{run.id}.mast_above_roof_in", f"{lever:g} in", why, "its measure"))
    asked.append(
        Assumption(
            f"runs.{run.id}.mast_trade_size",
            "rigid steel conduit, held fast at the roof, in one length",
            "said here so that a thinner tube, aluminum or a coupling is not taken for it",
            "another pipe, or a loose strap at the roof: it bears less",
        )
    )
    bending = mast.bending_psi(pipe, pull_lb=pull, lever_in=lever)
    allowed = mast.allowed_stress_psi()
    writer.number("Bending at the roof", f"{pull:,.0f} lb x {lever:g} in / {pipe.section_in3:.3f} in3", round(bending),
                  "psi", edition.section("mast"), key="bending")  # fmt: skip
    writer.number("Allowed", "0.66 of the yield of plain pipe steel", round(allowed), "psi", key="allowed",
                  confirmed="memory")  # fmt: skip
    lean = mast.lean_in(pipe, pull_lb=pull, lever_in=lever)
    writer.number("Lean at the attachment", "cantilever, P L3 / 3 E I", round(lean, 2), "in", key="lean")
    for number, rule in enumerate(local, start=1):
        writer.write("The place's own rule governs", rule, "see rule", key=f"local-{number}")
    return MastReading(
        trade_size=pipe.trade_size,
        lever_in=lever,
        pull_lb=pull,
        bending_psi=bending,
        allowed_psi=allowed,
        longest_unguyed_in=mast.longest_unguyed_in(pipe, pull_lb=pull),
        lean_in=lean,
        guyed=run.mast_guyed,
        bears=bending <= allowed or run.mast_guyed is True,
        guy_lb=guy,
        local=local,
    )


def _anchor(run: Run) -> str:
    if run.mast_trade_size == _NO_MAST:
        return "What it is anchored to in the wall"
    return "What it is anchored to, in the wall or on a mast of unknown size,"


def _engineer(graph: Graph, run: Run, sag: SagReading, held: MastReading | None) -> list[str]:
    needs = []
    if held is not None and held.bending_psi > held.allowed_psi:
        needs.append("The mast by itself does not bear the computed pull: guy, brace or another support.")
    if held is not None and held.guyed:
        needs.append("What the guy is anchored to must bear its pull; the framing was not looked at here.")
    if any(_on_a_pole(graph, end) for end in (run.from_, run.to)):
        needs.append("The pole that holds it must bear its pull, set deep enough or guyed; it was not looked at here.")
    if held is None and not _on_a_pole(graph, run.to):
        needs.append(f"{_anchor(run)} must bear its pull; it was not looked at here.")
    most = practice("messenger_share_percent")
    if sag.pull.hang.tension_lb > most / 100 * sag.pull.cable.strength_lb:
        needs.append(
            f"The messenger would be drawn to more than {most:g} % of its strength: it must be strung slacker."
        )
    return needs
