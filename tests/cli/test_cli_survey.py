"""A starter survey, bare and partly filled, through every command that reads one."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from driploop.survey import starter, update_job

EXAMPLES = Path(__file__).parents[2] / "examples"

#: A plain house of the 1960s: 100 A of plug fuses in the garage, to become a 200 A main outdoors.
RANCH = {
    "town.edition": "NEC 2020",
    "site.kind": "residence",
    "utility.supply": "overhead",
    "buildings.house.floor_area_ft2": 1350,
    "buildings.house.year_built": 1962,
    "buildings.house.gas_or_other_heat": True,
    "equipment.meter.outdoors": True,
    "equipment.main-panel.outdoors": False,
    "equipment.main-panel.room": "garage",
    "equipment.main-panel.rating_a": 100,
    "equipment.main-panel.main": "fuses",
    "equipment.main-panel.main_a": 100,
    "equipment.main-panel.branch_protection": "plug fuses",
    "runs.service-cable.line_size": "2 AWG",
    "runs.service-cable.metal": "aluminum",
    "runs.service-cable.wires": 3,
    "loads.range": {"kind": "range", "panel": "main-panel", "kw": 11, "volts": 240},
    "proposal": {"kind": "service disconnect outdoors", "rating_a": 200, "panel": "main-panel"},
}
#: A small farm: the same house, and a shed with stock on a feeder of its own.
FARM = {
    "site.kind": "farm",
    "buildings.shed": {"use": "livestock"},
    "equipment.shed-panel": {"kind": "panel", "building": "shed"},
    "runs.shed-feeder": {"from": "main-panel", "to": "shed-panel"},
    "circuits.shed-lights": {"from": "shed-panel", "serves": "shed lights"},
    "loads.milking": {"kind": "milking equipment", "panel": "shed-panel", "kw": 5, "volts": 240},
}


def _written(changes: dict[str, object]) -> Path:
    path = Path("job.toml")
    path.write_text(starter(), encoding="utf-8")
    update_job(path, changes)
    return path


def test_new_writes_a_survey_and_says_what_comes_next(run: Callable) -> None:
    ran = run("new", "my job.toml", "--title", "The old mill\nby the weir")
    assert ran.code == 0
    assert ran.out.splitlines()[-1] == "Then: driploop check 'my job.toml'"
    assert 'title = "The old mill by the weir"' in Path("my job.toml").read_text(encoding="utf-8")


def test_a_title_of_bytes_that_are_no_text_is_written_with_stand_ins(run: Callable) -> None:
    assert run("new", "job.toml", "--title", "mill \udcff").code == 0
    assert 'title = "mill ?"' in Path("job.toml").read_text(encoding="utf-8")


def test_a_bare_starter_asks_and_accuses_nobody(run: Callable) -> None:
    ran = run("check", _written({}))
    assert ran.code == 0
    assert "Must be asked" in ran.out
    assert "Must be mended" not in ran.out
    assert "As found: 0 must be mended" in ran.out


def test_a_bare_starter_promises_no_room_without_saying_on_what_it_rests(run: Callable) -> None:
    out = " ".join(run("loads", _written({})).out.split())
    assert "Assumed in it, to be settled before anything is promised: equipment.main-panel.main_a" in out
    assert "buildings.house.floor_area_ft2" in out


def test_a_survey_without_equipment_says_what_to_enter_first(run: Callable) -> None:
    Path("job.toml").write_text("format = 1\n", encoding="utf-8")
    for command in ("check", "loads"):
        ran = run(command, "job.toml")
        assert ran.code == 0
        assert "enter what hangs on the wall under [equipment]" in " ".join(ran.out.split())


def test_a_partly_filled_house_is_read_as_found_and_as_proposed(run: Callable) -> None:
    job = _written(RANCH)
    checked, loaded = run("check", job), run("loads", job)
    assert "In the installation as proposed" in checked.out
    assert "Outdoor service disconnect" in checked.out
    assert loaded.code == 0
    assert "Standard load, house" in loaded.out
    assert "Service as found: 100 A" in loaded.out


def test_a_small_farm_shows_each_building_by_itself(run: Callable) -> None:
    out = run("loads", _written(FARM)).out
    assert "Total farm load, 220.103" in out
    assert "House, by itself (house)" in out
    assert "Shed, by itself (shed)" in out


@pytest.mark.parametrize("changes", [{}, RANCH, FARM], ids=["bare", "ranch", "farm"])
@pytest.mark.parametrize("width", [60, 80, 100, 120])
def test_nothing_is_wider_than_the_terminal_or_ends_in_blanks(
    run: Callable, monkeypatch: pytest.MonkeyPatch, changes: dict[str, object], width: int
) -> None:
    job = _written(changes)
    monkeypatch.setenv("COLUMNS", str(width))
    for argv in (("check", job), ("loads", job), ("loads", job, "--worksheets")):
        lines = run(*argv).out.splitlines()
        assert [line for line in lines if len(line) > width] == []
        assert [line for line in lines if line != line.rstrip()] == []


def test_check_groups_by_verdict_then_place_and_ends_with_the_count(run: Callable) -> None:
    ran = run("check", EXAMPLES / "bungalow.toml")
    assert ran.code == 1
    proposed = ran.out.index("In the installation as proposed")
    mend, ask = ran.out.index("Must be mended", proposed), ran.out.index("Must be asked", proposed)
    assert proposed < mend < ask < ran.out.index("In the installation as found")
    assert "    Circuit: range\n      - Its bare neutral starts at a panel" in ran.out
    assert "250.140 Ex. · three-wire-range-or-dryer · circuits.range" in ran.out
    end = ran.out[ran.out.index("As proposed: ") :]
    assert re.search(r"As proposed: (\d+) must be mended, \d+ must be asked, \d+ worth knowing\.", end)
    assert "must be mended in the installation as proposed." in end
    assert "De-energize, lock" in end


def test_check_as_data_says_how_many_must_be_mended(run: Callable) -> None:
    ran = run("check", EXAMPLES / "bungalow.toml", "--json")
    data = json.loads(ran.out)
    mend = [finding for finding in data["proposed"] if finding["verdict"] == "must be mended"]
    assert ran.code == 1
    assert data["must_mend"] == len(mend) > 0
    assert {"found", "assumptions", "edition"} <= data.keys()


def test_same_assumptions_of_several_places_are_said_once(run: Callable) -> None:
    out = run("check", EXAMPLES / "bungalow.toml").out
    assert out.count("assumed: outdoors, not over 40 C\n") == 1
    assert "runs.service-entrance.ambient_c, runs.car-shed-feeder.ambient_c" in " ".join(out.split())


def test_migrate_leaves_a_file_of_today_as_it_is(run: Callable) -> None:
    job = _written({})
    before = job.read_bytes()
    ran = run("migrate", job)
    assert ran.code == 0
    assert "already" in ran.out
    assert job.read_bytes() == before


def test_migrate_lifts_an_older_file(run: Callable) -> None:
    Path("old.toml").write_text('format = 0\n[switches.main]\nkind = "panel"  # in the hall\n', encoding="utf-8")
    assert run("migrate", "old.toml").code == 0
    assert Path("old.toml").read_text(encoding="utf-8") == (
        'format = 1\n[equipment.main]\nkind = "panel"  # in the hall\n'
    )


def test_schema_is_data(run: Callable) -> None:
    ran = run("schema")
    assert ran.code == 0
    assert json.loads(ran.out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"
