"""The device for one circuit: by wire and load, what is found today, exceptions by their names, grounds."""

from __future__ import annotations

import pytest

from .one import protection, wire, words

HEATER = {"kind": "water heater", "kw": 4.5}


# --- what is found -----------------------------------------------------------------------------------------------


def test_a_fuse_too_large_for_the_wire_is_what_you_find_today():
    answer = protection(wire("14 AWG", poles=1, ocpd="plug fuse", ocpd_a=30))
    assert (answer.found, answer.largest_a, answer.device.words) == ("too large", 15, "15 A 1-pole")
    assert "30 A fuse on 14 AWG copper: what you find today; 15 A is the most" in words(answer, "must be mended")


def test_a_device_is_never_made_larger_than_what_was_found():
    answer = protection(wire("10 AWG", ocpd_a=20))
    assert (answer.found, answer.largest_a, answer.device.rating_a) == ("suits", 30, 20)


def test_a_fuse_whose_size_depends_on_what_nobody_read():
    # 8 AWG copper: 40 A by 60 C, 50 A by 75 C (Table 310.16).
    answer = protection(wire("8 AWG", insulation=None, cable="EMT", ocpd_a=50))
    assert (answer.found, answer.device.rating_a) == ("perhaps too large", 40)


def test_what_cannot_be_read_is_asked():
    assert protection(wire(ocpd_a=None)).found == "not known"
    assert protection(wire(ocpd="none", ocpd_a=None)).found == "no device"


# --- loads that follow the wire's limit ------------------------------------------------------------------------------


def test_a_water_heater_on_12_awg_asks_new_wire():
    # 4,500 VA / 240 V x 1.25 = 23.4 A, next standard rating 25 A; 12 AWG takes 20 A (422.13, 240.4(D)).
    answer = protection(wire(ocpd_a=30), HEATER)
    assert (answer.largest_a, answer.device.rating_a, answer.least_a) == (None, None, 25)
    assert (answer.new_wire, answer.until_then_a) == (True, 20)
    assert "new wire" in words(answer, "must be mended")


def test_a_water_heater_bounds_its_own_device():
    # 18.75 A x 150 percent = 28.1 A, next standard rating 30 A, though 8 AWG would take 40 A (422.11(E)).
    answer = protection(wire("8 AWG", ocpd_a=40), HEATER)
    assert (answer.largest_a, answer.device.rating_a, answer.found) == (30, 30, "too large")
    # Up to 13.3 A: 20 A. 3,000 VA / 240 V = 12.5 A.
    assert protection(wire("8 AWG", ocpd_a=40), {"kind": "water heater", "kw": 3}).largest_a == 20


@pytest.mark.parametrize(("size", "ocpd_a", "rating_a"), [("10 AWG", 30, None), ("8 AWG", 40, 40), ("6 AWG", 50, 50)])
def test_a_range_of_12_kw_asks_40_a(size, ocpd_a, rating_a):
    # Demand 8 kW, 33.3 A; the circuit of a range from 8-3/4 kW is 40 A at least (210.19(A)(3), Table 220.55).
    answer = protection(wire(size, ocpd_a=ocpd_a), {"kind": "range", "kw": 12})
    assert (answer.device.rating_a, answer.least_a) == (rating_a, 40)


def test_a_dryer_asks_30_a():
    assert protection(wire("12 AWG", ocpd_a=20), {"kind": "dryer", "kw": 5}).new_wire
    assert protection(wire("10 AWG", ocpd_a=30), {"kind": "dryer", "kw": 5}).device.rating_a == 30


def test_continuous_load_and_space_heat_are_raised():
    # 2,400 VA / 120 V = 20 A x 1.25 = 25 A: too much for 12 AWG on 20 A, whatever the terminals.
    lights = {"kind": "lighting", "va": 2400, "volts": 120, "continuous": True}
    assert protection(wire(poles=1, ocpd_a=20), lights).new_wire
    assert protection(wire(poles=1, ocpd_a=20), {**lights, "continuous": False}).device.rating_a == 20
    # 4,000 VA / 240 V x 1.25 = 20.8 A: 25 A (424.4(B)).
    assert protection(wire("10 AWG", ocpd_a=None), {"kind": "electric heat", "kw": 4}).least_a == 25


def test_a_load_nobody_read_is_asked_about_and_refuses_nothing():
    answer = protection(wire(poles=1, ocpd_a=20), {"kind": "other", "volts": 120})
    assert (answer.device.rating_a, answer.least_a) == (20, None)
    assert "nameplate is not read" in words(answer, "must be asked")


def test_a_small_appliance_circuit_of_14_awg_says_so():
    answer = protection(wire("14 AWG", poles=1, purpose="small appliance", receptacles=True, ocpd_a=20))
    assert answer.device.rating_a == 15
    assert "small appliance circuit is of 20 A" in words(answer, "worth knowing")


