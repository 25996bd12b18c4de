"""What becomes of old switches: the rule that decides, what survives, and that proposals and this reading agree."""

from pathlib import Path

import pytest

import driploop
from driploop.circuits.old_disconnects_results import STAYING
from driploop.editions import edition_names
from rules.build import installation, readings_of

HOUSE = """
buildings = {{ house = {{ use = "dwelling" }}, barn = {{ use = "agricultural" }} }}
runs.service = {{ from = "utility", to = "panel" }}
equipment.panel = {{ kind = "panel", building = "house" }}
runs.old = {{ from = "panel", to = "switch" }}
equipment.switch = {{ kind = "disconnect", building = "house", {switch} }}
circuits.one = {{ from = "switch", serves = "the load", poles = 2, wire_size = "10 AWG", {circuit} }}
loads.one = {{ circuit = "one", {load} }}
"""
AFTER = """
buildings = { house = { use = "dwelling" }, barn = { use = "agricultural" } }
runs.service = { from = "utility", to = "panel" }
equipment.panel = { kind = "panel", building = "house", is_new = true }
circuits.one = { from = "panel", serves = "the load", poles = 2, wire_size = "10 AWG", %s }
loads.one = { circuit = "one", %s }
"""
MOTOR = 'kind = "motor", hp = "2", volts = 240'
HEATER = 'kind = "water heater", kw = 4.5, volts = 240'
COOLING = 'kind = "air conditioner", volts = 240'


def switch(load=MOTOR, switch="", circuit="", edition="NEC 2023"):
    read = readings_of(installation(HOUSE.format(switch=switch, circuit=circuit, load=load)), edition)
    return next(each for each in read.old_disconnects if each.id == "switch")


def after(load=MOTOR, circuit="extend_ft = 0", **found):
    before = installation(HOUSE.format(switch=found.get("switch", ""), circuit="", load=load))
    read = readings_of(installation(AFTER % (circuit, load)), "NEC 2023", found=before)
    return next(each for each in read.old_disconnects if each.id == "switch")


# Sections as the editions print them; the three rules did not move between 2017 and 2026.
@pytest.mark.parametrize("edition", edition_names())
@pytest.mark.parametrize(("load", "section"), [(MOTOR, "430.102"), (COOLING, "440.14"), (HEATER, "422.31")])
def test_a_switch_that_may_be_in_sight_is_kept_and_asked_about(load, section, edition):
    answer = switch(load, edition=edition)
    assert (answer.outcome, answer.section) == ("keep as the disconnect in sight", section)
    assert [each.where for each in answer.assumptions] == ["equipment.switch.in_sight_of"]
    assert not answer.wrong


@pytest.mark.parametrize("load", [MOTOR, COOLING, HEATER])
def test_what_the_survey_saw_settles_it(load):
    seen = switch(load, 'in_sight_of = ["one"]')
    assert (seen.outcome, seen.assumptions) == ("keep as the disconnect in sight", ())
    unseen = switch(load, 'in_sight_of = "none", fate = "remove"')
    assert (unseen.outcome, unseen.wrong) == ("remove", "")


def test_only_an_appliance_does_with_a_breaker_that_locks():
    assert switch(HEATER).instead == "replace by a breaker that locks open"
    assert switch(MOTOR).instead == switch(COOLING).instead == ""
    assert "unfused" in switch(MOTOR, 'main = "fuses"').instead


@pytest.mark.parametrize(
    "load",
    [
        MOTOR + ", receptacle_supplied = true",
        'kind = "lighting", va = 900',
        'kind = "disposer", va = 250',  # 300 VA and less: 422.31
        MOTOR + ", disconnect_in_sight = false",
    ],
)
def test_loads_that_ask_for_no_switch_here(load):
    assert switch(load, 'fate = "remove"').outcome == "remove"


@pytest.mark.parametrize("fate", ["remove", "abandon", "convert to junction box"])
def test_a_decision_against_a_rule_must_be_mended(fate):
    answer = switch(MOTOR, f'in_sight_of = ["one"], fate = "{fate}"')
    assert answer.outcome in STAYING
    assert answer.must_mend
    assert fate in answer.wrong
    assert "in_sight_of" in answer.do


