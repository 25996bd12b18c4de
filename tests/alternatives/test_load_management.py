"""Staying with the old service by load management: promised, taken, answered."""

from __future__ import annotations

from pathlib import Path

import pytest

import driploop
from driploop.alternatives import Alternative, ProposalError, alternatives_of
from driploop.alternatives.load_management import as_if_answered
from driploop.documents.changes import change_tables
from driploop.editions import load_edition
from driploop.installation import Job
from driploop.survey import job_text, read_job_text
from driploop.worksheet import Verdict

CASES = Path(__file__).parents[1] / "cases" / "alternatives"
WHOLE = "a_charger_held_back_keeps_the_old_service_under_2023"
CHARGER = "a_charger_held_back_alone_keeps_the_old_service_under_2020"


def job_of(name: str) -> Job:
    return read_job_text((CASES / f"{name}.toml").read_text(encoding="utf-8").partition("\n[expected")[0] + "\n")


def managed(job: Job) -> Alternative:
    return alternatives_of(job, edition=load_edition(job.town.edition or "")).alternative("keep-managed")


def answered(job: Job) -> Job:
    """The job with every condition of its system met, as the job file would say it."""
    assert job.proposal is not None
    system = job.proposal.load_management["load-management"]
    met = {"listed": True, "fails_safe": True, "settings": "behind restricted access", "marked": True, "accepted": True}
    told = {"load-management": system.model_copy(update=met)}
    return job.model_copy(update={"proposal": job.proposal.model_copy(update={"load_management": told})})


@pytest.mark.parametrize("name", [WHOLE, CHARGER])
def test_a_taken_way_planned_again_gives_the_findings_that_were_promised(name: str) -> None:
    way = managed(job_of(name))
    again = driploop.plan(read_job_text(job_text(way.job)))
    assert set(again.proposed_findings) == set(way.findings)
    assert not again.must_mend
    asked = {f.where for f in way.findings if f.verdict is Verdict.ASK}
    assert "load_management.load-management.listed" in asked
    assert asked >= {"equipment.box", "load_management.load-management.fails_safe"}


@pytest.mark.parametrize("name", [WHOLE, CHARGER])
def test_once_its_conditions_are_answered_nothing_of_the_load_is_left_to_ask(name: str) -> None:
    way = managed(job_of(name))
    plan = driploop.plan(answered(way.job))
    assert not plan.must_mend
    rules = {f.rule for f in plan.proposed_findings}
    assert rules.isdisjoint({"service-carries-the-load", "conductor-carries-the-load", "load-management-conditions"})
    assert "load-counted-at-set-point" in rules
    assert plan.proposed is not None
    node = plan.proposed.loads.nodes["box"]
    assert node.governing.method == "set point"
    # The figures of the way were those of this plan.
    assert way.figures.rating_a - way.figures.headroom_a == pytest.approx(node.conductor_current_a)


def test_a_condition_that_fails_bars_what_was_promised() -> None:
    job = answered(managed(job_of(WHOLE)).job)
    system = job.proposal.load_management["load-management"].model_copy(update={"listed": False})
    job = job.model_copy(update={"proposal": job.proposal.model_copy(update={"load_management": {system.id: system}})})
    rules = {f.rule for f in driploop.plan(job).must_mend}
    assert {"load-management-conditions", "service-carries-the-load"} <= rules


def test_the_system_is_part_of_the_difference_and_of_the_work() -> None:
    plan = driploop.plan(managed(job_of(WHOLE)).job)
    assert [c.what for c in plan.difference if c.path == "load_management.load-management"] == ["added"]
    rows = [" ".join(row) for each in change_tables(plan) for row in each.rows]
    assert any("Load management" in row and "80 A" in row for row in rows), rows


def test_the_same_conditions_are_assumed_met_as_are_asked() -> None:
    way = managed(job_of(WHOLE))
    [system] = as_if_answered(way.readings.installation).load_management.values()
    assert system == answered(way.job).proposal.load_management["load-management"].model_copy(update={"is_new": True})


def test_a_system_may_not_hold_what_is_not_there() -> None:
    job = managed(job_of(WHOLE)).job
    system = job.proposal.load_management["load-management"].model_copy(update={"holds": "castle"})
    wrong = job.model_copy(
        update={"proposal": job.proposal.model_copy(update={"load_management": {system.id: system}})}
    )
    with pytest.raises(ProposalError, match="'castle' is not there as proposed"):
        driploop.plan(wrong)
