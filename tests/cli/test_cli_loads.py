"""``driploop loads``: every method, which is permitted and why, each building, one place with its worksheets."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from driploop import Plan, plan, read_job

EXAMPLES = Path(__file__).parents[2] / "examples"
ORCHARD = EXAMPLES / "orchard.toml"


@pytest.fixture(scope="module")
def orchard() -> Plan:
    return plan(read_job(ORCHARD))


def _flat(text: str) -> str:
    return " ".join(text.split())


def test_every_enclosure_of_both_installations_is_there(run: Callable, orchard: Plan) -> None:
    found, _, proposed = run("loads", ORCHARD).out.partition("\nAs proposed\n")
    assert orchard.proposed is not None
    assert [id for id in orchard.found.loads.nodes if f"({id})" not in found] == []
    assert [id for id in orchard.proposed.loads.nodes if f"({id})" not in proposed] == []


def test_each_building_s_own_load_is_there(run: Callable, orchard: Plan) -> None:
    out = run("loads", ORCHARD).out
    assert set(orchard.found.loads.buildings) == {"house", "workshop", "packing-shed", "pump-house"}
    for id in orchard.found.loads.buildings:
        assert out.count(f", by itself ({id})") == 2


def test_what_carries_the_same_load_is_printed_once(run: Callable) -> None:
    assert "Meter on the pole (meter); Main switch on the pole (pole-switch)\n" in run("loads", ORCHARD).out


def test_a_method_that_is_not_permitted_says_why(run: Callable) -> None:
    out = _flat(run("loads", EXAMPLES / "bungalow.toml").out)
    assert "Optional load, Bungalow, 220.82: needs a service or feeder of 100 A or more; this one is 60 A" in out


def test_at_shows_one_place_with_all_reasons_and_its_worksheets(run: Callable) -> None:
    ran = run("loads", EXAMPLES / "bungalow.toml", "--at", "new-main")
    assert ran.code == 0
    assert "\nAs found\n" not in ran.out
    assert "one dwelling on one service or feeder of 200 A" in _flat(ran.out)
    assert "\nStandard load, Bungalow\n" in ran.out
    assert "Car shed fuse box" not in ran.out


def test_at_knows_what_the_proposal_takes_away(run: Callable, orchard: Plan) -> None:
    assert orchard.proposed is not None
    gone = [id for id in orchard.found.loads.nodes if id not in orchard.proposed.loads.nodes]
    assert "pole-switch" in gone
    ran = run("loads", ORCHARD, "--at", "pole-switch")
    assert ran.code == 0
    assert "Main switch on the pole (pole-switch)" in ran.out


def test_at_takes_a_building_too(run: Callable) -> None:
    out = run("loads", ORCHARD, "--at", "packing-shed").out
    assert out.count("Packing shed, by itself (packing-shed)") == 2
    assert "Pump house" not in out


def test_sections_and_answers_of_worksheets_are_never_cut(run: Callable, orchard: Plan) -> None:
    out = run("loads", ORCHARD, "--worksheets").out
    for node in (*orchard.found.loads.nodes.values(), *orchard.found.loads.buildings.values()):
        for line in node.governing.worksheet.lines:
            assert line.result.text in out
            assert all(word in out for word in line.result.section.split())


def test_as_data_has_enclosures_and_buildings(run: Callable, orchard: Plan) -> None:
    data = json.loads(run("loads", ORCHARD, "--json").out)
    for name, readings in (("found", orchard.found), ("proposed", orchard.proposed)):
        assert readings is not None
        assert list(data[name]["enclosures"]) == list(readings.loads.nodes)
        assert list(data[name]["buildings"]) == list(readings.loads.buildings)
    house = data["found"]["buildings"]["house"]
    assert {"standard", "optional", "existing"} == {method["method"] for method in house["methods"]}
    assert {method["permitted"] for method in house["methods"]} == {"yes", "no"}


def test_as_data_at_one_place(run: Callable) -> None:
    data = json.loads(run("loads", ORCHARD, "--json", "--at", "meter").out)
    assert list(data["found"]["enclosures"]) == ["meter"]
    assert data["found"]["buildings"] == {}


def test_a_site_of_one_building_repeats_nothing(run: Callable) -> None:
    assert "by itself" not in run("loads", EXAMPLES / "bungalow.toml").out
