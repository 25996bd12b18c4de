"""Ways that nobody followed: heat and company along a wire's way."""

from __future__ import annotations

import pytest

from .build import says, verdicts

RULE = "heat-along-the-way"
ASK, MEND = "must be asked", "must be mended"
HOUSE = """
buildings.house = {{ use = "dwelling", floor_area_ft2 = 1500, garage_area_ft2 = 0 }}
equipment.panel = {{ kind = "panel", building = "house", outdoors = false, room = "cellar", rating_a = 200, \
main = "breaker", main_a = 200, terminal_temperature_c = 75 }}
equipment.box = {{ kind = "panel", building = "house", outdoors = false, rating_a = 60, main = "none", \
terminal_temperature_c = 75{box} }}
runs.feeder = {{ from = "panel", to = "box", owner = "customer", method = "EMT", wires = 4, line_size = "6 AWG", \
metal = "copper", neutral_size = "6 AWG", egc = "wire", egc_size = "10 AWG", egc_metal = "copper", ocpd = "breaker", \
ocpd_a = 60{feeder} }}
circuits.one = {{ from = "box", purpose = "general", poles = 1, ocpd = "breaker", metal = "copper"{circuit} }}
"""
COOL = ", ambient_c = 30, current_carrying = 2"
ALONE = ", current_carrying = 3"


def house(box="", feeder=', insulation = "THHN", ambient_c = 30, current_carrying = 3', circuit=""):
    return HOUSE.format(box=box, feeder=feeder, circuit=circuit)


# Copper, from the ampacity table: 14 AWG of 60 C 15 A, of 90 C 25 A; 12 AWG 20 and 30 A. Factors at 50 C: 60 C 0.58,
# 75 C 0.75, 90 C 0.82. Adjustment of six wires together 80 percent, of nine 70.
OLD = ', wire_size = "12", insulation = "TW", ocpd_a = 20, receptacles = true'


def test_heat_along_the_way_passes():
    assert verdicts(RULE, house(circuit=OLD + COOL)) == []
    # 14 AWG of 90 C: 25 x 0.82 x 80 % = 16.4 A, enough behind 15 A.
    new = ', wire_size = "14", insulation = "THHN", cable = "NM cable", ocpd_a = 15, receptacles = true'
    assert verdicts(RULE, house(circuit=new)) == []


def test_heat_along_the_way_fails():
    # 12 AWG of 60 C in an attic: 20 x 0.58 = 11.6 A, and no 20 A device may stand ahead of it.
    (told,) = says(RULE, house(circuit=OLD))
    assert (told.verdict.value, told.where) == (ASK, "equipment.box")
    assert "one" in told.wrong
    assert "50 C" in told.wrong


def test_a_stated_attic_is_no_question_but_a_fault():
    hot = house(circuit=OLD + ", ambient_c = 50, current_carrying = 2")
    assert verdicts(RULE, hot) == []
    assert verdicts("breaker-protects-the-old-wire", hot) == [MEND]


@pytest.mark.parametrize(
    ("insulation", "facts", "field"),
    [
        ("THHN", ", ambient_c = 30", None),  # 75 x 80 % = 60 A of 90 C: enough
        ("THHN", ALONE, None),  # 75 x 0.82 = 61.5 A
        ("THW", ", ambient_c = 30", None),  # 65 x 80 % = 52 A, and 60 A is the next device made
        ("TW", ", ambient_c = 30", "current_carrying"),  # 55 x 80 % = 44 A; alone 55 A
        ("THW", ALONE, "ambient_c"),  # 65 x 0.75 = 48.75 A
        ("THW", ", ambient_c = 30" + ALONE, None),  # 65 A
    ],
)
def test_a_kept_feeder_is_asked_about_only_where_its_way_decides(insulation, facts, field):
    told = says(RULE, house(feeder=f', insulation = "{insulation}"{facts}', circuit=OLD + COOL))
    assert [finding.where for finding in told] == ([f"runs.feeder.{field}"] if field else [])


def test_a_feeder_within_one_room_passes_no_attic():
    cellar = house(box=', room = "cellar"', feeder=f', insulation = "THW"{ALONE}', circuit=OLD + COOL)
    assert verdicts(RULE, cellar) == []


def test_a_new_run_is_sized_for_an_ordinary_way_and_says_what_an_attic_asks():
    # 6 AWG THW 65 A at 30 C; in an attic 65 x 0.75 = 48.75 A, so that 60 A asks for 4 AWG: 85 x 0.75 = 63.75 A.
    text = house(feeder=', insulation = "THW", is_new = true', circuit=OLD + COOL)
    (told,) = says(RULE, text.replace(', line_size = "6 AWG"', "").replace('neutral_size = "6 AWG", ', ""))
    assert told.where == "runs.feeder.ambient_c"
    assert "6 AWG: 4 AWG" in told.wrong
