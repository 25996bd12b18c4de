"""Any job a survey may hold gives a plan whose every number has its line, or a refusal in words."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator
from math import isfinite

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from random_jobs import Size, job_of, random_tables, tables

from driploop import plan
from driploop.documents.as_data import assumption_data, finding_data, headroom_data, loads_data
from driploop.editions import edition_names, load_edition
from driploop.planning import Plan, worksheets_of
from driploop.rules import Readings
from driploop.survey import job_text, read_job_text
from driploop.survey.layout import TABLES
from driploop.worksheet import DriploopError, Worksheet

usual = settings(max_examples=100, deadline=None, suppress_health_check=list(HealthCheck))
SIZED = {"line_size": "line_size", "neutral_size": "neutral_size", "egc_size": "egc_size", "load_a": "load",
         "ocpd_a": "device"}  # fmt: skip


def planned(job) -> Plan | None:
    """The plan, None where the job is refused in words that name a place in it."""
    try:
        return plan(job)
    except DriploopError as error:
        refusal = str(error)
    assert refusal.partition(":")[0].partition(".")[0] in TABLES, refusal
    return None


def states(of: Plan) -> Iterator[Readings]:
    yield of.found
    if of.proposed is not None:
        yield of.proposed


@usual
@given(tables)
def test_a_plan_or_a_refusal_in_words(drawn):
    of = planned(job_of(drawn))
    if of is None:
        return
    data = {
        "loads": [loads_data(readings.loads) for readings in states(of)],
        "headroom": headroom_data(of.headroom),
        "findings": [finding_data(f) for f in (*of.found_findings, *of.proposed_findings)],
        "assumptions": [assumption_data(a) for a in of.assumptions],
    }
    json.dumps(data, allow_nan=False)
    for said in (*data["findings"], *data["assumptions"]):
        assert all(value or isinstance(value, list) for value in said.values()), said


@usual
@given(tables)
def test_every_number_has_its_line(drawn):
    of = planned(job_of(drawn))
    if of is None:
        return
    for readings in states(of):
        sheets: dict[str, Worksheet] = {}
        for sheet in worksheets_of(readings):
            # One sheet may be reached by two ways, but two sheets never share an id.
            assert sheets.setdefault(sheet.id, sheet).lines == sheet.lines
            assert sheet.title
            assert max(Counter(line.key for line in sheet.lines if line.key).values(), default=1) == 1, sheet.id
            for line in sheet.lines:
                assert line.what
                assert line.working
                assert line.result.text.strip()
                assert isinstance(line.result.value, str) or isfinite(line.result.value)
        for sizing in readings.conductors.runs.values():
            assert sheets[sizing.worksheet.id] == sizing.worksheet
            for field, key in SIZED.items():
                if not sizing.kept and getattr(sizing, field) is not None:
                    answer = sizing.worksheet.line(key).result.value
                    assert answer == getattr(sizing, field) or isinstance(answer, float)
        for jumper in readings.grounding.jumpers:
            assert sheets[jumper.worksheet].line(jumper.key).result.value == jumper.size
        for system in readings.grounding.systems.values():
            for conductor in system.conductors:
                line = sheets[conductor.worksheet].line(conductor.key)
                assert line.result.value == conductor.required_copper


@pytest.mark.parametrize("edition", edition_names())
@settings(usual, max_examples=25)
@given(drawn=tables)
def test_every_edition_answers_or_refuses_in_words(edition, drawn):
    job = job_of({**drawn, "town": {"edition": edition}})
    of = planned(job)
    if of is None:
        return
    for readings in states(of):
        for node in readings.loads.nodes.values():
            assert node.governing.load_va is not None
            for result in node.results:
                assert result.load_va is not None or (result.why and result.permitted != "yes")
    assert of.edition.name == load_edition(edition).name


@settings(usual, max_examples=60)
@given(tables)
def test_the_same_job_gives_the_same_plan_and_stays_as_it_is(drawn):
    job, twin = job_of(drawn), job_of(drawn)
    first = planned(job)
    assert job == twin
    assert _told(first) == _told(planned(job))


def _told(of: Plan | None) -> object:
    if of is None:
        return None
    findings = (of.found_findings, of.proposed_findings)
    stated = [
        (readings.installation, readings.conductors, readings.grounding, readings.loads, readings.labels)
        for readings in states(of)
    ]
    return of.worksheets(), findings, of.headroom, of.difference, of.assumptions, stated


@settings(usual, max_examples=60)
@given(tables)
def test_a_job_written_as_a_file_reads_as_the_same_job(drawn):
    job = job_of(drawn)
    assert read_job_text(job_text(job)) == job


SILLY = (0.0001, 1.0, 1e9, 1e300, "", "utility", "box-0", "house", "l0", "c0", "-1/0", "1/0", ())


@usual
@given(seed=st.integers(0, 2**32), data=st.data())
def test_silly_values_give_a_plan_or_a_refusal(seed, data):
    """Parts that name themselves or nobody, empty words, numbers nobody measured; past the reader, as an API may."""
    drawn = random_tables(seed, Size(buildings=2, enclosures=3, circuits=5, loads=5, unknown=0.2))
    for _ in range(4):
        table = data.draw(st.sampled_from([name for name, held in drawn.items() if held]))
        part = drawn[table]
        if table not in ("town", "utility", "site", "proposal"):
            part = part[data.draw(st.sampled_from(sorted(part)))]
        if not part:
            continue
        key, silly = data.draw(st.sampled_from(sorted(part))), data.draw(st.sampled_from(SILLY))
        before, part[key] = part[key], silly
        try:
            job_of(drawn)
        except ValueError:
            part[key] = before  # the models refuse it already
    refusal = "none"
    try:
        plan(job_of(drawn))
    except DriploopError as error:
        refusal = str(error)
    assert refusal
