"""Fault current at the service, and what can interrupt it."""

from driploop.installation import Proposal

from .build import says, verdicts
from .test_service_equipment import main

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"

FAULT = "utility.available_fault_current_a = 14000\n"


def test_interrupting_rating_known_passes():
    assert verdicts("interrupting-rating-known", FAULT + main("interrupting_rating_a = 22000")) == []


def test_interrupting_rating_known_fails():
    told = says("interrupting-rating-known", main("rating_a = 100"))
    assert [finding.where for finding in told] == ["utility.available_fault_current_a", "equipment.main"]
    assert {finding.verdict.value for finding in told} == {ASK}


def test_nothing_is_asked_of_what_the_proposal_takes_away():
    proposal = Proposal(kind="service disconnect outdoors")
    assert verdicts("interrupting-rating-known", main("rating_a = 100"), proposal=proposal) == []


def test_interrupting_rating_enough_passes():
    assert verdicts("interrupting-rating-enough", FAULT + main("interrupting_rating_a = 14000")) == []


def test_interrupting_rating_enough_fails():
    below = (
        'equipment.sub = { kind = "panel", building = "house", interrupting_rating_a = 10000 }\n'
        'runs.feeder = { from = "main", to = "sub" }\n'
    )
    assert verdicts("interrupting-rating-enough", FAULT + main("interrupting_rating_a = 10000")) == [MEND]
    assert verdicts("interrupting-rating-enough", FAULT + main("interrupting_rating_a = 22000") + below) == [ASK]


def test_fault_current_mark_passes():
    assert verdicts("fault-current-mark", FAULT + main("rating_a = 100")) == []
    assert verdicts("fault-current-mark", FAULT + main("is_new = true", "barn")) == []


def test_fault_current_mark_fails():
    assert verdicts("fault-current-mark", main("is_new = true", "barn")) == [ASK]
    assert verdicts("fault-current-mark", FAULT + main("rating_a = 100", "barn")) == [KNOW]


FARM = (
    'buildings = { pole = { use = "yard pole" }, barn = { use = "livestock" } }\n'
    'equipment.device = { kind = "disconnect", building = "pole", role = "site-isolating device", main = "none" }\n'
    'equipment.box = { kind = "panel", building = "barn", main = "breaker", main_a = 100 }\n'
    'runs = { service = { from = "utility", to = "device" }, feeder = { from = "device", to = "box" } }\n'
)


def test_behind_a_site_isolating_device_the_first_breakers_are_asked_about():
    told = [finding.where for finding in says("interrupting-rating-known", FARM)]
    assert told == ["utility.available_fault_current_a", "equipment.device", "equipment.box"]
