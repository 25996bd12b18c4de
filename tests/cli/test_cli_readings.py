"""Where offices read a section differently, both readings are told."""

import json
from pathlib import Path

JOB = """
format = 1
[town]
edition = "NEC 2023"
[buildings.house]
use = "dwelling"
floor_area_ft2 = 1200
garage_area_ft2 = 400
[equipment.panel]
kind = "panel"
building = "house"
[runs.drop]
from = "utility"
to = "panel"
"""


def test_check_prints_both_readings(run):
    Path("job.toml").write_text(JOB, encoding="utf-8")
    told = " ".join(run("check", "job.toml").out.split())
    assert "Read so: a garage is no living space" in told
    assert "Read so: what is not named as left out counts" in told
    found = json.loads(run("check", "job.toml", "--json").out)["found"]
    [garage] = [each for each in found if each["rule"] == "garage-in-the-floor-area"]
    assert len(garage["readings"]) == 2
    assert [each["readings"] for each in found if each["rule"] == "light-to-work-by"] == [[]]
