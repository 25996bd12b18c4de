"""Old switches: what may not be thrown away, what may not be left hanging, what is spliced where."""

from .build import installation, says, verdicts

MEND, ASK = "must be mended", "must be asked"

PUMP = """
buildings = {{ house = {{ use = "dwelling" }}, shed = {{ use = "pump house" }} }}
runs = {{ service = {{ from = "utility", to = "panel" }}, old = {{ from = "panel", to = "switch" }} }}
equipment.panel = {{ kind = "panel", building = "house" }}
equipment.switch = {{ kind = "disconnect", building = "house", {switch} }}
circuits.pump = {{ from = "switch", poles = 2, wire_size = "12", {circuit} }}
loads.pump = {{ kind = "well pump", circuit = "pump", hp = "1", volts = 240, {load} }}
"""


def pump(switch="", circuit="", load=""):
    return PUMP.format(switch=switch, circuit=circuit, load=load)


def test_required_disconnect_stays_passes():
    assert verdicts("required-disconnect-stays", pump('fate = "keep", in_sight_of = ["pump"]')) == []
    assert verdicts("required-disconnect-stays", pump('fate = "remove", in_sight_of = "none"')) == []
    # Somebody said that no switch is in sight of the pump: then this is not its disconnect either.
    gone = pump('fate = "remove"', load="disconnect_in_sight = false")
    assert verdicts("required-disconnect-stays", gone) == []


def test_required_disconnect_stays_fails():
    assert verdicts("required-disconnect-stays", pump('fate = "remove", in_sight_of = ["pump"]')) == [MEND]
    assert verdicts("required-disconnect-stays", pump('fate = "abandon", in_sight_of = ["pump"]')) == [MEND]
    box = 'fate = "convert to junction box", in_sight_of = ["pump"]'
    assert verdicts("required-disconnect-stays", pump(box)) == [MEND]
    # Nobody said whether it is seen from the pump: it may be.
    assert verdicts("required-disconnect-stays", pump('fate = "remove"')) == [ASK]


def test_the_finding_names_the_section_of_what_hangs_on_it():
    (motor,) = says("required-disconnect-stays", pump('fate = "remove", in_sight_of = ["pump"]'))
    assert motor.section == "430.102"
    cooling = pump('fate = "remove", in_sight_of = ["pump"]').replace('"well pump"', '"air conditioner"')
    assert [found.section for found in says("required-disconnect-stays", cooling)] == ["440.14"]


AFTER = """
buildings = { house = { use = "dwelling" }, shed = { use = "pump house" } }
runs.service = { from = "utility", to = "panel" }
equipment.panel = { kind = "panel", building = "house", is_new = true }
circuits.pump = { from = "panel", poles = 2, wire_size = "12" }
loads.pump = { kind = "well pump", circuit = "pump", hp = "1", volts = 240 }
"""
NEW_SWITCH = """
runs.new = { from = "panel", to = "new" }
equipment.new = { kind = "disconnect", building = "house", in_sight_of = ["pump"], is_new = true }
"""


def test_a_proposal_that_takes_the_switch_away_is_found_out():
    found = installation(pump('in_sight_of = ["pump"]'))
    assert verdicts("required-disconnect-stays", installation(AFTER), found=found) == [MEND]
    # A new switch in sight of the pump serves instead.
    assert verdicts("required-disconnect-stays", installation(AFTER + NEW_SWITCH), found=found) == []


def test_a_switch_that_is_renewed_elsewhere_is_no_longer_in_sight():
    found = installation(pump('in_sight_of = ["pump"], location = "in the shed"'))
    moved = installation(pump('in_sight_of = ["pump"], location = "on the porch", is_new = true'))
    same = installation(pump('in_sight_of = ["pump"], location = "in the shed", is_new = true'))
    assert verdicts("required-disconnect-stays", moved, found=found) == [MEND]
    assert verdicts("required-disconnect-stays", same, found=found) == []


def test_no_switch_left_hanging_passes():
    assert verdicts("no-switch-left-hanging", pump('fate = "remove", in_sight_of = "none"')) == []


def test_no_switch_left_hanging_fails():
    assert verdicts("no-switch-left-hanging", pump('fate = "abandon", in_sight_of = "none"')) == [MEND]


# Two lines of 12 AWG in and out, no neutral: 4 x 2.25; clamps 2.25; two grounds as one 2.25: 13.5 in3.
# The box holds 6 x 4 x 3 = 72 in3.
BOX = 'fate = "convert to junction box", in_sight_of = "none", inside_height_in = 6, inside_depth_in = 3, '


def test_old_enclosure_has_room_passes():
    assert verdicts("old-enclosure-has-room", pump(BOX + "inside_width_in = 4", 'neutral = "none"')) == []


def test_old_enclosure_has_room_fails():
    small = pump(BOX + "inside_width_in = 0.7", 'neutral = "none"')  # 12.6 in3
    assert verdicts("old-enclosure-has-room", small) == [MEND]
    assert verdicts("old-enclosure-has-room", pump(BOX, 'neutral = "none"')) == [ASK]
    unread = pump(BOX + "inside_width_in = 4").replace('wire_size = "12", ', "")
    assert verdicts("old-enclosure-has-room", unread) == [ASK]


def test_fuses_taken_out_leave_overload_protection_passes():
    lamp = pump('fate = "convert to unfused"').replace('hp = "1"', "va = 400").replace("well pump", "lighting")
    assert verdicts("fuses-taken-out-leave-overload-protection", lamp) == []
    assert verdicts("fuses-taken-out-leave-overload-protection", pump('fate = "keep"')) == []


def test_fuses_taken_out_leave_overload_protection_fails():
    assert verdicts("fuses-taken-out-leave-overload-protection", pump('fate = "convert to unfused"')) == [ASK]
