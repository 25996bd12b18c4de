"""The pre-inspection list, on the example jobs and on a small house built here."""

from pathlib import Path

import pytest

from driploop.closeout import STOPS, pre_inspection
from driploop.closeout.pre_inspection import LOCAL_RULES
from driploop.editions import load_edition, read_overlay
from driploop.editions.local_check import CHECKS
from driploop.planning import plan
from driploop.rules import catalogue, section_of
from driploop.survey import read_job, read_job_text

EXAMPLES = Path(__file__).parents[2] / "examples"
JOBS = sorted(EXAMPLES.glob("*.toml"))

HOUSE = """
format = 1
[town]
edition = "NEC 2023"
[utility]
supply = "overhead"
system = "120/240 V single-phase"
available_fault_current_a = 9000
[site]
kind = "residence"
[buildings.house]
use = "dwelling"
floor_area_ft2 = 1200
[equipment.meter]
kind = "meter"
building = "house"
outdoors = true
[equipment.panel]
kind = "panel"
building = "house"
outdoors = false
rating_a = 100
main = "fuses"
main_a = 100
branch_protection = "plug fuses"
neutral_bonded = true
fate = "replace"
[runs.drop]
from = "utility"
to = "meter"
owner = "utility"
overhead = true
lowest_over_ground_ft = 13
ground_below = "residential drive"
[runs.entrance]
from = "meter"
to = "panel"
owner = "customer"
method = "SE cable"
line_size = "2 AWG"
metal = "copper"
fate = "remove"
[circuits.range]
from = "panel"
serves = "range"
poles = 2
ocpd = "cartridge fuse"
ocpd_a = 40
wire_size = "8 AWG"
metal = "copper"
extend_ft = 9
[circuits.rooms]
from = "panel"
serves = "bedrooms"
purpose = "general"
poles = 1
ocpd = "plug fuse"
ocpd_a = 15
wire_size = "14 AWG"
metal = "copper"
extend_ft = 9
[electrodes.pipe]
name = "Town water pipe"
kind = "metal water pipe"
building = "house"
connected = true
conductor_to = "panel"
conductor_size = "8 AWG"
conductor_metal = "copper"
earth_contact_ft = 60
connection_from_entry_ft = 2
meter_jumper = true
[proposal]
kind = "service disconnect outdoors"
scope = "full service"
rating_a = 200
metal = "copper"
method = "RMC"
outdoor_place = "house"
panel = "panel"
interrupting_rating_a = 22000
new_rods = 2
rod_spacing_ft = 8
"""


def lines(text=HOUSE, **overlays):
    return pre_inspection(plan(read_job_text(text, name="house.toml"), **overlays))


def seen(rule, **more):
    return [line for line in lines(**more) if line.rule == rule]


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_every_line_names_its_rule_its_section_and_its_picture(path):
    job_plan = plan(read_job(path))
    rules = {rule.id: rule for rule in catalogue()}
    told = pre_inspection(job_plan)
    assert len(told) > 10
    for line in told:
        assert job_plan.edition.has(rules[line.rule].requirement)
        assert line.see
        assert line.section not in ("", "-")
        assert line.photograph
        assert line.place
    assert len(set(told)) == len(told)


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_the_lines_come_in_the_order_of_the_walk(path):
    stops = [STOPS.index(line.stop) for line in pre_inspection(plan(read_job(path)))]
    assert stops == sorted(stops)


def test_the_water_pipe_is_told_with_the_size_of_this_service():
    # 200 A of 2/0 copper: 4 AWG copper or 2 AWG aluminum to a water pipe (common practice), joined within 5 ft.
    [water] = [line for line in seen("electrode-conductor-size") if line.where == "electrodes.pipe"]
    assert water.stop == "The electrodes"
    assert "4 AWG copper or 2 AWG aluminum" in water.see
    assert "within 5 ft of entry" in water.see
    assert water.section == "Table 250.66"
    # Rods take 6 AWG copper (common practice).
    rods = [line for line in seen("electrode-conductor-size") if line.where != "electrodes.pipe"]
    assert len(rods) == 2
    assert all("6 AWG copper" in line.see for line in rods)