# --- motors ----------------------------------------------------------------------------------------------------------
# 3 hp at 240 V: 17 A by Table 430.248; 5 hp: 28 A.

GRADER = {"kind": "motor", "hp": "3", "overload_protection": "starter"}


def test_a_motor_with_overload_protection_may_pass_the_wires_limit():
    # 17 A x 1.25 = 21.25 A: 10 AWG serves. Breaker 250 percent, 42.5 A, next standard rating 45 A (430.52).
    answer = protection(wire("10 AWG", ocpd="time-delay fuse", ocpd_a=30), GRADER)
    assert (answer.ordinary_a, answer.largest_a) == (30, 45)
    assert answer.exception is not None
    assert answer.exception.name == "motor"
    assert answer.worksheet.line("exception").result.section == "240.4(G)"
    assert "change of kind: 45 A is the most" in words(answer, "worth knowing")
    # What was found lets it start: 102 A is 3.4 times 30 A.
    assert (answer.device.rating_a, answer.start) == (30, "holds")


@pytest.mark.parametrize("seen", [None, "none", "fuses of the circuit"])
def test_without_overload_protection_the_wires_own_limit_binds(seen):
    answer = protection(wire("10 AWG", ocpd="time-delay fuse", ocpd_a=40), {**GRADER, "overload_protection": seen})
    assert (answer.largest_a, answer.exception) == (30, None)
    assert answer.overload == {None: "not known", "none": "missing"}.get(seen, "lost with the fuses")
    verdict = "must be asked" if seen is None else "must be mended"
    assert "overload" in words(answer, verdict)


def test_a_motors_breaker_is_raised_until_it_lets_the_motor_start():
    # 5 hp, 168 A at the start (Table 430.251(A)): on 30 A 5.6 times, on 35 A 4.8 x 1.5 past 6 times its rating.
    answer = protection(
        wire("8 AWG", ocpd_a=30), {"kind": "irrigation pump", "hp": "5", "overload_protection": "starter"}
    )
    assert answer.largest_a == 70
    assert (answer.device.rating_a, answer.start) == (45, "holds")


def test_a_motor_on_too_thin_a_wire_is_refused():
    # 5 hp asks 35 A: 10 AWG carries 30 A by 60 C, 35 A by 75 C; 12 AWG never does.
    pump = {"kind": "well pump", "hp": "5", "overload_protection": "starter"}
    thin = protection(wire("12 AWG", insulation="THWN", cable="EMT", ocpd_a=60), pump)
    assert (thin.largest_a, thin.new_wire, thin.until_then_a) == (None, True, 20)
    perhaps = protection(wire("10 AWG", insulation="THWN", cable="EMT", ocpd_a=60), pump)
    assert (perhaps.largest_a, perhaps.new_wire) == (None, False)


def test_several_motors_on_one_circuit():
    # 17 A x 1.25 + 8 A = 29.25 A (430.24). Device: 45 A and 8 A, 53 A, rounded down to 50 A (430.53).
    motors = (GRADER, {"kind": "motor", "hp": "1", "overload_protection": "built in"})
    answer = protection(wire("8 AWG", ocpd_a=60), *motors)
    assert answer.worksheet.line("carry").result.number == pytest.approx(29.25)
    assert (answer.largest_a, answer.device.rating_a) == (50, 50)
    assert answer.exception is not None
    assert answer.exception.name == "several motors"
    assert protection(wire("8 AWG", ocpd_a=60), motors[0], {**motors[1], "overload_protection": None}).largest_a == 40


def test_code_letter_and_nameplate_tell_the_start():
    # Code letter G, 3 hp: 6.29 x 3,000 / 240 = 78.6 A (Table 430.7(B)).
    lettered = protection(wire("10 AWG", ocpd_a=30), {**GRADER, "code_letter": "G"})
    assert lettered.worksheet.line("locked_rotor").result.number == pytest.approx(78.6, abs=0.1)
    plate = protection(wire("10 AWG", ocpd_a=30), {**GRADER, "lra_a": 60, "code_letter": "G"})
    assert plate.worksheet.line("locked_rotor").result.number == 60


# --- cooling equipment, welders ------------------------------------------------------------------------------------


def test_cooling_equipment_follows_its_nameplate():
    unit = {"kind": "air conditioner", "mca_a": 22, "mocp_a": 35, "nameplate_device": "fuse or breaker"}
    answer = protection(wire("10 AWG", ocpd_a=40), unit)
    assert (answer.ordinary_a, answer.largest_a, answer.device.rating_a, answer.found) == (30, 35, 35, "too large")
    assert answer.exception is not None
    assert "nameplate" in answer.exception.name
    assert protection(wire("12 AWG", ocpd_a=30), unit).new_wire is True


