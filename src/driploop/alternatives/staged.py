"""Staged work on a farm: what is made ready now, which feeder is renewed when, each stage lawful in itself.

The first stage puts in the distribution point with its electrodes and leaves every feeder that may lawfully stay on it;
those that may not are renewed in the same stage. Each later stage renews one feeder and the equipment it ends at.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace
from typing import Literal

from driploop.alternatives.arranged import arrangements, open_again
from driploop.alternatives.clearing import STAYS
from driploop.alternatives.errors import ProposalError
from driploop.alternatives.frames import Frame
from driploop.alternatives.judge import Judged, judge, must_mend
from driploop.alternatives.results import Stage, Staging
from driploop.editions import Edition
from driploop.installation import Equipment, Graph, GraphError, Installation, Job, Proposal, Run, difference
from driploop.worksheet import Verdict

_KIND: Literal["farm distribution point"] = "farm distribution point"
_GOES = frozenset({"remove", "abandon"})


def staged_of(job: Job, *, edition: Edition) -> Staging:
    """The stages of a farm's new distribution point.

    Args:
        job: a farm's survey; its proposal, where it has one, must be of the kind "farm distribution point".
        edition: the code edition in force.

    Returns:
        The stages in their order; where a stage would not be lawful, the reasons beside it and in ``refused``.

    Raises:
        GraphError: the runs as found do not form a tree.
    """
    proposal = job.proposal or Proposal(kind=_KIND)
    if job.found.site_kind != "farm":
        return Staging((), ("this is no farm: a single service is built in one piece",))
    if proposal.kind != _KIND:
        return Staging((), (f"only a {_KIND} is built in stages; the proposal is of the kind {proposal.kind}",))
    feeders = _feeders(Graph(job.found))
    if len(feeders) < 2:
        return Staging((), ("fewer than two buildings are fed by feeders: there is nothing to leave for later",))
    try:
        now, why = _must_go_now(job, proposal, feeders, edition=edition)
        whole = _judged(job, proposal, feeders, feeders, edition=edition)
        service = _service_runs(whole, proposal)
    except (ProposalError, GraphError) as fault:
        return Staging((), (str(fault),))
    job = open_again(job, arrangements(whole.first))
    later = [id for id in feeders if id not in now]
    if not later:
        return Staging((), ("no feeder may stay behind the new distribution point", *why))
    stages: list[Stage] = []
    said: set[str] = set()
    before = job.found
    for number in range(len(later) + 1):
        renewed = [*now, *later[:number]]
        try:
            judged = _judged(job, proposal, feeders, renewed, edition=edition, service=service)
        except (ProposalError, GraphError) as fault:
            return Staging(tuple(stages), (f"stage {number + 1}: {fault}",))
        stage = _stage(number + 1, job, judged, feeders, renewed, before)
        stages.append(replace(stage, work=tuple(words for words in stage.work if words not in said)))
        said |= {each.words for each in judged.mendings}
        before = judged.readings.installation
    refused = [f"stage {each.number}: {reason}" for each in stages for reason in each.why_not]
    return Staging(tuple(stages), tuple(refused))


def _service_runs(final: Judged, proposal: Proposal) -> dict[str, Run]:
    """The service conductors of the last stage: bought once, they are put in for all that comes later."""
    runs: dict[str, Run] = {}
    for id, run in final.readings.installation.runs.items():
        if not run.is_new or run.owner == "utility" or not final.readings.graph.is_service_run(run):
            continue
        stated = proposal.runs.get(id, Run(id=id))
        fields = {name: getattr(stated, name) for name in stated.model_fields_set}
        sizes = {"line_size": run.line_size, "neutral_size": run.neutral_size, "sets": run.sets}
        runs[id] = Run.model_validate({**fields, **sizes})
    return runs


def _feeders(graph: Graph) -> list[str]:
    """The runs that bring power from the pole to a building, in the order of the tree."""
    found = []
    for id in graph.order:
        run = graph.feeding_run(id)
        if run is not None and graph.roles[id] == "building disconnect":
            found.append(run.id)
    return found


def _must_go_now(
    job: Job, proposal: Proposal, feeders: Collection[str], *, edition: Edition
) -> tuple[list[str], list[str]]:
    """The feeders that may not stay behind the new device, and why, by trying to keep them all."""
    judged = _judged(job, proposal, feeders, (), edition=edition)
    mended = {each.id for each in judged.mendings if each.table == "runs" and each.fields.get("is_new")}
    barred = {f.where.split(".")[1] for f in judged.bars if f.where.startswith("runs.")}
    now = [id for id in feeders if id in mended | barred]
    why = [
        f"{job.found.runs[f.where.split('.')[1]].title}: {f.wrong}"
        for f in must_mend(judged.first)
        if f.where.startswith("runs.") and f.where.split(".")[1] in now
    ]
    return now, list(dict.fromkeys(why))


def _judged(
    job: Job,
    proposal: Proposal,
    feeders: Collection[str],
    renewed: Collection[str],
    *,
    edition: Edition,
    service: Mapping[str, Run] | None = None,
) -> Judged:
    stated = _without_later(job, proposal, feeders, renewed)
    stated = stated.model_copy(update={"runs": {**stated.runs, **(service or {})}})
    frame = Frame(f"stage-{len(renewed)}", "A stage", _KIND, "full service", stated)
    return judge(frame, _as_left(job, feeders, renewed), edition=edition)


def _as_left(job: Job, feeders: Collection[str], renewed: Collection[str]) -> Job:
    """The job with everything behind a feeder that waits kept as it is, and its wishes put off with it."""
    graph = Graph(job.found)
    waits = _behind(graph, [id for id in feeders if id not in renewed])
    runs: dict[str, Run] = {}
    for id, run in job.found.runs.items():
        fate = "keep" if run.to in waits else "replace" if id in renewed and run.fate not in _GOES else run.fate
        runs[id] = run.model_copy(update={"fate": fate})
    equipment: dict[str, Equipment] = {
        id: each.model_copy(update={"fate": "keep"}) if id in waits and each.fate not in STAYS else each
        for id, each in job.found.equipment.items()
    }
    found = job.found.model_copy(update={"runs": runs, "equipment": equipment})
    places = {job.found.equipment[id].building for id in waits}
    wishes = {id: each if each.building not in places else each.model_copy(update={"when": "later"})
              for id, each in job.wishes.items()}  # fmt: skip
    return job.model_copy(update={"found": found, "wishes": wishes})


def _behind(graph: Graph, feeders: Collection[str]) -> set[str]:
    ends = [graph.installation.runs[id].to or "" for id in feeders]
    return {below for end in ends for below in graph.below(end)}


def _without_later(job: Job, proposal: Proposal, feeders: Collection[str], renewed: Collection[str]) -> Proposal:
    """The proposal with what it states of parts that wait left out."""
    waits = _behind(Graph(job.found), [id for id in feeders if id not in renewed])
    places = {job.found.equipment[id].building for id in waits}
    equipment = {id: each for id, each in proposal.equipment.items() if id not in waits and each.building not in places}
    gone = {*waits, *(id for id in proposal.equipment if id not in equipment)}
    runs = {id: each for id, each in proposal.runs.items() if not _touches(job.found, id, each, gone, feeders, renewed)}
    circuits = {id: each for id, each in proposal.circuits.items() if not _hangs_on(job.found, id, each.from_, gone)}
    electrodes = {
        id: each for id, each in proposal.electrodes.items() if _place(job.found, id, each.building) not in places
    }
    return proposal.model_copy(
        update={"equipment": equipment, "runs": runs, "circuits": circuits, "electrodes": electrodes}
    )


def _touches(
    found: Installation, id: str, run: Run, gone: Collection[str], feeders: Collection[str], renewed: Collection[str]
) -> bool:
    waiting = id in feeders and id not in renewed
    old = found.runs.get(id)
    return waiting or run.to in gone or run.from_ in gone or (old is not None and run.to is None and old.to in gone)


def _hangs_on(found: Installation, id: str, at: str | None, gone: Collection[str]) -> bool:
    old = found.circuits.get(id)
    return (at or (old.from_ if old is not None else None)) in gone


def _place(found: Installation, id: str, building: str | None) -> str | None:
    old = found.electrodes.get(id)
    return building or (old.building if old is not None else None)


def _stage(
    number: int, job: Job, judged: Judged, feeders: Collection[str], renewed: Collection[str], before: Installation
) -> Stage:
    readings = judged.readings
    asked = tuple(dict.fromkeys(f.where for f in judged.findings if f.verdict is Verdict.ASK))
    last = job.found.runs[list(renewed)[-1]].title if renewed and number > 1 else ""
    work = [f"{change.title}: {change.what}" for change in difference(before, readings.installation)
            if change.path.partition(".")[0] in ("equipment", "runs", "electrodes")]  # fmt: skip
    work += [each.words for each in judged.mendings]
    stays = tuple(
        f"{job.found.runs[id].title}: {readings.grounding.wires[id].why}"
        for id in feeders
        if id not in renewed and id in readings.grounding.wires
    )
    return Stage(
        number=number,
        title=f"Renew {last}" if last else "The distribution point, its electrodes, and what may not wait",
        work=tuple(dict.fromkeys(work)),
        proposal=judged.proposal,
        readings=readings,
        findings=judged.findings,
        lawful=not judged.bars,
        why_not=tuple(dict.fromkeys(f"{bar.wrong} ({bar.where})" for bar in judged.bars)),
        needs_answers=asked,
        stays=stays,
    )
