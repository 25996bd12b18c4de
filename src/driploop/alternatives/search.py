"""The lawful ways to build the new service: found, judged, compared and ranked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from driploop.alternatives.arranged import arrangements, open_again
from driploop.alternatives.compare import folded_away, reasons, steps_between
from driploop.alternatives.errors import ProposalError
from driploop.alternatives.explain import consequences_of, mendings_of
from driploop.alternatives.figures import figures_of
from driploop.alternatives.frames import Frame, Needs, frames_of, keep_frame, needs_of
from driploop.alternatives.judge import TOO_SMALL, Judged, Place, judge, must_mend, place_of
from driploop.alternatives.kinds import KEEP
from driploop.alternatives.load_management import (
    ANSWERED,
    Chosen,
    NotManaged,
    as_if_answered,
    system_for,
    with_system,
)
from driploop.alternatives.order import checked_order, order_of, rank_key
from driploop.alternatives.reading import read_installation
from driploop.alternatives.results import Alternative, Comparison, Refused
from driploop.alternatives.wiring import choices_of
from driploop.editions import Edition
from driploop.installation import Graph, GraphError, Job
from driploop.installation.model import Part
from driploop.loads import read_loads
from driploop.rules import check_rules
from driploop.worksheet import Finding, Verdict, Worksheet, plain, unique

_NOTHING_LISTED = "the survey lists no meter, disconnect or panel yet"


def alternatives_of(job: Job, *, edition: Edition, order: Iterable[str] | None = None) -> Comparison:
    """Every lawful way to build the new service, best first; the others refused or folded away with the reason.

    Args:
        job: the survey, with or without a proposal; what a proposal states of metal, method and place holds for every
            way, and the proposal itself is one of them.
        edition: the code edition in force, with its overlays.
        order: words of ``order.KEYS``, weightiest first; left out, the shop's own in the job file, else
            ``DEFAULT_ORDER``.

    Returns:
        The comparison. The same job, edition and order always give the same one.

    Raises:
        OrderError: the order names what ways are not ranked by.
        GraphError: the runs as found do not form a tree.
        ProposalError: the wishes cannot be fed from what was found.
    """
    ranked_by = checked_order(order) if order is not None else order_of(job)
    found = check_rules(read_installation(job, job.found, edition=edition))
    old = frozenset(place_of(each) for each in must_mend(found))
    kept = judge(keep_frame(job), job, edition=edition)
    if not kept.readings.loads.nodes:
        nothing = Refused("any", "Any way to build it", KEEP, (_NOTHING_LISTED,))
        return Comparison((), (), (nothing,), (), tuple(ranked_by), ())
    arranged = arrangements(kept.first)
    if arranged:
        job = open_again(job, arranged)
        kept = judge(keep_frame(job), job, edition=edition)
    needs = needs_of(kept.readings, edition=edition)
    frames, refused = frames_of(job, kept.readings, needs, edition=edition)
    judged = []
    for frame in frames:
        try:
            judged.append(_judged(frame, job, edition=edition))
        except (ProposalError, GraphError) as fault:
            refused.append(Refused(frame.id, frame.title, frame.kind, (str(fault),)))
    judged, same = _once(judged)
    shared = _shared(judged, old)
    asked = _asked_by_all(judged)
    offered = []
    for each in judged:
        if each.bars:
            refused.append(_refused(each))
        else:
            offered.append(_alternative(each, old, asked, edition=edition))
    ways, no_ways = _kept_ways(kept, job, needs, old, asked, edition=edition)
    every = [*ways, *offered]
    every = [_with_reasons(each, every) for each in every]
    every.sort(key=lambda each: rank_key(each, ranked_by))
    best, folded = folded_away(every)
    return Comparison(
        offered=best,
        folded=folded,
        refused=(*no_ways, *refused, *same),
        steps=steps_between(best),
        order=tuple(ranked_by),
        shared=(*arranged, *shared),
        assumptions=unique(note for each in every for note in each.assumptions),
    )


def _judged(frame: Frame, job: Job, *, edition: Edition) -> Judged:
    """A frame built and judged. What the shop states of a part that this way takes out, or never puts in, is left out
    of it, unless the way is the shop's own."""
    while True:
        try:
            return judge(frame, job, edition=edition)
        except ProposalError as fault:
            table, _, id = fault.where.removeprefix("proposal.").partition(".")
            parts = getattr(frame.proposal, table, None)
            if frame.own or not isinstance(parts, dict) or id not in parts or not isinstance(parts[id], Part):
                raise
            left = {each: part for each, part in parts.items() if each != id}
            frame = replace(frame, proposal=frame.proposal.model_copy(update={table: left}))


def _alternative(each: Judged, old: frozenset[Place], asked: frozenset[Place], *, edition: Edition) -> Alternative:
    questions = [f for f in each.findings if f.verdict is Verdict.ASK and place_of(f) not in asked]
    needs = [f.where for f in questions]
    frame = each.frame
    return Alternative(
        id=frame.id,
        title=frame.title,
        kind=frame.kind,
        scope=frame.scope,
        proposal=each.proposal,
        job=each.job,
        readings=each.readings,
        findings=each.findings,
        standing="needs an answer" if needs else "lawful",
        why=(),
        why_not=tuple(dict.fromkeys(f"to be answered first: {f.wrong}" for f in questions)),
        needs_answers=tuple(dict.fromkeys(needs)),
        consequences=consequences_of(each),
        mendings=mendings_of(each, old),
        shared=tuple(f for f in must_mend(each.first) if place_of(f) in old),
        figures=figures_of(frame, each.readings, edition=edition),
        choices=choices_of(each.readings, edition=edition),
        assumptions=each.assumptions,
    )


