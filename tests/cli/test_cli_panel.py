"""``driploop panel``: as text and as data, with a shop's own list, one panel alone."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from panel.dairy import JOB, WIRE

OURS = """
[panel.ours]
title = "Our shop's usual panel"
spaces = 24
circuits_max = 24
bus_a = 200
main = "breaker"
main_a = 200
lugs = ["4 AWG", "250 kcmil"]
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    path = tmp_path / "dairy.toml"
    path.write_text(JOB.replace("WIRE", WIRE), encoding="utf-8")
    return path


def test_the_layout_is_printed_with_its_balance_and_its_proof(run: Callable, job: Path) -> None:
    ran = run("panel", job)
    assert ran.code == 0
    told = " ".join(ran.out.split())
    assert "Barn panel (barn-panel)" in told
    assert "no layout can cost less than" in told
    assert "Milking 37.5 A 35.5 A 2.0 A 18.0 A" in told
    assert "NOT TRACED" in told
    assert max(map(len, ran.out.splitlines())) <= 80


def test_as_data_every_part_is_there(run: Callable, job: Path) -> None:
    ran = run("panel", job, "--json", "--solver", "exact")
    assert ran.code == 0
    data = json.loads(ran.out)
    assert data["solver"] == "exact"
    barn = next(each for each in data["panels"] if each["equipment"] == "barn-panel")
    assert barn["layout"]["proven"] is True
    assert {place["circuit"] for place in barn["layout"]["places"]} >= {"vacuum", "shop-feeder"}
    assert barn["worksheet"]["lines"]
    assert len(barn["crew_sheet"]) == len(barn["layout"]["places"])


def test_the_same_job_always_gives_the_same_answer(run: Callable, job: Path) -> None:
    for solver in ("plain", "exact"):
        first = run("panel", job, "--json", "--solver", solver)
        assert run("panel", job, "--json", "--solver", solver).out == first.out


def test_one_panel_alone_and_one_that_is_not_there(run: Callable, job: Path) -> None:
    ran = run("panel", job, "--at", "shop-panel", "--worksheets")
    assert "Barn panel (barn-panel)" not in ran.out
    assert "Cost of this layout" in " ".join(ran.out.split())
    missing = run("panel", job, "--at", "attic-panel")
    assert missing.code == 2
    assert "There are: barn-panel, shop-panel" in missing.err


def test_a_shop_hangs_what_it_buys(run: Callable, job: Path) -> None:
    (job.parent / "ours.toml").write_text(OURS, encoding="utf-8")
    job.write_text(job.read_text(encoding="utf-8") + '\n[shop]\npanels = "ours.toml"\n', encoding="utf-8")
    assert "Our shop's usual panel" in run("panel", job).out


@pytest.mark.parametrize(
    ("text", "told"), [(None, "no such file"), ("[panel.x]\nspaces = 3\n", "an even whole number")]
)
def test_a_list_that_cannot_be_used_is_told(run: Callable, job: Path, text: str | None, told: str) -> None:
    if text is not None:
        (job.parent / "ours.toml").write_text(text, encoding="utf-8")
    job.write_text(job.read_text(encoding="utf-8") + '\n[shop]\npanels = "ours.toml"\n', encoding="utf-8")
    ran = run("panel", job)
    assert ran.code == 2
    assert told in ran.err
    assert 'shop.panels = "ours.toml"' in ran.err
