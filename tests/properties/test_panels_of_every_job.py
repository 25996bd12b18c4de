"""The panels of any job a survey may hold: laid out lawfully and physically, or refused in words."""

from __future__ import annotations

from hypothesis import given
from random_jobs import job_of, tables
from test_every_job import planned, usual

from driploop.documents.panel import panel_data
from driploop.panel import illegal


@usual
@given(tables)
def test_every_panel_is_lawful_or_says_why_there_is_no_layout(of) -> None:
    plan = planned(job_of(of))
    if plan is None:
        return
    for each in plan.panels:
        assert panel_data(each)["equipment"] == each.equipment
        assert (each.solved is None) == bool(each.refused)
        if each.solved is None or each.problem is None:
            assert all(reason.strip() for reason in each.refused)
            continue
        assert illegal(each.problem, each.solved.layout) == ()
        assert each.solved.bound <= each.solved.cost.total
        assert {line.circuit for line in each.directory if line.circuit} == {c.id for c in each.problem.circuits}
        assert len(each.steps) == sum(c.kind != "reserved" for c in each.problem.circuits)
