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


KNOWN = "utility = { transformer_kva = 25, transformer_impedance_percent = 2.0 }\n"


def test_a_known_transformer_decides_without_a_stated_figure():
    # 25 kVA at 1.8 percent: 5,787 A line to line, half as much again line to neutral; 10 kA holds it, 300 A never does.
    assert verdicts("interrupting-rating-enough", KNOWN + main("interrupting_rating_a = 10000")) == []
    assert verdicts("interrupting-rating-enough", KNOWN + main("interrupting_rating_a = 300")) == [MEND]
    assert verdicts("interrupting-rating-known", KNOWN + main("interrupting_rating_a = 10000")) == []


def test_nobody_is_asked_for_a_figure_that_turns_nothing():
    # 25 kVA of any usual impedance: 200 kA fuses hold whatever comes; 5 kA may or may not.
    only_size = "utility = { transformer_kva = 25 }\n"
    assert verdicts("interrupting-rating-known", only_size + main("interrupting_rating_a = 200000")) == []
    assert verdicts("interrupting-rating-known", only_size + main("interrupting_rating_a = 5000")) == [ASK]
    assert verdicts("interrupting-rating-enough", only_size + main("interrupting_rating_a = 5000")) == [ASK]


def test_a_label_that_promises_a_combination_is_read_first():
    text = FAULT + main('interrupting_rating_a = 10000, series_rating = "marked"')
    assert "tested combination" in says("interrupting-rating-enough", text)[0].mend
    stated = FAULT + main('interrupting_rating_a = 10000, series_rating = "marked", series_rated_a = 22000')
    assert verdicts("interrupting-rating-enough", stated) == []


def test_the_mark_gets_its_figure():
    told = says("fault-current-mark", FAULT + main("rating_a = 100", "barn"))
    assert "14,000 A" in told[0].mend
