"""The short ways of trying an answer come to the same as planning the whole job with it; and hindsight is kind."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from driploop import plan, read_job, read_job_text
from driploop.installation import Job
from driploop.planning import Plan
from driploop.questions import questions_of
from driploop.questions.answers import subject_of
from driploop.questions.outcomes import Decided, decided
from driploop.questions.paths import Place, answered
from driploop.questions.trying import Trial
from driploop.questions.unknowns import part_of, unknowns_of
from driploop.worksheet import DriploopError
from properties.compare import demands_of
from properties.random_jobs import job_of, random_tables, seeds, sizes

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
#: A new run is sized for an ordinary way through the building, alone in its raceway: that is the shop's own to choose,
#: and a question says what a hotter way would ask.
USUAL = {"ambient_c", "current_carrying"}


def tried(base: Plan) -> list[tuple[Place, Any]]:
    found = []
    for place in unknowns_of(base):
        subject = subject_of(place.table, place.field)
        assert subject is not None
        found += [(place, value) for value, _ in subject.answers_for(part_of(place, base))]
    return found


def whole(base: Plan, place: Place, value: Any) -> Plan | str:
    job = answered(base.job, place, value)
    try:
        return plan(job, edition=base.edition if place.table != "town" else None)
    except DriploopError as refused:
        return str(refused)


def short(trial: Trial, place: Place, value: Any) -> Decided | str:
    try:
        return trial.decided_with(place, value)
    except DriploopError as refused:
        return str(refused)


def values(of: Decided | str) -> object:
    return of if isinstance(of, str) else {outcome: state.value for outcome, state in of.items()}


def held_against_the_whole(job: Job) -> None:
    base = plan(job)
    trial = Trial(base)
    for place, value in tried(base):
        told = whole(base, place, value)
        if isinstance(told, Plan):
            findings = told.proposed_findings if told.proposed else told.found_findings
            expected = values(decided(told.final, findings, told.headroom))
        else:
            expected = told
        assert values(short(trial, place, value)) == expected, (place.path, value)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_a_short_way_comes_to_the_same_as_the_whole_plan(path: Path) -> None:
    held_against_the_whole(read_job(path))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_questions_read_the_same_word_for_word_when_every_answer_is_planned_whole(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = read_job(path)
    short = questions_of(job)

    def planned_whole(self: Trial, job: Job, place: Place, value: Any) -> Decided:
        told = plan(job, edition=self.plan.edition if place.table != "town" else None)
        findings = told.proposed_findings if told.proposed else told.found_findings
        return decided(told.final, findings, told.headroom)

    monkeypatch.setattr(Trial, "_planned_with", planned_whole)
    assert questions_of(job) == short


def test_a_short_way_is_not_taken_where_the_size_chose_the_device() -> None:
    # The old wire gets a breaker in the new panel no larger than it allows, and in a hot place it allows less.
    case = Path(__file__).parents[1] / "cases" / "a_lawful_three_wire_feeder_stays.toml"
    text = case.read_text(encoding="utf-8").partition("\n[expected")[0] + "\n"
    text = text.replace('method = "direct-buried conductors"\nburied = true', 'method = "PVC 40"\nburied = false')
    job = read_job_text(text)
    assert "runs.shop-feeder.ambient_c" in {place.path for place in unknowns_of(plan(job))}
    held_against_the_whole(job)


@settings(max_examples=6, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(seed=seeds, size=sizes)
def test_short_ways_hold_for_any_job(seed: int, size: Any) -> None:
    job = job_of(random_tables(seed, size))
    try:
        plan(job)
    except DriploopError:
        return
    held_against_the_whole(job)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_answering_makes_no_assumption_less_safe_in_hindsight(path: Path) -> None:
    base = plan(read_job(path))
    assumed = {assumption.where for assumption in base.assumptions}
    before = demands_of(base)
    for place, value in tried(base):
        if place.field in USUAL or place.path.removeprefix("proposal.") not in assumed:
            continue
        told = whole(base, place, value)
        assert isinstance(told, Plan)
        for what, asked in demands_of(told).items():
            assert what not in before or asked <= before[what] + 1e-6, (place.path, value, what)


def test_an_answer_is_written_where_it_belongs() -> None:
    job = read_job(EXAMPLES[-1])
    paths = {place.path for place in unknowns_of(plan(job))}
    assert not [path for path in paths if path.startswith("town")]  # it is known
    for place in unknowns_of(plan(job)):
        subject = subject_of(place.table, place.field)
        assert subject is not None
        value, _ = subject.answers_for(part_of(place, plan(job)))[0]
        told = answered(job, place, value)
        assert told != job
        assert place.path not in {left.path for left in unknowns_of(plan(told))}