def test_a_fuse_only_nameplate_refuses_a_plain_breaker():
    unit = {"kind": "air conditioner", "mca_a": 22, "mocp_a": 35, "nameplate_device": "fuse only"}
    answer = protection(wire("10 AWG", ocpd="time-delay fuse", ocpd_a=35), unit)
    assert (answer.device.kind, answer.device.rating_a, answer.device.in_the_panel_a) == ("fuse kept", 35, 30)
    assert "refused" in words(answer, "worth knowing")
    unread = protection(wire("10 AWG", ocpd_a=35), {**unit, "nameplate_device": None})
    assert "fuses alone" in words(unread, "must be asked")


def test_a_welder_may_pass_the_wires_limit_twice():
    # 50 A at 20 percent: motor-generator column 0.55, 27.5 A; device 200 percent: of 50 A 100 A, of 30 A wire 60 A.
    answer = protection(wire("10 AWG", ocpd_a=50), {"kind": "welder", "current_a": 50, "duty_percent": 20})
    assert (answer.ordinary_a, answer.largest_a, answer.device.rating_a) == (30, 60, 50)
    assert protection(wire("10 AWG", ocpd_a=50), {"kind": "welder", "current_a": 50}).new_wire


# --- equipment ground ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fields", "serves"),
    [
        ({"ground": "bare wire"}, True),
        ({"ground": "armor", "cable": "armored cable"}, None),
        ({"ground": "sheath that is not a ground"}, False),
        ({"ground": "none"}, False),
        ({"ground": None}, None),
        ({"ground": None, "cable": "knob-and-tube"}, False),
        ({"ground": "raceway", "cable": "EMT"}, True),
        ({"ground": "raceway", "cable": "PVC 40"}, False),
        ({"ground": "raceway", "cable": "FMC"}, None),
    ],
)
def test_what_counts_as_a_ground(fields, serves):
    answer = protection(wire(poles=1, ocpd_a=20, **{"receptacles": True, "purpose": "general", **fields}))
    assert answer.ground.serves is serves
    assert bool(answer.ground.receptacles) is (serves is not True)


def test_a_range_on_its_neutral_is_left_to_its_own_rule():
    answer = protection(wire("8 AWG", ocpd_a=40, ground="none", frame_grounded_by_neutral=True))
    assert "250.140" in answer.ground.section


# --- the worksheet -------------------------------------------------------------------------------------------------


def test_every_line_has_a_section_and_the_answers_stand_in_it():
    answer = protection(wire("10 AWG", ocpd_a=30), GRADER)
    assert [line.what for line in answer.worksheet.lines if not line.result.section] == []
    assert answer.worksheet.line("largest").result.number == answer.largest_a
    assert answer.worksheet.line("device").result.value == answer.device.words
    assert answer.worksheet.line("ampacity").result.number == answer.ampacity_a


# --- what is out of the way ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "load",
    [
        {"kind": "welder", "current_a": 90_000},
        {"kind": "electric heat", "kw": 9_000},
        {"kind": "motor", "hp": "5", "count": 500, "overload_protection": "starter"},
        {"kind": "air conditioner", "mca_a": 9_000, "mocp_a": 9_000},
        {"kind": "motor", "hp": "9000"},
    ],
)
def test_a_nameplate_past_every_table_is_refused_or_asked_and_stops_nothing(load):
    answer = protection(wire("10 AWG", ocpd_a=30), load)
    assert answer.largest_a is None or answer.largest_a <= 30


def test_a_motor_of_unknown_voltage_rests_on_no_exception():
    motor = {"kind": "motor", "hp": "3", "volts": None, "overload_protection": "starter"}
    assert protection(wire("10 AWG", poles=None, ocpd_a=40), motor).largest_a == 30
    assert protection(wire("10 AWG", poles=2, ocpd_a=40), motor).largest_a == 45


def test_a_load_of_unknown_voltage_is_taken_on_one_line():
    # 3,000 VA / 120 V = 25 A, where 240 V would make it 12.5 A.
    load = {"kind": "other appliance", "va": 3000, "volts": None, "continuous": False}
    assert protection(wire("10 AWG", poles=None, ocpd_a=30), load).least_a == 25


def test_a_breaker_ahead_of_kept_fuses_carries_the_load_or_is_not_proposed():
    unit = {"kind": "air conditioner", "mca_a": 32, "mocp_a": 45, "nameplate_device": "fuse only"}
    kept = protection(wire("8 AWG", ocpd="time-delay fuse", ocpd_a=45), unit)
    assert (kept.device.rating_a, kept.device.in_the_panel_a) == (45, 40)


def test_a_sheath_that_is_no_ground_says_what_follows_in_the_panel_and_at_receptacles():
    sheathed = wire("14 AWG", poles=1, ocpd_a=15, ground="sheath that is not a ground", receptacles=True)
    answer = protection(sheathed)
    assert answer.ground.serves is False
    (told,) = (remark.words for remark in answer.remarks if remark.words.startswith("no equipment ground"))
    assert "its sheath is cut back and clamped, and is no ground" in told
    assert "two-slot receptacles" in told