def test_the_neutral_is_joined_outdoors_and_kept_apart_inside():
    [joined], [apart] = seen("bond-at-the-service"), seen("bond-once")
    assert (joined.where, joined.stop) == ("equipment.new-main", "The outdoor disconnect")
    assert (apart.where, apart.stop) == ("equipment.panel", "The panel")
    [feeder] = seen("four-wire-downstream")
    assert feeder.see.startswith("fed by 4 wires")


def test_the_label_is_told_in_its_words():
    [label] = seen("emergency-disconnect-label")
    assert label.see == "it reads: EMERGENCY DISCONNECT / SERVICE DISCONNECT"
    assert label.section == "230.85(E)"


def test_a_measure_that_is_known_is_told_and_one_that_is_not_is_left_to_be_filled_in():
    [over_ground] = seen("drop-clearance-over-ground")
    assert over_ground.see == "hangs 13 ft over residential drive; 12 ft or more"
    assert over_ground.standing == "as planned"
    [attachment] = seen("attachment-height")
    assert attachment.see.startswith("held ____ ft above grade")
    assert attachment.standing == "to be asked"


def test_what_a_rule_still_finds_is_marked():
    [rooms] = seen("afci-when-extended")
    # The range is a circuit of two poles, which asks for no arc-fault protection.
    assert (rooms.where, rooms.standing) == ("circuits.rooms", "to be asked")
    low = HOUSE.replace("lowest_over_ground_ft = 13", "lowest_over_ground_ft = 11")
    [over_ground] = [line for line in lines(low) if line.rule == "drop-clearance-over-ground"]
    assert over_ground.standing == "to be asked"


def test_an_edition_without_the_rule_has_no_line_for_it():
    old = lines(HOUSE.replace("NEC 2023", "NEC 2017"))
    assert not [line for line in old if line.rule in ("emergency-disconnect-label", "surge-protection-at-the-service")]
    rules = {rule.id: rule for rule in catalogue()}
    barrier = [line for line in old if line.rule == "line-side-barriers"]
    assert [line.section for line in barrier] == [section_of(rules["line-side-barriers"], load_edition("NEC 2017"))]


def test_without_a_proposal_the_house_as_found_is_walked():
    found = lines(HOUSE.partition("[proposal]")[0])
    assert not [line for line in found if line.where == "equipment.new-main"]
    assert [line.where for line in found if line.rule == "bond-at-the-service"] == ["equipment.panel"]


def test_what_the_place_asks_comes_last_with_who_said_so():
    overlay = read_overlay(EXAMPLES / "overlays" / "quill-valley.toml")
    edition = load_edition("NEC 2023", overlays=[overlay])
    told = [line for line in lines(edition=edition) if line.stop == "What the place asks"]
    assert [line.place for line in told] == [entry.title for entry in overlay.entries]
    height = told[0]
    assert (height.rule, height.section) == ("local-meter-height", "Service book, part 4")
    assert "service book, read at the counter, 2026-03-02" in height.see
    assert height.standing == "to be asked"  # nobody measured it
    [pulled] = [line for line in told if line.rule == "local-who-pulls-the-meter"]
    assert pulled.standing == "to be asked"


def test_each_other_building_has_its_own_electrodes_and_neutral():
    told = [
        line for line in pre_inspection(plan(read_job(EXAMPLES / "bungalow.toml"))) if line.stop == "Other buildings"
    ]
    assert {line.rule for line in told} >= {"four-wires-to-a-building", "bond-once", "electrode-conductor-size"}


def test_every_kind_of_local_check_has_its_rule():
    assert set(LOCAL_RULES) == set(CHECKS)
    assert set(LOCAL_RULES.values()) <= {rule.id for rule in catalogue()}
