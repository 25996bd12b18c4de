"""One answer tried: the job with it written in, read as far as it can be heard, and what is decided then.

What only rules read is written into the final installation, and only those rules look again. What only the sizing of
a run reads is sized first, and nothing else is read where that comes out the same. Everything else goes the whole way,
but for the stages whose facts it left as they were.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from driploop.alternatives import propose, with_sizes
from driploop.conductors import read_conductors
from driploop.editions import Edition, load_edition
from driploop.grounding import read_grounding
from driploop.installation import Graph, Installation, Job
from driploop.loads import Headroom, read_headroom, read_loads
from driploop.marking import read_labels
from driploop.planning import Plan
from driploop.questions.outcomes import Decided, decided, of_findings
from driploop.questions.paths import PARTS, Place, answered, written_in
from driploop.questions.reach import names_reached
from driploop.questions.results import Gravity, Outcome
from driploop.rules import Readings, catalogue, check_rules
from driploop.rules.catalogue import findings_of
from driploop.worksheet import Finding

Lawful = Callable[[Job], Decided]


def nothing_more(job: Job) -> Decided:
    """No outcomes beside those of the plan."""
    return {}


@dataclass(frozen=True)
class Trial:
    """A plan against which answers are tried. ``lawful`` gives further outcomes of a job, such as what may be built."""

    plan: Plan
    lawful: Lawful = nothing_more

    @cached_property
    def baseline(self) -> Decided:
        """What is decided while nobody has answered."""
        return {**self._decided(self.plan.final, self._findings, self.plan.headroom), **self.lawful(self.plan.job)}

    def decided_with(self, place: Place, value: Any) -> Decided:
        """What is decided once this answer is known.

        Raises:
            DriploopError: with this answer the proposal, or the job, no longer holds together.
        """
        job = answered(self.plan.job, place, value)
        if place.table == "town":
            return self._under(job, str(value))
        if not self._is_heard_by_a_stage(place):
            return self._rules_only(job, place, value)
        if self._only_sizes(place) and self._same_sizes(place, value):
            return self._rules_only(job, place, value)
        return {**self._read_again(job, place), **self.lawful(job)}

    # --- how far an answer is heard ------------------------------------------------------------------------------

    def _is_heard_by_a_stage(self, place: Place) -> bool:
        return any(place.field in names for names in (_loads(), _sizes(), _grounds(), _labels(), _proposes()))

    def _only_sizes(self, place: Place) -> bool:
        """Whether an answer can only change the sizing of a run, and no device or bond is chosen by that sizing."""
        if place.table not in ("runs", "equipment") or any(place.field in names for names in (_loads(), _grounds())):
            return False
        return place.field not in _labels() and not self._sizing_decides

    @cached_property
    def _sizing_decides(self) -> bool:
        """Whether the proposal was built on the sizes of kept runs: a new device, or an old three-wire feeder."""
        graph = self.plan.final.graph
        if self.plan.proposed is None:
            return False
        for run in graph.installation.runs.values():
            source = graph.installation.equipment.get(run.from_ or "")
            if not run.is_new and source is not None and source.is_new:
                return True
            if not run.is_new and run.wires != 4 and graph.roles.get(run.to or "") == "building disconnect":
                return True
        return False

    def _same_sizes(self, place: Place, value: Any) -> bool:
        final = self.plan.final
        graph = Graph(written_in(final.installation, place, value))
        told = read_conductors(graph, final.loads, edition=final.edition)
        return all(
            replace(sizing, worksheet=before.worksheet, assumptions=()) == replace(before, assumptions=())
            for sizing, before in zip(told.runs.values(), final.conductors.runs.values(), strict=True)
        )

    # --- reading again -------------------------------------------------------------------------------------------

    def _rules_only(self, job: Job, place: Place, value: Any) -> Decided:
        final = self.plan.final
        installation = written_in(final.installation, place, value)
        told = replace(
            final,
            job=job,
            installation=installation,
            graph=Graph(installation),
            found=job.found if final.found is not None else None,
        )
        hearing = [rule for rule in catalogue() if place.field in names_reached(rule.check)]
        heard = {rule.id for rule in hearing}
        kept = {o: state for o, state in self.baseline.items() if o.gravity is not Gravity.VERDICT or o.what not in heard}
        again = [finding for rule in hearing for finding in findings_of(rule, told)]
        return {**kept, **of_findings(again, installation)}

    def _read_again(self, job: Job, place: Place) -> Decided:
        plan, edition = self.plan, self.plan.edition
        headroom = plan.headroom
        if place.field in _loads():
            headroom = read_headroom(Graph(job.found), job.wishes.values(), edition=edition)
        built = propose(job, edition=edition)
        installation, found = (built[0], job.found) if built is not None else (job.found, None)
        graph = Graph(installation)
        if place.field not in _loads() and _same_facts(installation, self._built, _loads()):
            loads = plan.final.loads
        else:
            loads = read_loads(graph, edition=edition, by_building=True)
        conductors = read_conductors(graph, loads, edition=edition)
        if found is not None:
            installation = with_sizes(installation, conductors)
            graph = Graph(installation)
        before = Graph(found) if found is not None else None
        grounding = read_grounding(graph, loads, conductors, found=before, edition=edition)
        labels, _ = read_labels(graph, edition=edition)
        readings = Readings(job, edition, installation, graph, loads, conductors, grounding, labels, found=found)
        return self._decided(readings, check_rules(readings), headroom)

    def _under(self, job: Job, edition: str) -> Decided:
        from driploop.planning import plan

        told = plan(job, edition=load_edition(edition, overlays=self.plan.edition.overlays))
        findings = told.proposed_findings if told.proposed else told.found_findings
        return {**self._decided(told.final, findings, told.headroom), **self.lawful(job)}

    @cached_property
    def _built(self) -> Installation:
        """The final installation before its new runs were sized."""
        built = propose(self.plan.job, edition=self.plan.edition)
        return built[0] if built is not None else self.plan.job.found

    @property
    def _findings(self) -> tuple[Finding, ...]:
        return self.plan.proposed_findings if self.plan.proposed else self.plan.found_findings

    @staticmethod
    def _decided(readings: Readings, findings: tuple[Finding, ...], headroom: Headroom | None) -> Decided:
        return decided(readings, findings, headroom)


def _same_facts(one: Installation, other: Installation, names: frozenset[str]) -> bool:
    """Whether two installations are alike in every field that carries one of these names."""
    if one.site_kind != other.site_kind or one.utility != other.utility:
        return False
    return all(_same_parts(getattr(one, table), getattr(other, table), names) for table in PARTS)


def _same_parts(ones: Mapping[str, Any], others: Mapping[str, Any], names: frozenset[str]) -> bool:
    if list(ones) != list(others):
        return False
    for one, other in zip(ones.values(), others.values(), strict=True):
        if one is other:
            continue
        if any(getattr(one, n) != getattr(other, n) for n in type(one).model_fields if n in names or n == "name"):
            return False
    return True


def _loads() -> frozenset[str]:
    return names_reached(read_loads)


def _sizes() -> frozenset[str]:
    return names_reached(read_conductors)


def _grounds() -> frozenset[str]:
    return names_reached(read_grounding)


def _labels() -> frozenset[str]:
    return names_reached(read_labels)


def _proposes() -> frozenset[str]:
    # What a proposal copies by name from part to part is copied the same whatever it is.
    return names_reached(propose, words=False)
