"""The commands on fault currents and voltages."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
ORCHARD, DAIRY = str(EXAMPLES / "orchard.toml"), str(EXAMPLES / "goat-dairy.toml")


def test_faults_are_told_for_what_was_found_and_what_is_proposed(run: Callable) -> None:
    ran = run("faults", ORCHARD)
    assert ran.code == 0
    assert ran.out.index("As found") < ran.out.index("As proposed")
    for words in (
        "Largest fault current at each enclosure",
        "Smallest fault current, and the largest by hand",
        "Whether the smallest fault trips the device",
        "runs.drop.length_ft",
    ):
        assert words in ran.out


def test_faults_as_data_carry_model_and_hand_with_their_worksheet(run: Callable) -> None:
    data = json.loads(run("faults", ORCHARD, "--json").out)
    main = data["proposed"]["enclosures"]["new-main"]
    assert main["by_hand"]["line_to_line_a"] == pytest.approx(main["largest"]["line_to_line_a"], rel=0.1)
    assert main["worksheet"]["lines"][-1]["key"] == "smallest"
    assert main["rating"]["verdict"] == "enough"
    assert data["found"]["trips"]["shed-feeder"]["device_a"] == 60


def test_voltages_with_a_limit_name_the_wires(run: Callable) -> None:
    ran = run("voltages", ORCHARD, "--limit", "1")
    assert ran.code == 0
    assert "under 1 percent" in ran.out
    assert "lb of metal" in ran.out
    data = json.loads(run("voltages", ORCHARD, "--limit", "1", "--json").out)
    masses = [[c["metal_lb"] for c in found] for found in data["proposed"]["wires"].values()]
    assert masses
    assert all(found == sorted(found) for found in masses)


def test_an_open_neutral_tells_what_each_load_gets(run: Callable) -> None:
    ran = run("voltages", DAIRY, "--open-neutral", "barn-feeder")
    assert ran.code == 0
    assert "what each load gets" in ran.out
    assert "torqued" in ran.out
    data = json.loads(run("voltages", DAIRY, "--open-neutral", "barn-feeder", "--json").out)
    assert data["proposed"]["open_neutral"]["run"] == "barn-feeder"
    assert "open_neutral" not in data["found"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--open-neutral", "no-such"), "barn-feeder"),
        (("--open-neutral", "barn-feeder", "--hours", "dawn"), "no working hour"),
        (("--hours", "dawn"), "--open-neutral"),
        (("--limit", "0"), "more than 0"),
    ],
)
def test_what_cannot_be_answered_says_what_can(run: Callable, arguments: tuple[str, ...], words: str) -> None:
    ran = run("voltages", DAIRY, *arguments)
    assert ran.code == 2
    assert words in ran.err


def test_a_survey_without_a_supply_is_told_what_to_enter(run: Callable, tmp_path: Path) -> None:
    job = tmp_path / "empty.toml"
    job.write_text("format = 1\n", encoding="utf-8")
    for command in ("faults", "voltages"):
        ran = run(command, str(job))
        assert ran.code == 0
        assert "known supply" in ran.out


def test_stray_voltage_is_told_for_an_electrode_as_it_may_be_measured(run: Callable) -> None:
    ran = run("voltages", DAIRY, "--electrode", "barn-rod=5", "--electrode", "new-rod-milking-barn-1=5")
    assert ran.code == 0
    assert "2.5 ohm" in ran.out  # 5 ohm beside 5 ohm
    told = json.loads(run("voltages", DAIRY, "--electrode", "barn-rod=5", "--json").out)["proposed"]
    assert told["electrodes"] == {"barn-rod": 5.0}
    assert {each["building"] for each in told["neutral_to_earth_with_them"]} == {"milking-barn"}
    for wrong in ("barn-rod", "barn-rod=0", "barn-rod=poor", "nothing=5"):
        refused = run("voltages", DAIRY, "--electrode", wrong)
        assert refused.code == 2
        assert "ID=OHM" in refused.err
        assert "barn-rod" in refused.err
