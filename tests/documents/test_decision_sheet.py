"""The decision sheet: one page that says what the outdoor device is and what follows, read from the plan alone."""

from __future__ import annotations

import re

import pytest

from driploop.documents import packet_data, packet_pdf
from driploop.documents.decision import decision_data
from driploop.drawings import deciding_device
from driploop.planning import Plan

from .packets import EXAMPLES, NAMES, example, example_pdf, heading_pages, plan_of, plan_without_proposal
from .test_packet import DECISION, WITH_PROPOSAL, odd_job


def told(plan: Plan, about: str) -> list[list[str]]:
    sheet = decision_data(plan)
    assert sheet is not None
    return [row for row in sheet["follows"] if row[0] == about]


@pytest.mark.parametrize("name", NAMES)
def test_the_sheet_fills_one_page_and_the_findings_start_the_next(name: str) -> None:
    pages = heading_pages(example_pdf(name))
    following = WITH_PROPOSAL[WITH_PROPOSAL.index(DECISION) + 1]
    assert pages[following] == pages[DECISION] + 1


@pytest.mark.parametrize("words", ["A name that somebody pasted here. " * 12, "Unbrokenword" * 20])
def test_long_names_leave_it_on_one_page(words: str) -> None:
    pages = heading_pages(packet_pdf(odd_job(words)))
    assert min(page for page in pages.values() if page > pages[DECISION]) == pages[DECISION] + 1


@pytest.mark.parametrize("name", NAMES)
def test_every_place_of_the_neutral_is_told_with_its_section(name: str) -> None:
    plan = example(name)
    rows = told(plan, "Neutral and ground")
    for bond in plan.final.grounding.bonds.values():
        title = plan.final.graph.equipment(bond.equipment).title
        verb = {"bonded": "Joined", "isolated": "Kept apart"}[bond.required]
        assert any(r[1].startswith(verb) and title in r[1] and r[3] == bond.section for r in rows), bond


def test_an_outdoor_service_disconnect_is_told_as_that() -> None:
    sheet = decision_data(example("bungalow"))
    assert sheet is not None
    assert sheet["outdoors"]
    assert "It is the service disconnect" in sheet["what"]
    assert "still live" in sheet["live"]


def test_an_emergency_disconnect_is_not_called_service_equipment_and_the_service_ends_further_on() -> None:
    text = (EXAMPLES / "bungalow.toml").read_text(encoding="utf-8")
    proposal = re.search(r'(?m)^\[proposal\]\nkind = "[^"]+"', text)
    assert proposal is not None
    changed = text.replace(proposal[0], '[proposal]\nkind = "emergency disconnect"')
    plan = plan_of(
        re.sub(r"(?ms)^\[proposal\.(?:equipment|runs|electrodes|bonds|circuits)[^\n]*\n.*?(?=^\[|\Z)", "", changed)
    )
    sheet = decision_data(plan)
    assert sheet is not None
    assert "not service equipment" in sheet["what"]
    assert sheet["others"].startswith("The service ends at ")


def test_a_renewed_range_and_one_that_keeps_its_three_wires_are_told_apart() -> None:
    rows = told(example("orchard"), "Three-wire circuits")
    assert [row[1] for row in rows] == [
        "Renewed with a ground of its own: kitchen range",
        "Stays, its frame grounded by the neutral: clothes dryer",
    ]


def test_the_sheet_points_at_findings_only_where_there_are_some() -> None:
    # The bungalow's range has a bare neutral that starts at a panel which is no longer the service equipment.
    plan = example("bungalow")
    assert [row[1] for row in told(plan, "Three-wire circuits")] == [
        "Frame grounded by the neutral, see the findings: range"
    ]
    assert "circuits.range" in {finding.where for finding in plan.proposed_findings}
    assert "circuits.dryer" not in {finding.where for finding in example("orchard").proposed_findings}


def test_without_a_proposal_the_sheet_is_of_what_hangs_there() -> None:
    plan = plan_without_proposal()
    sheet = decision_data(plan)
    assert sheet is not None
    device = deciding_device(plan.found)
    assert sheet["title"] == plan.found.graph.equipment(device or "").title


def test_an_empty_survey_has_no_sheet() -> None:
    plan = plan_of("format = 1\n")
    assert packet_data(plan)["decision"] is None
    assert DECISION not in heading_pages(packet_pdf(plan))


def test_where_nothing_hangs_outdoors_the_sheet_speaks_of_the_service_disconnect() -> None:
    plan = plan_of(
        'format = 1\n[buildings.house]\nuse = "dwelling"\n'
        '[equipment.panel]\nkind = "panel"\nbuilding = "house"\noutdoors = false\n'
        '[runs.drop]\nfrom = "utility"\nto = "panel"\n'
    )
    assert "What the service disconnect is, and what follows" in heading_pages(packet_pdf(plan))
