"""One answer tried: the job with it written in, read as far as it can be heard, and what is decided then.

What only rules read is written into the final installation, and only those rules look again. What only the sizing of
a run reads is sized first, and nothing else is read where that comes out the same. Everything else goes the whole way,
but for the stages whose facts it left as they were.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from driploop.alternatives import propose, with_sizes
from driploop.conductors import ConductorReading, read_conductors
from driploop.editions import load_edition
from driploop.grounding import read_grounding
from driploop.installation import Graph, Installation, Job
from driploop.loads import Headroom, LoadReading, read_headroom, read_loads
from driploop.marking import read_labels
from driploop.planning import Plan, plan
from driploop.questions.outcomes import Decided, State, changed, decided, of_findings
from driploop.questions.paths import PARTS, Place, answered, written_in
from driploop.questions.reach import names_reached
from driploop.questions.results import Gravity, Outcome
from driploop.rules import Readings, catalogue, check_rules
from driploop.rules.catalogue import findings_of
from driploop.worksheet import Finding

#: Tables of what joins a place to the earth.
_EARTH = ("electrodes", "bonds")
#: Without one of these the mark of the fault current stays blank; its amperes are no outcome.
_MARKED = frozenset({"transformer_kva", "available_fault_current_a"})
_NOT_THERE = object()

#: What an answer turned: the outcome, how it stood, how it stands.
Turned = Sequence[tuple[Outcome, State | None, State | None]]
#: Further outcomes of a job, and what an answer turned in its plan; None while nobody has answered.
Lawful = Callable[[Job, Turned | None], Decided]


def nothing_more(job: Job, turned: Turned | None) -> Decided:
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
        return {**self._planned, **self.lawful(self.plan.job, None)}

    @cached_property
    def _planned(self) -> Decided:
        return decided(self.plan.final, self._findings, self.plan.headroom)

    def decided_with(self, place: Place, value: Any) -> Decided:
        """What is decided once this answer is known.

        Raises:
            DriploopError: with this answer the proposal, or the job, no longer holds together.
        """
        job = answered(self.plan.job, place, value)
        after = self._planned_with(job, place, value)
        assert self.baseline is not None  # asked first: an answer is held against how all stands without it
        return {**after, **self.lawful(job, tuple(changed(self._planned, after)))}

    def _planned_with(self, job: Job, place: Place, value: Any) -> Decided:
        if place.table == "town":
            return self._under(job, str(value))
        if not self._is_heard_by_a_stage(place):
            return self._rules_only(job, place, value)
        if self._only_sizes(place):
            return self._sized_again(job, place, value)
        return self._read_again(job, place)

    # --- how far an answer is heard ------------------------------------------------------------------------------

    def _is_heard_by_a_stage(self, place: Place) -> bool:
        return any(place.field in names for names in (_loads(), _sizes(), _grounds(), _labels(), _proposes()))

    def _only_sizes(self, place: Place) -> bool:
        """Whether an answer can only change the sizing of runs, and no device or bond is chosen by that sizing."""
        if place.table not in ("runs", "equipment") or any(place.field in n for n in (_loads(), _grounds(), _labels())):
            return False
        graph = self.plan.final.graph
        ends = (graph.run_into.get(place.id), *graph.runs_out.get(place.id, ()))
        return self._sizing_decides.isdisjoint(ends if place.table == "equipment" else (place.id,))

    @cached_property
    def _sizing_decides(self) -> frozenset[str]:
        """Kept runs on whose sizes the proposal was built: those with a new device, and old three-wire feeders."""
        if self.plan.proposed is None:
            return frozenset()
        graph = self.plan.final.graph
        deciding = []
        for run in graph.installation.runs.values():
            source = graph.installation.equipment.get(run.from_ or "")
            re_hung = source is not None and source.is_new
            three_wire = run.wires != 4 and graph.roles.get(run.to or "") == "building disconnect"
            if not run.is_new and (re_hung or three_wire):
                deciding.append(run.id)
        return frozenset(deciding)

    # --- reading again -------------------------------------------------------------------------------------------

    def _rules_only(self, job: Job, place: Place, value: Any) -> Decided:
        return self._by_rules(job, written_in(self.plan.final.installation, place, value), frozenset({place.field}))

    def _by_rules(self, job: Job, installation: Installation, changed: frozenset[str]) -> Decided:
        """What is decided where nothing but rules reads what changed."""
        final = self.plan.final
        found = job.found if final.found is not None else None
        told = replace(final, job=job, installation=installation, graph=Graph(installation), found=found)
        hearing = [rule for rule in catalogue() if not changed.isdisjoint(names_reached(rule.check))]
        heard = {rule.id for rule in hearing}
        kept = {
            o: state for o, state in self._planned.items() if o.gravity is not Gravity.VERDICT or o.what not in heard
        }
        again = [finding for rule in hearing for finding in findings_of(rule, told)]
        return {**kept, **of_findings(again, installation)}

    def _sized_again(self, job: Job, place: Place, value: Any) -> Decided:
        final = self.plan.final
        installation = written_in(self._built, place, value)
        graph = Graph(installation)
        conductors = read_conductors(graph, final.loads, edition=final.edition)
        if _alike(conductors, final.conductors):
            return self._rules_only(job, place, value)
        return self._from_sizes(job, installation, graph, final.loads, conductors, self.plan.headroom)

    def _read_again(self, job: Job, place: Place) -> Decided:
        edition, headroom, final = self.plan.edition, self.plan.headroom, self.plan.final
        if place.field in _loads():
            headroom = read_headroom(Graph(job.found), job.wishes.values(), edition=edition)
        built = propose(job, edition=edition)
        installation = built[0] if built is not None else job.found
        graph = Graph(installation)
        changed = _changed(installation, self._built) | {(place.table, place.field)}
        # The code's loads and conductors hang on no electrode and on no bond of piping.
        heard = {field for table, field in changed if table not in _EARTH}
        loads, conductors = final.loads, final.conductors
        if not heard.isdisjoint(_loads()):
            loads = read_loads(graph, edition=edition, by_building=True)
        if loads is not final.loads or not heard.isdisjoint(_sizes()):
            conductors = read_conductors(graph, loads, edition=edition)
        names = frozenset(field for _, field in changed)
        if loads is final.loads and names.isdisjoint(_grounds() | _labels()) and _alike(conductors, final.conductors):
            return self._by_rules(job, with_sizes(installation, conductors) if built else installation, names)
        return self._from_sizes(job, installation, graph, loads, conductors, headroom)

    def _from_sizes(
        self,
        job: Job,
        installation: Installation,
        graph: Graph,
        loads: LoadReading,
        conductors: ConductorReading,
        headroom: Headroom | None,
    ) -> Decided:
        edition = self.plan.edition
        found = job.found if self.plan.proposed is not None else None
        if found is not None:
            installation = with_sizes(installation, conductors)
            graph = Graph(installation)
        before = Graph(found) if found is not None else None
        grounding = read_grounding(graph, loads, conductors, found=before, edition=edition)
        readings = Readings(job, edition, installation, graph, loads, conductors, grounding, found=found)
        return decided(readings, check_rules(readings), headroom)

    def _under(self, job: Job, edition: str) -> Decided:
        told = plan(job, edition=load_edition(edition, overlays=self.plan.edition.overlays))
        findings = told.proposed_findings if told.proposed else told.found_findings
        return decided(told.final, findings, told.headroom)

    @cached_property
    def _built(self) -> Installation:
        """The final installation before its new runs were sized."""
        built = propose(self.plan.job, edition=self.plan.edition)
        return built[0] if built is not None else self.plan.job.found

    @property
    def _findings(self) -> tuple[Finding, ...]:
        return self.plan.proposed_findings if self.plan.proposed else self.plan.found_findings


def _alike(one: ConductorReading, other: ConductorReading) -> bool:
    """Whether two readings size every run the same, whatever their worksheets say."""
    return all(
        replace(sizing, worksheet=before.worksheet, assumptions=()) == replace(before, assumptions=())
        for sizing, before in zip(one.runs.values(), other.runs.values(), strict=True)
    )


def _changed(one: Installation, other: Installation) -> set[tuple[str, str]]:
    """Every table and field in which two installations differ; of a part that only one has, all its fields."""
    found: set[tuple[str, str]] = set()
    for table in PARTS:
        ones, others = getattr(one, table), getattr(other, table)
        for id in dict.fromkeys((*ones, *others)):
            here, there = ones.get(id), others.get(id)
            if here is not there and here != there:
                fields = type(here or there).model_fields
                found.update((table, name) for name in fields if _get(here, name) != _get(there, name))
    return found


def _get(part: Any, name: str) -> Any:
    return getattr(part, name) if part is not None else _NOT_THERE


def _loads() -> frozenset[str]:
    return names_reached(read_loads)


def _sizes() -> frozenset[str]:
    return names_reached(read_conductors)


def _grounds() -> frozenset[str]:
    return names_reached(read_grounding)


def _labels() -> frozenset[str]:
    return names_reached(read_labels) | _MARKED


def _proposes() -> frozenset[str]:
    # What a proposal copies by name from part to part is copied the same whatever it is.
    return names_reached(propose, words=False)