def _with_reasons(each: Alternative, every: Sequence[Alternative]) -> Alternative:
    why, why_not = reasons(each, every)
    return replace(each, why=(*each.why, *why), why_not=(*each.why_not, *why_not))


def _refused(each: Judged) -> Refused:
    # Nothing else counts while the service is too small: other faults of what is there were not tried to be mended.
    bars = tuple(bar for bar in each.bars if bar.rule in TOO_SMALL) or each.bars
    return Refused(
        each.frame.id,
        each.frame.title,
        each.frame.kind,
        tuple(dict.fromkeys(f"{bar.wrong} {bar.mend}" for bar in bars)),
        tuple(dict.fromkeys(bar.section for bar in bars)),
        bars,
        each.readings,
    )


def _once(judged: Sequence[Judged]) -> tuple[list[Judged], list[Refused]]:
    """Ways that come to the same installation are one."""
    kept: list[Judged] = []
    same: list[Refused] = []
    for each in judged:
        twin = next((k for k in kept if k.readings.installation == each.readings.installation), None)
        if twin is None:
            kept.append(each)
        else:
            reason = f"it comes to the same installation as: {twin.frame.title}"
            same.append(Refused(each.frame.id, each.frame.title, each.frame.kind, (reason,)))
    return kept, same


def _shared(judged: Sequence[Judged], old: frozenset[Place]) -> tuple[Finding, ...]:
    """Faults of what was found that every way has before its mendings."""
    if not judged:
        return ()
    everywhere = old.intersection(*({place_of(f) for f in must_mend(each.first)} for each in judged))
    return tuple(f for f in must_mend(judged[0].first) if place_of(f) in everywhere)


def _asked_by_all(judged: Sequence[Judged]) -> frozenset[Place]:
    """What is asked whichever way is chosen: its answer does not tell one way from another."""
    asked = [{place_of(f) for f in each.findings if f.verdict is Verdict.ASK} for each in judged]
    return frozenset(set.intersection(*asked)) if asked else frozenset()


# --- what is there, kept -------------------------------------------------------------------------------------------


def _kept_ways(
    kept: Judged, job: Job, needs: Needs, old: frozenset[Place], asked: frozenset[Place], *, edition: Edition
) -> tuple[list[Alternative], list[Refused]]:
    """What is there with its repairs; where it is too small, held to a set point by a listed system."""
    if not kept.bars:
        return [_alternative(kept, old, asked, edition=edition)], []
    frame, no_ways = kept.frame, [_refused(kept)]
    mains = kept.readings.graph.service_disconnects
    managed_frame = replace(frame, id="keep-managed", title=f"{frame.title}, with load management")
    if needs.found_a is None or len(mains) != 1 or not any(bar.rule in ANSWERED for bar in kept.bars):
        reason = "no single service of known rating is there whose load alone stands in the way"
        return [], [*no_ways, Refused(managed_frame.id, managed_frame.title, frame.kind, (reason,))]
    chosen = system_for(kept.readings, mains[0], needs.found_a, edition=edition)
    if isinstance(chosen, NotManaged):
        section = (chosen.section,) if chosen.section else ()
        return [], [*no_ways, Refused(managed_frame.id, managed_frame.title, frame.kind, (chosen.reason,), section)]
    held_frame = replace(managed_frame, proposal=with_system(frame.proposal, chosen.system))
    held = judge(held_frame, job, edition=edition)
    if held.bars:
        return [], [*no_ways, _refused(held)]
    return [_at_set_point(held, chosen, old, asked, edition=edition)], no_ways


def _at_set_point(
    held: Judged, chosen: Chosen, old: frozenset[Place], asked: frozenset[Place], *, edition: Edition
) -> Alternative:
    """A held way with its figures as they are once its conditions are answered; until then they are questions."""
    way = _alternative(held, old, asked, edition=edition)
    graph = Graph(as_if_answered(held.readings.installation))
    answered = replace(held.readings, installation=graph.installation, graph=graph)
    answered = replace(answered, loads=read_loads(graph, edition=edition, by_building=True))
    figures = figures_of(held.frame, answered, edition=edition)
    sheet = Worksheet(
        figures.worksheet.id, figures.worksheet.title, (*figures.worksheet.lines, *chosen.worksheet.lines)
    )
    names = ", ".join(held.readings.installation.loads[id].title for id in chosen.system.loads or ())
    setpoint_a, section = plain(chosen.system.set_point_a or 0.0), chosen.worksheet.line("setpoint").result.section
    if chosen.system.holds is None:
        said = f"A listed system holds {names} to {setpoint_a} A together ({section})."
        against: tuple[str, ...] = (f"{names}: never more than {setpoint_a} A together",)
    else:
        left_a = plain(round(chosen.worksheet.line("left").result.number))
        said = f"A listed system holds the service to {setpoint_a} A; {left_a} A are left for {names} ({section})."
        against = ("the service is used to the full: nothing is left",)
    return replace(
        way,
        figures=replace(figures, worksheet=sheet),
        consequences=(said, *way.consequences),
        why_not=(*against, *way.why_not),
    )
