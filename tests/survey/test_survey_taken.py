"""From one job's wishes and proposal to another's: only what differs is written, and "unknown" takes a fact away."""

from __future__ import annotations

from driploop import plan
from driploop.survey import changes_between, job_text, read_job_text
from driploop.survey.write import changed_text

FOUND = """
format = 1
town.edition = "NEC 2020"
buildings.house = { use = "dwelling" }
equipment.box = { kind = "panel", building = "house", rating_a = 100, room = "kitchen" }
wishes.spa = { kind = "spa", va = 6000, panel = "box" } # a quiet one
"""
STATED = (
    FOUND
    + """
[proposal]
kind = "service disconnect outdoors"
rating_a = 200 # settled with the customer
metal = "copper"

[proposal.equipment.box]
room = "unknown"
spaces = 40
"""
)


def test_the_same_job_asks_for_no_change() -> None:
    job = read_job_text(STATED)
    assert changes_between(job, job) == {}


def test_only_what_differs_is_written() -> None:
    before = read_job_text(STATED)
    after = read_job_text(STATED.replace('"copper"', '"aluminum"').replace("spaces = 40\n", "").replace("6000", "9000"))
    changes = changes_between(before, after)
    assert changes == {"wishes.spa.va": 9000.0, "proposal.metal": "aluminum", "proposal.equipment.box.spaces": None}
    text = changed_text(STATED, changes)
    assert "# settled with the customer" in text
    assert "# a quiet one" in text
    assert not changes_between(read_job_text(text), after)


def test_a_proposal_comes_and_goes() -> None:
    bare, stated = read_job_text(FOUND), read_job_text(STATED)
    written = changed_text(FOUND, changes_between(bare, stated))
    assert not changes_between(read_job_text(written), stated)
    assert changes_between(stated, bare) == {"proposal": None}
    assert read_job_text(changed_text(written, {"proposal": None})).proposal is None


def test_what_a_proposal_does_not_know_of_a_part_is_not_known_in_the_end() -> None:
    planned = plan(read_job_text(STATED))
    assert planned.found.installation.equipment["box"].room == "kitchen"
    assert planned.final.installation.equipment["box"].room is None
    assert planned.final.installation.equipment["box"].spaces == 40


def test_a_job_written_whole_keeps_what_its_proposal_does_not_know() -> None:
    job = read_job_text(STATED)
    assert plan(read_job_text(job_text(job))).final.installation == plan(job).final.installation
