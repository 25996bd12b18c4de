"""One answer tried: the job with it written in, read as far as it can be heard, and what is decided then.

While nobody has answered, each stage is watched once: which facts does it look at? An answer, and all that the proposal
makes of it, is then read again by the stages that looked at what it changes, and by the rules whose code may read it.
What no stage looked at comes out as it was. The whole plan with the answer written in comes to the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, fields, replace
from functools import cache, cached_property
from typing import Any, TypeVar

from driploop.alternatives import propose, with_sizes
from driploop.conductors import ConductorReading, read_conductors
from driploop.editions import load_edition
from driploop.grounding import read_grounding
from driploop.grounding.results import GroundingReading
from driploop.installation import Graph, Installation, Job
from driploop.loads import LoadReading, read_headroom, read_loads
from driploop.marking import read_labels
from driploop.planning import Plan, plan
from driploop.questions.along_the_way import ALONG_THE_WAY, Hearing, WireWays
from driploop.questions.outcomes import Decided, State, changed, decided, of_findings
from driploop.questions.paths import Place, answered, written_in
from driploop.questions.reach import names_reached
from driploop.questions.results import Gravity, Outcome
from driploop.questions.watching import Fact, Looked, Remembered, held_against, looked_at
from driploop.rules import Readings, Rule, catalogue
from driploop.rules.catalogue import findings_of
from driploop.worksheet import Finding

#: Without one of these the mark of the fault current stays blank; its amperes are no outcome.
_MARKED = frozenset({"transformer_kva", "available_fault_current_a"})
T = TypeVar("T")
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
        if self.lawful is nothing_more:
            return after
        return {**after, **self.lawful(job, tuple(changed(self._planned, after)))}

    def _planned_with(self, job: Job, place: Place, value: Any) -> Decided:
        if place.table == "town":
            return self._under(job, str(value))
        heard: Hearing = "stages"
        if place.table == "circuits" and place.field in ALONG_THE_WAY:
            heard = self._wires.hear(place, value)
        if heard == "nothing":
            return self._planned
        if heard == "rules" or self._builds_the_same(place):
            built = written_in(self._built, place, value)
        else:
            assert self._built is not None  # read first, so that it is remembered
            built = self._built_from(job, self._loads_on_the_way.again)
        return self._read(job, place, built)

    @cached_property
    def _wires(self) -> WireWays:
        return WireWays(self.plan)

    # --- how far an answer is heard ------------------------------------------------------------------------------

    def _builds_the_same(self, place: Place) -> bool:
        """Whether the proposal does not hang on an answer, but for the field that the answer is written to."""
        if place.table == "site":
            return False
        if place.home in ("found", "single") and not self._proposal_looked.at(_facts_of(place)):
            return True
        return place.field not in _proposes() or self._only_sizes(place)

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

    # --- what each stage looked at while nobody had answered --------------------------------------------------------

    @cached_property
    def _proposal_looked(self) -> Looked:
        job = self.plan.job
        return looked_at(lambda found: self._built_from(job.model_copy(update={"found": found})), job.found)

    @cached_property
    def _loads_looked(self) -> Looked:
        edition = self.plan.edition
        return looked_at(lambda built: read_loads(Graph(built), edition=edition, by_building=True), self._built)

    @cached_property
    def _conductors_looked(self) -> Looked:
        final = self.plan.final
        return looked_at(lambda built: read_conductors(Graph(built), final.loads, edition=final.edition), self._built)

    @cached_property
    def _grounding_looked(self) -> Looked:
        return looked_at(self._grounding_of, self.plan.final.installation, *self._before)

    @cached_property
    def _outcomes_looked(self) -> Looked:
        """Outcomes that are no labels: these read the installation alone."""
        return self._looked_late(lambda read: decided(read, (), None), "marking")

    @cached_property
    def _labels_looked(self) -> Looked:
        return self._looked_late(lambda read: read.marking)

    @cached_property
    def _duties_looked(self) -> Looked:
        return self._looked_late(lambda read: read.duties)

    def _looked_late(self, late: Callable[[Readings], object], *known: str) -> Looked:
        """What a reading looks at that is made out of all others; ``known`` are those it takes as they are."""
        final = self.plan.final

        def stage(installation: Installation, *before: Installation) -> object:
            read = replace(final, installation=installation, graph=Graph(installation), found=next(iter(before), None))
            read.take_over(final, *known)
            return late(read)

        return looked_at(stage, final.installation, *self._before)

    @property
    def _before(self) -> tuple[Installation, ...]:
        """The installation as found, where another is proposed."""
        return (self.plan.job.found,) if self.plan.proposed is not None else ()

    def _grounding_of(self, installation: Installation, *before: Installation) -> GroundingReading:
        final = self.plan.final
        found = Graph(before[0]) if before else None
        return read_grounding(Graph(installation), final.loads, final.conductors, found=found, edition=final.edition)

    # --- reading again -------------------------------------------------------------------------------------------

    def _read(self, job: Job, place: Place, built: Installation) -> Decided:
        """What is decided of a built installation: each stage is read again where it looks at what changed."""
        final, edition = self.plan.final, self.plan.edition
        asked = _facts_of(place)
        built, changed = held_against(self._built, built)
        changed |= asked
        everything = place.table == "site"
        loads, conductors, grounding = final.loads, final.conductors, final.grounding
        if everything or self._loads_looked.at(changed):
            loads = _kept(final.loads, read_loads(Graph(built), edition=edition, by_building=True))
        if everything or loads is not final.loads or self._conductors_looked.at(changed):
            conductors = _kept(final.conductors, read_conductors(Graph(built), loads, edition=edition))
        installation = built
        if self.plan.proposed is not None:
            installation, changed = held_against(final.installation, with_sizes(built, conductors))
            changed |= asked
        graph = Graph(installation)
        read_anew = loads is not final.loads or not _alike(conductors, final.conductors)
        found = job.found if self.plan.proposed is not None else None
        if everything or read_anew or self._grounding_looked.at(changed):
            before = Graph(found) if found is not None else None
            grounding = _kept(final.grounding, read_grounding(graph, loads, conductors, found=before, edition=edition))
        told = Readings(job, edition, installation, graph, loads, conductors, grounding, found=found)
        if installation.utility is final.installation.utility:
            told.weighed.update(final.weighed)
            told.allowed_a.update(final.allowed_a)
        if not everything:
            told.take_over(final, *self._still_true(told, changed))
        same = "marking" in vars(told) and not (
            read_anew or grounding is not final.grounding or self._outcomes_looked.at(changed)
        )
        rules = catalogue() if everything else self._hearing(changed, told)
        headroom = self.plan.headroom
        if place.field in _loads():
            headroom = read_headroom(Graph(job.found), job.wishes.values(), edition=edition)
            same = False
        return self._with_rules(told, rules, self._planned if same else decided(told, (), headroom))

    def _still_true(self, told: Readings, changed: set[Fact]) -> Iterator[str]:
        """The late readings that nothing has turned: no fact that they look at, and no reading they are made of."""
        final = self.plan.final
        if told.grounding.wires == final.grounding.wires and not self._duties_looked.at(changed):
            yield "duties"
        made_of = told.loads is final.loads and told.conductors is final.conductors
        if made_of and told.grounding.bonds == final.grounding.bonds and not self._labels_looked.at(changed):
            yield "marking"

    def _with_rules(self, told: Readings, rules: Sequence[Rule], outcomes: Decided) -> Decided:
        """Outcomes with the verdicts of these rules anew, and of all others as they stood."""
        heard = {rule.id for rule in rules}
        others = {o: s for o, s in self._planned.items() if o.gravity is Gravity.VERDICT and o.what not in heard}
        rest = {o: s for o, s in outcomes.items() if o.gravity is not Gravity.VERDICT}
        again = [finding for rule in rules for finding in findings_of(rule, told)]
        return {**rest, **others, **of_findings(again, told.installation)}

    def _hearing(self, changed: set[Fact], told: Readings) -> tuple[Rule, ...]:
        """The rules that may read one of these facts, or what turned in a reading."""
        names = frozenset(fact.field for fact in changed)
        if not _graph().isdisjoint(names):
            return catalogue()
        heard = set(_rules_reading(names))
        for reading in ("loads", "conductors", "grounding"):
            turned = _turned(getattr(self.plan.final, reading), getattr(told, reading))
            heard |= _rules_reading(frozenset({reading})) & _rules_reading(turned)
        return tuple(rule for rule in catalogue() if rule in heard)

    def _under(self, job: Job, edition: str) -> Decided:
        told = plan(job, edition=load_edition(edition, overlays=self.plan.edition.overlays))
        findings = told.proposed_findings if told.proposed else told.found_findings
        return decided(told.final, findings, told.headroom)

    @cached_property
    def _built(self) -> Installation:
        """The final installation before its new runs were sized."""
        return self._built_from(self.plan.job, self._loads_on_the_way.for_the_first_time)

    def _built_from(self, job: Job, loads_of: Callable[[Installation], LoadReading] | None = None) -> Installation:
        read = loads_of
        built = propose(
            job, edition=self.plan.edition, loads_of=(lambda graph: read(graph.installation)) if read else None
        )
        return built[0] if built is not None else job.found

    @cached_property
    def _loads_on_the_way(self) -> Remembered[LoadReading]:
        """The loads that a proposal reads while it is built."""
        edition = self.plan.edition
        return Remembered(lambda installation: read_loads(Graph(installation), edition=edition))

    @property
    def _findings(self) -> tuple[Finding, ...]:
        return self.plan.proposed_findings if self.plan.proposed else self.plan.found_findings


def _alike(one: ConductorReading, other: ConductorReading) -> bool:
    """Whether two readings size every run the same, whatever their worksheets say."""
    return one is other or all(
        replace(sizing, worksheet=before.worksheet, assumptions=()) == replace(before, assumptions=())
        for sizing, before in zip(one.runs.values(), other.runs.values(), strict=True)
    )


def _kept(known: T, read: T) -> T:
    """A reading, or the known one where it comes to the same."""
    return known if read == known else read


def _turned(one: Any, other: Any) -> frozenset[str]:
    """The fields in which two readings of one stage differ."""
    if one is other:
        return frozenset()
    return frozenset(each.name for each in fields(one) if getattr(one, each.name) != getattr(other, each.name))


@cache
def _rules_reading(names: frozenset[str]) -> frozenset[Rule]:
    """The rules whose code may read one of these names."""
    return frozenset(rule for rule in catalogue() if not names.isdisjoint(names_reached(rule.check)))


def _facts_of(place: Place) -> set[Fact]:
    table = "loads" if place.home == "wished" else place.table
    return {Fact(table, id, place.name) for id in place.ids}


def _loads() -> frozenset[str]:
    return names_reached(read_loads)


def _graph() -> frozenset[str]:
    return names_reached(Graph)


def _grounds() -> frozenset[str]:
    return names_reached(read_grounding)


def _labels() -> frozenset[str]:
    return names_reached(read_labels) | _MARKED


def _proposes() -> frozenset[str]:
    # What a proposal copies by name from part to part is copied the same whatever it is.
    return names_reached(propose, words=False)
