"""What is offered has nothing left to be mended, whatever the survey."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings
from random_jobs import job_of, tables

from driploop.alternatives import alternatives_of
from driploop.editions import load_edition
from driploop.worksheet import DriploopError, Verdict


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(tables)
def test_an_offered_way_has_no_finding_that_must_be_mended(drawn):
    job = job_of(drawn)
    try:
        ways = alternatives_of(job, edition=load_edition(job.town.edition or "NEC 2023"))
    except DriploopError:
        return
    for way in (*ways.offered, *(folded.alternative for folded in ways.folded)):
        assert not [f for f in way.findings if f.verdict is Verdict.MEND], way.id
    assert all(refused.reasons for refused in ways.refused)
