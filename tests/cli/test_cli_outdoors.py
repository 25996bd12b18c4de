"""``driploop earth`` and ``driploop drop``: as text and as data."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
DAIRY = ROOT / "examples" / "goat-dairy.toml"
BUNGALOW = ROOT / "examples" / "bungalow.toml"
HOT = ROOT / "tests" / "cases" / "a_drop_that_comes_down_on_the_drive_when_it_is_hot.toml"


def _flat(text: str) -> str:
    return " ".join(text.split())


@pytest.fixture
def hot(tmp_path: Path) -> Path:
    """The case of the hot drop without its answers."""
    job = tmp_path / "hot.toml"
    job.write_text(HOT.read_text(encoding="utf-8").partition("\n[expected")[0] + "\n", encoding="utf-8")
    return job


def test_earth_as_data_holds_the_band_its_worksheet_and_what_was_assumed(run: Callable, hot: Path) -> None:
    ran = run("earth", hot, "--json")
    assert ran.code == 0
    data = json.loads(ran.out)
    house = data["systems"]["house"]
    assert house["low_ohm"] < house["middle_ohm"] < house["high_ohm"]
    assert house["middle_ohm"] == pytest.approx(63.05, rel=0.005)  # the case works it by hand
    assert house["frozen_ohm"] == pytest.approx(house["high_ohm"])  # no frost there
    assert house["worksheet"]["lines"]
    assert "soil.four_pin" in [each["where"] for each in data["assumptions"]]


def test_earth_as_text_names_the_chance_and_its_assumption(run: Callable) -> None:
    out = _flat(run("earth", DAIRY).out)
    assert "Chance of 25 ohm with one rod" in out
    assert "log of the resistivity taken as evenly spread" in out
    assert "soil.description" in out


def test_drop_as_data_holds_conditions_clearances_and_mast(run: Callable, hot: Path) -> None:
    ran = run("drop", hot, "--json")
    assert ran.code == 0
    drop = json.loads(ran.out)["runs"]["drop"]
    assert [each["weather"] for each in drop["conditions"]][:3] == ["as measured", "hot", "iced"]
    assert drop["clearances"][0]["enough"] is False
    assert drop["mast"]["trade_size"] == "2"
    assert drop["worksheet"]["lines"]


def test_drop_as_text_says_what_a_structural_engineer_must_see(run: Callable) -> None:
    out = _flat(run("drop", DAIRY).out)
    assert "For a structural engineer or the utility" in out
    assert "Largest level pull" in out


def test_a_place_without_wires_in_the_air_says_so(run: Callable) -> None:
    assert "No run of this job hangs in the air" in _flat(run("drop", BUNGALOW).out)