def test_a_decision_that_may_be_against_a_rule_is_asked_about():
    answer = switch(MOTOR, 'fate = "remove"')
    assert answer.outcome in STAYING
    assert answer.fault
    assert not answer.must_mend


def test_a_breaker_that_locks_serves_an_appliance_seldom_a_motor_never_a_cooling_unit():
    fate = 'in_sight_of = ["one"], fate = "replace by a lockable breaker"'
    heater = switch(HEATER, fate)
    assert (heater.outcome, heater.section) == ("replace by a breaker that locks open", "422.31(B), 110.25")
    assert not heater.fault
    motor = switch(MOTOR, fate)
    assert (motor.outcome, motor.section) == ("replace by a breaker that locks open", "430.102")
    assert motor.fault
    assert not motor.must_mend
    assert len(motor.readings) == 2
    cooling = switch(COOLING, fate)
    assert cooling.outcome == "keep as the disconnect in sight"
    assert cooling.must_mend


def test_an_abandoned_switch_comes_down():
    answer = switch(MOTOR, 'in_sight_of = "none", fate = "abandon"')
    assert (answer.outcome, answer.fault, answer.must_mend) == ("remove", "left hanging", True)


def test_what_a_proposal_leaves_over():
    gone = after(switch='in_sight_of = "none"')
    assert gone.outcome == "remove"
    lost = after(switch='in_sight_of = ["one"]')
    assert (lost.outcome, lost.must_mend) == ("keep as the disconnect in sight", True)
    box = after(circuit="extend_ft = 3", switch='in_sight_of = "none"')
    assert box.outcome == "convert to junction box"
    assert box.readings


# 10 AWG: 2.5 in3 each (Table 314.16(B)). Two lines, neutral not denied: 3 wires in and 3 out = 15.0; clamps 2.5; two
# grounds as one 2.5: 20.0 in3 in all. 6 x 8 x 4 in is 192 in3.
def test_the_box_fill_of_an_old_enclosure_by_hand():
    sides = ", inside_width_in = 6, inside_height_in = 8, inside_depth_in = 4"
    answer = after(circuit="extend_ft = 3", switch='in_sight_of = "none"' + sides)
    room, splices = answer.rooms
    assert room.worksheet.line("used").result.value == 20.0
    assert room.worksheet.line("left").result.value == 172.0
    assert (room.enough, answer.fault) == (True, "")
    # The splices cross the narrower side: 6 x 4 = 24 in2, of which wires fill 40 percent at most and splices 75. Wire
    # of unknown insulation is taken as the thickest of its size, 0.0437 in2 for 10 AWG (Chapter 9, Table 5): six wires
    # 0.2622, three splices of two such wires each as much again.
    assert splices.worksheet.line("space").result.value == 24.0
    assert splices.worksheet.line("enclosure_conductors_percent").result.value == pytest.approx(9.6)
    assert splices.worksheet.line("enclosure_splices_percent").result.value == pytest.approx(18.0)
    assert splices.worksheet.line("wires").result.value == pytest.approx(0.2622)
    assert splices.worksheet.line("wires_and_splices").result.value == pytest.approx(0.5244)
    assert splices.enough is True


def test_an_old_enclosure_too_narrow_for_its_splices_is_no_box_for_them():
    # 314.16 asks 20.0 in3, and 0.5 x 60 x 0.8 in is 24. Across it, 0.5 x 0.8 = 0.4 in2: 75 percent, 0.3, is less than
    # the 0.5244 in2 of wires and splices.
    sides = ", inside_width_in = 0.5, inside_height_in = 60, inside_depth_in = 0.8"
    answer = after(circuit="extend_ft = 3", switch='in_sight_of = "none"' + sides)
    assert [room.enough for room in answer.rooms] == [True, False]
    assert (answer.fault, answer.must_mend) == ("no room", True)


