"""``driploop duties`` and ``driploop disconnects``: what they tell, at 80 columns and as data."""

import json
from pathlib import Path

import pytest

from driploop.cli.main import FINE, MEND

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("bungalow", "orchard", "goat-dairy", "two-family")
LOST = """
format = 1
[town]
edition = "NEC 2023"
[buildings.house]
use = "dwelling"
[equipment.panel]
kind = "panel"
building = "house"
[equipment.switch]
name = "Old switch by the well"
kind = "disconnect"
building = "house"
in_sight_of = ["well"]
fate = "remove"
[runs.drop]
from = "utility"
to = "panel"
[runs.old]
from = "panel"
to = "switch"
[circuits.well]
from = "switch"
[loads.well]
name = "Well pump"
kind = "well pump"
circuit = "well"
hp = "1"
"""


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("command", ["duties", "disconnects"])
def test_every_example_is_told_within_80_columns(run, command, name):
    told = run(command, EXAMPLES / f"{name}.toml")
    assert told.code == FINE
    assert max(len(line) for line in told.out.splitlines()) <= 80


@pytest.mark.parametrize("name", NAMES)
def test_every_duty_stands_on_the_terminal_and_in_the_data(run, name):
    data = json.loads(run("duties", EXAMPLES / f"{name}.toml", "--json").out)["duties"]
    told = " ".join(run("duties", EXAMPLES / f"{name}.toml").out.split())
    assert data
    for duty in data:
        assert duty["title"] in told
        assert duty["reason"] in told
        assert duty["answer"] in ("yes", "no", "ask the office")
        assert duty["needs"]
        assert (duty["worksheet"] is None) or duty["worksheet"]["lines"]


def test_the_bungalow_is_told_what_its_move_awakens(run):
    told = " ".join(run("duties", EXAMPLES / "bungalow.toml").out.split())
    assert "Arc-fault protection: yes [210.12(D)] both bedrooms and bath light." in told
    assert "lengthened by 8 ft; 6 ft are free." in told


def test_a_decision_against_a_rule_is_told_and_not_called_fine(run):
    Path("job.toml").write_text(LOST, encoding="utf-8")
    told = run("disconnects", "job.toml")
    assert told.code == MEND
    words = " ".join(told.out.split())
    assert "Old switch by the well: keep as the disconnect in sight [430.102]" in words
    assert "Must be mended: The survey says 'remove'" in words
    data = run("disconnects", "job.toml", "--json")
    assert data.code == MEND
    [switch] = [each for each in json.loads(data.out)["disconnects"] if each["where"] == "equipment.switch"]
    assert switch["must_mend"] is True
    [required] = switch["required_for"]
    assert (required["of"], required["words"]) == ("loads.well", "Well pump, a motor")
    assert (required["sure"], required["breaker_will_do"]) == (True, False)


def test_an_empty_survey_says_what_to_enter_first(run):
    Path("job.toml").write_text("format = 1\n", encoding="utf-8")
    assert "list the circuits first" in run("duties", "job.toml").out
    assert "[equipment]" in run("disconnects", "job.toml").out
