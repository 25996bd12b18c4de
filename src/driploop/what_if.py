"""What if the town moves to another edition: one job planned under two, and every answer that differs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from driploop.editions import Edition, Overlay, load_edition
from driploop.installation import Job
from driploop.marking.results import Label
from driploop.planning import Plan, plan
from driploop.rules import Readings, catalogue, section_of
from driploop.worksheet import Finding

#: An answer and its section, by the place and the name of what is answered.
Answers = Mapping[tuple[str, str], tuple[str, str]]


@dataclass(frozen=True, slots=True)
class PlanChange:
    """One answer that differs. ``before`` or ``after`` is "" where that edition has no such answer.

    ``topic`` is load, headroom, rating, conductor, bond, electrode conductor, jumper, label or finding; ``where`` an id
    or a path of the job file.
    """

    topic: str
    where: str
    what: str
    before: str
    after: str
    section_before: str = ""
    section_after: str = ""


@dataclass(frozen=True, slots=True)
class NotKnown:
    """What the second edition says here was not seen, so that nothing was computed from it; in words."""

    what: str
    section: str
    why: str


@dataclass(frozen=True, slots=True)
class PlanDifference:
    """One job under two editions: both plans, what differs, and what could not be compared because it is not known."""

    before: Plan
    after: Plan
    changes: tuple[PlanChange, ...]
    not_known: tuple[NotKnown, ...]

    def of(self, topic: str) -> tuple[PlanChange, ...]:
        """The changes of one topic."""
        return tuple(change for change in self.changes if change.topic == topic)


def editions_compared(job: Job, a: str, b: str, *, overlays: Sequence[Overlay] = ()) -> PlanDifference:
    """Plan a job under two editions and tell what differs in what will stand in the end.

    Args:
        job: what ``read_job`` returned.
        a: the edition to start from, as "NEC 2023".
        b: the edition the town may move to.
        overlays: local rules, laid over both.

    Returns:
        Both plans, and the answers that differ: loads, headroom, ratings, conductors, bonds, jumpers, labels, findings.

    Raises:
        UnknownEdition: one of the editions is not on the shelf.
        OverlayFault: a local rule does not fit one of them; which, and why.
    """
    before = plan(job, edition=load_edition(a, overlays=overlays))
    after = plan(job, edition=load_edition(b, overlays=overlays))
    return PlanDifference(before, after, plans_compared(before, after), tuple(_not_known(before, after)))


def plans_compared(before: Plan, after: Plan) -> tuple[PlanChange, ...]:
    """Every answer on what will stand in the end that differs between two plans of a job, as after a changed survey."""
    return answers_compared(answers_of(before), answers_of(after))


def answers_of(plan: Plan) -> Mapping[str, Answers]:
    """Every answer of a plan on what will stand in the end, by topic: all that a comparison asks of it."""
    final = plan.final
    return {
        "load": _loads(final),
        "headroom": _headroom(plan),
        "rating": _ratings(final),
        "conductor": _conductors(final),
        "bond": _bonds(final),
        "electrode conductor": _electrode_conductors(final),
        "jumper": _jumpers(final),
        "label": _labels(final),
        "finding": _findings(plan),
    }


def answers_compared(before: Mapping[str, Answers], after: Mapping[str, Answers]) -> tuple[PlanChange, ...]:
    """The answers that differ, as ``plans_compared``, where those of each plan were asked for before."""
    return tuple(change for topic in after for change in _differing(topic, before[topic], after[topic]))


def _differing(topic: str, old: Answers, new: Answers) -> Iterator[PlanChange]:
    if old == new:
        return
    nothing = ("", "")
    for where, what in dict.fromkeys((*old, *new)):
        before, after = old.get((where, what), nothing), new.get((where, what), nothing)
        if before[0] != after[0]:
            yield PlanChange(topic, where, what, before[0], after[0], before[1], after[1])


# --- the answers of one plan -------------------------------------------------------------------------------------


def _loads(r: Readings) -> Answers:
    answers: dict[tuple[str, str], tuple[str, str]] = {}
    for id, node in r.loads.nodes.items():
        governing = node.governing
        answers[id, "governing load"] = (f"{governing.title}, {node.current_a:.0f} A", governing.section)
        for result in node.results:
            words = f"{result.load_va:,.0f} VA" if result.load_va is not None else "not computed"
            standing = {"yes": "", "no": ", not permitted", "ask": ", ask first"}[result.permitted]
            answers[id, result.title] = (words + standing, result.section)
        answers[id, "neutral load"] = (f"{node.neutral.current_a:.0f} A", "")
    return answers


def _headroom(plan: Plan) -> Answers:
    headroom = plan.headroom
    if headroom is None:
        return {}
    answers = {(headroom.equipment, "left of the service as found"): (f"{headroom.margin_a:.0f} A", "")}
    for step in headroom.steps:
        words = f"{step.load_a:.0f} A, {'fits' if step.fits else 'does not fit'}"
        answers[headroom.equipment, f"with {step.title}"] = (words, "")
    return answers


def _ratings(r: Readings) -> Answers:
    answers: dict[tuple[str, str], tuple[str, str]] = {}
    for id, each in r.installation.equipment.items():
        role = r.graph.roles.get(id)
        rated = [
            f"{amperes:g} A {what}" for amperes, what in ((each.rating_a, "bus"), (each.main_a, "main")) if amperes
        ]
        answers[id, "what it is"] = (", ".join([role or each.kind or "enclosure", *rated]), "")
    return answers


def _conductors(r: Readings) -> Answers:
    answers: dict[tuple[str, str], tuple[str, str]] = {}
    for id, run in r.conductors.runs.items():
        last = next((line.result.section for line in reversed(run.worksheet.lines) if line.result.section), "")
        size = f"{run.line_size} {run.metal}" if run.line_size else "not known"
        answers[id, "lines"] = (f"{size}{f', {run.ocpd_a:g} A device' if run.ocpd_a else ''}", last)
        answers[id, "neutral"] = (run.neutral_size or "none or not known", "")
        answers[id, "equipment ground"] = (f"{run.egc_size} {run.egc_metal}" if run.egc_size else "none", "")
        if run.kept:
            answers[id, "whether it serves"] = ("; ".join(run.faults) or _serves(run.adequate), "")
        if id in r.grounding.wires:
            wires = r.grounding.wires[id]
            answers[id, "wires"] = (f"{wires.needed} needed{', may stay' if wires.may_stay else ''}", wires.section)
    return answers


def _serves(adequate: bool | None) -> str:
    return {True: "serves", False: "does not serve", None: "not known"}[adequate]


def _bonds(r: Readings) -> Answers:
    return {(id, "neutral"): (bond.required, bond.section) for id, bond in r.grounding.bonds.items()}


def _electrode_conductors(r: Readings) -> Answers:
    answers: dict[tuple[str, str], tuple[str, str]] = {}
    for place, system in r.grounding.systems.items():
        another = {True: "needed", False: "not needed", None: "not known"}[system.needs_second_electrode]
        answers[place, "a further electrode"] = (another, system.section)
        for each in system.conductors:
            words = f"{each.required_copper} copper to {each.lands_at}"
            answers[each.electrode, "electrode conductor"] = (words, each.section)
    return answers


def _jumpers(r: Readings) -> Answers:
    return {(each.where, each.kind): (f"{each.size} {each.metal}", each.section) for each in r.grounding.jumpers}


def _labels(r: Readings) -> Answers:
    return {(each.equipment, each.id): (_label_words(each), each.section) for each in r.labels}


def _label_words(label: Label) -> str:
    colours = f"{label.letters} on {label.background}" if label.background else ""
    height = f"letters of {label.letter_height_in:g} in" if label.letter_height_in else ""
    return ", ".join(part for part in (" / ".join(label.words), colours, height) if part)


def _findings(plan: Plan) -> Answers:
    """What each rule says at each place, the verdict in front; what several say there, one after another."""
    told: dict[tuple[str, str], list[Finding]] = defaultdict(list)
    for finding in plan.proposed_findings if plan.proposed else plan.found_findings:
        told[finding.where, finding.rule].append(finding)
    return {
        key: (" ".join(f"{each.verdict.value}: {each.wrong}" for each in findings), findings[0].section)
        for key, findings in told.items()
    }


# --- what is not known -------------------------------------------------------------------------------------------


def _not_known(before: Plan, after: Plan) -> Iterator[NotKnown]:
    told = dict.fromkeys((*_methods(after.final), *_rules(after.edition, _spoken(after))))
    yield from told
    known = set(before.assumptions)
    for assumption in after.assumptions:
        if assumption.where == "town.edition" and assumption not in known:
            yield NotKnown(assumption.assumed, "", assumption.why_safe)


def _methods(r: Readings) -> Iterator[NotKnown]:
    """Methods of calculation that were refused for want of their numbers."""
    sections = {r.edition.entry(name).section for name in r.edition.names() if not r.edition.known(name)}
    for node in r.loads.nodes.values():
        for result in node.results:
            if result.load_va is None and any(_same(result.section, section) for section in sections):
                yield NotKnown(result.title, result.section, result.why)


def _same(cited: str, section: str) -> bool:
    return bool(section) and (cited in section or section in cited)


def _spoken(plan: Plan) -> set[str]:
    return {finding.rule for finding in (*plan.found_findings, *plan.proposed_findings)}


def _rules(edition: Edition, spoken: Iterable[str]) -> Iterator[NotKnown]:
    """Rules that saw something here and whose words in this edition were not seen."""
    said = set(spoken)
    for rule in catalogue():
        if rule.id in said and not edition.known(rule.requirement):
            yield NotKnown(rule.title, section_of(rule, edition), edition.entry(rule.requirement).note)
