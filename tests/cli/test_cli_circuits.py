"""``driploop circuits``: every circuit, what is found, the largest device, the breaker to put in, and why."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from driploop import plan, read_job

EXAMPLES = Path(__file__).parents[2] / "examples"
NAMES = ("orchard", "bungalow", "two-family", "goat-dairy")


@pytest.mark.parametrize("name", NAMES)
def test_every_circuit_is_told_within_eighty_columns(run: Callable, name: str) -> None:
    ran = run("circuits", EXAMPLES / f"{name}.toml", "--worksheets")
    assert ran.code == 0
    assert [line for line in ran.out.splitlines() if len(line) > 80] == []
    circuits = plan(read_job(EXAMPLES / f"{name}.toml")).final.installation.circuits.values()
    flat = " ".join(ran.out.split())
    assert [c.id for c in circuits if c.purpose != "spare" and f"{c.serves or c.title}: " not in flat] == []


def test_what_is_found_and_what_is_put_in_stand_together(run: Callable) -> None:
    out = " ".join(run("circuits", EXAMPLES / "orchard.toml", "--at", "house-fuse-box").out.split())
    assert "30 A fuse on 14 AWG copper: what you find today; 15 A is the most largest 15 A put in 15 A 1-pole" in out
    assert "refused: the size of its wire is not known put in ask first" in out
    assert "Kitchen panel" not in out


def test_the_same_as_data(run: Callable) -> None:
    data = json.loads(run("circuits", EXAMPLES / "orchard.toml", "--json").out)
    [heater] = [c for c in data["found"]["kitchen-panel"] if c["circuit"] == "water-heater"]
    assert (heater["largest_a"], heater["new_wire"], heater["least_a"]) == (None, True, 25)
    assert heater["worksheet"]["lines"][-1]["key"] in ("ground", "ground_size")
    assert data["proposed"]


def test_a_panel_that_is_not_there_is_refused_with_those_that_are(run: Callable) -> None:
    ran = run("circuits", EXAMPLES / "orchard.toml", "--at", "garage")
    assert ran.code == 2
    assert "kitchen-panel" in ran.err