def test_an_old_fuse_box_beside_the_new_panel_holds_the_splices_of_its_circuits():
    """The new panel takes over the old one's name; the old enclosure stays beside it as a box."""
    sides = 'fate = "convert to junction box", inside_width_in = 6, inside_height_in = 8, inside_depth_in = 4'
    before = installation(f"""
buildings.house = {{ use = "dwelling" }}
runs.service = {{ from = "utility", to = "box", owner = "utility" }}
equipment.box = {{ kind = "panel", building = "house", {sides} }}
circuits.one = {{ from = "box", serves = "the load", poles = 2, wire_size = "10 AWG" }}
""")
    for length_ft, rooms in ((3, [True, True]), (0, [])):
        beside = installation(f"""
buildings.house = {{ use = "dwelling" }}
runs.service = {{ from = "utility", to = "box", owner = "utility" }}
equipment.box = {{ kind = "panel", building = "house", is_new = true }}
circuits.one = {{ from = "box", serves = "the load", poles = 2, wire_size = "10 AWG", extend_ft = {length_ft} }}
""")
        (answer,) = readings_of(beside, "NEC 2023", found=before).old_disconnects
        assert answer.outcome == "convert to junction box"
        assert [room.enough for room in answer.rooms] == rooms


def test_a_box_whose_sides_nobody_measured_asks_for_them():
    answer = after(circuit="extend_ft = 3", switch='in_sight_of = "none", inside_width_in = 6')
    asked = {each.where for each in answer.assumptions}
    assert "equipment.switch.inside_height_in" in asked
    assert "equipment.switch.wiring_space_in" not in asked


FEEDER = """
buildings = {{ house = {{ use = "dwelling" }}, barn = {{ use = "agricultural" }} }}
runs = {{ service = {{ from = "utility", to = "panel" }}, feeder = {{ from = "panel", to = "barn-box", wires = 4 }} }}
equipment.panel = {{ kind = "panel", building = "house" }}
equipment.barn-box = {{ kind = "panel", building = "barn", branch_protection = "plug fuses", {box} }}
circuits.one = {{ from = "barn-box" }}
"""


def test_a_building_keeps_its_disconnect():
    def box(fields):
        read = readings_of(installation(FEEDER.format(box=fields)), "NEC 2023")
        return next(each for each in read.old_disconnects if each.id == "barn-box")

    kept = box("")
    assert (kept.outcome, kept.section) == ("keep as the building's disconnect", "225.31, 225.32")
    assert box('fate = "remove"').must_mend
    assert box('fate = "replace"').outcome == "replace"


# --- proposals agree -----------------------------------------------------------------------------------------------

ROOT = Path(__file__).resolve().parents[2]
FILES = sorted([*(ROOT / "examples").glob("*.toml"), *(ROOT / "tests" / "cases").glob("*.toml")])
JOBS = [path for path in FILES if "\n[proposal]" in path.read_text(encoding="utf-8")]


def plan_of(path):
    job, _, _ = path.read_text(encoding="utf-8").partition("\n[expected")
    return driploop.plan(driploop.read_job_text(job + "\n", name=path.name))


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_what_a_proposal_builds_and_this_reading_agree(path):
    plan = plan_of(path)
    assert plan.proposed is not None
    read, graph = plan.proposed, plan.proposed.graph
    standing = read.installation.equipment
    for each in read.old_disconnects:
        if each.outcome in ("remove", "replace by a breaker that locks open"):
            hangs = standing.get(each.id) is not None and (graph.circuits_of(each.id) or graph.runs_out.get(each.id))
            assert not hangs, each
        elif each.outcome != "convert to junction box" and not each.wrong:
            assert each.id in standing, each


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_no_required_disconnect_is_lost_in_silence(path):
    plan = plan_of(path)
    assert plan.proposed is not None
    said = {finding.where for finding in plan.proposed_findings if finding.rule == "required-disconnect-stays"}
    for each in plan.proposed.old_disconnects:
        if each.required_for and each.id not in plan.proposed.installation.equipment:
            assert each.where in said, each
