"""Whether one way to build is lawful: built, read, its findings mended where that can be promised, and read again.

Four sorts of "must be mended" are told apart. One that a stated mending settles is no bar: the mending enters the
proposal, and what it costs stands in the figures. Of these, one that the installation as found has too is an old fault
("to be mended whichever is chosen", where every way shares it); one that only this way raises is its consequence. One
that no mending settles bars the way, whatever its origin, so that nothing offered has anything left to be mended.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from driploop.alternatives.build import propose
from driploop.alternatives.frames import Frame
from driploop.alternatives.kinds import KEEP
from driploop.alternatives.larger import Mending
from driploop.alternatives.mending import mendings_for, with_mendings
from driploop.alternatives.reading import read_installation
from driploop.editions import Edition
from driploop.installation import Graph, Installation, Job, Proposal
from driploop.rules import Readings, check_rules
from driploop.worksheet import Assumption, Finding, Verdict

#: Mending one fault may bring out another (a new run wants its ground); after so many rounds what is left stands.
_ROUNDS = 3
#: Findings on the size of the service that only another rating settles: no use in mending anything else first.
TOO_SMALL = frozenset({"service-carries-the-load", "service-rating-minimum"})
_ONLY_RULES = frozenset({
    "ocpd_a", "afci", "gfci", "directory", "unused_openings", "neutrals_under_one_screw", "line_terminals_covered",
    "line_side_splices_marked", "marked", "backfed_main_fastened", "foreign_breakers", "lit", "exposed_to_damage",
    "dedicated_space_clear", "tandem_breakers", "drip_loop", "entry_sealed", "head_above_attachment", "mast_guyed",
    "mast_carries_other_cables", "protected_from_damage", "fuse_in_neutral",
})  # fmt: skip

Place = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Judged:
    """One frame, built and judged. ``first`` are its findings before anything was mended."""

    frame: Frame
    job: Job
    proposal: Proposal
    readings: Readings
    first: tuple[Finding, ...]
    findings: tuple[Finding, ...]
    mendings: tuple[Mending, ...]
    assumptions: tuple[Assumption, ...]

    @property
    def bars(self) -> tuple[Finding, ...]:
        """What must be mended and is not."""
        return must_mend(self.findings)


def must_mend(findings: Collection[Finding]) -> tuple[Finding, ...]:
    """The findings that must be mended."""
    return tuple(each for each in findings if each.verdict is Verdict.MEND)


def place_of(finding: Finding) -> Place:
    """What tells a fault from another across readings: its rule and its place."""
    return finding.rule, finding.where


def judge(frame: Frame, job: Job, *, edition: Edition) -> Judged:
    """Build a frame, read it, and mend what can be mended.

    Raises:
        ProposalError: it cannot be built from what was found.
        GraphError: the runs do not form a tree.
    """
    proposal = frame.proposal
    readings, assumptions = _read(job, proposal, edition=edition)
    first = findings = check_rules(readings)
    done: dict[tuple[str, str], Mending] = {}
    for _ in range(_ROUNDS):
        faults = must_mend(findings)
        if not faults or any(each.rule in TOO_SMALL for each in faults):
            break
        small = frame.kind == KEEP or frame.scope != "full service"
        steps = [each for each in _steps(faults, readings, done, edition=edition) if not (small and each.large)]
        if not steps:
            break
        for step in steps:
            before = done.get((step.table, step.id))
            fields = {**(before.fields if before else {}), **step.fields}
            words = _and(before.words, step.words) if before else step.words
            done[step.table, step.id] = replace(step, fields=fields, words=words)
        proposal = with_mendings(frame.proposal, done.values())
        job = _with_wishes(job, done.values())
        if all(set(step.fields) <= _ONLY_RULES for step in steps):
            readings = _laid_over(job, readings, proposal, steps)
        else:
            readings, assumptions = _read(job, proposal, edition=edition)
        findings = check_rules(readings)
    its_job = job.model_copy(update={"proposal": proposal})
    return Judged(frame, its_job, proposal, readings, first, findings, tuple(done.values()), assumptions)


def _steps(
    faults: Collection[Finding], readings: Readings, done: dict[tuple[str, str], Mending], *, edition: Edition
) -> list[Mending]:
    steps: dict[tuple[str, str], Mending] = {}
    for step in (step for each in faults for step in mendings_for(each, readings, edition=edition)):
        key = (step.table, step.id)
        before = done.get(key)
        tried = before is not None and all(before.fields.get(name, before) == v for name, v in step.fields.items())
        if tried:
            continue
        earlier = steps.get(key)
        if earlier is None:
            steps[key] = step
        elif set(step.fields) - set(earlier.fields):
            words = _and(earlier.words, step.words)
            steps[key] = replace(step, fields={**earlier.fields, **step.fields}, words=words)
    return list(steps.values())


def _and(one: str, more: str) -> str:
    """The words of two mendings of one part, whose name stands once unless the first goes by another's."""
    name, _, work = more.partition(": ")
    return f"{one}; {work}" if one.startswith(f"{name}: ") else f"{one}; {more}"


def _with_wishes(job: Job, mendings: Collection[Mending]) -> Job:
    """The job with its wishes on the circuits that mendings give them."""
    moved = {each.id: each.fields for each in mendings if each.table == "wishes"}
    if not moved:
        return job
    wishes = {id: w.model_copy(update=dict(moved[id])) if id in moved else w for id, w in job.wishes.items()}
    return job.model_copy(update={"wishes": wishes})


def _read(job: Job, proposal: Proposal, *, edition: Edition) -> tuple[Readings, tuple[Assumption, ...]]:
    its_job = job.model_copy(update={"proposal": proposal})
    built = propose(its_job, edition=edition)
    assert built is not None  # a frame has a kind or a partial scope
    installation, assumptions = built
    return read_installation(its_job, installation, edition=edition, found=job.found), assumptions


def _laid_over(job: Job, readings: Readings, proposal: Proposal, steps: Collection[Mending]) -> Readings:
    """The readings with small repairs laid over: neither loads nor conductors nor grounding ask about these fields."""
    installation: Installation = readings.installation
    for step in steps:
        parts = dict(getattr(installation, step.table))
        parts[step.id] = parts[step.id].model_copy(update=dict(step.fields))
        installation = installation.model_copy(update={step.table: parts})
    its_job = job.model_copy(update={"proposal": proposal})
    return replace(readings, job=its_job, installation=installation, graph=Graph(installation))
