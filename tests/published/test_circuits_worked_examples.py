"""Worked examples of circuits and their devices, as published: motors, cooling equipment, welders, water heaters.

Each test names the document, its edition and where it was read. Examples of older editions run under NEC 2017 or 2020,
whose values for them are the same.
"""

from __future__ import annotations

import pytest

from circuits.one import protection, wire
from driploop.circuits import Wire, wire_limit
from driploop.circuits.machines import welder_share
from driploop.circuits.motor_circuit import full_load_current, motor_device
from driploop.conductors import (
    device_for_conductor,
    motor_branch_device,
    motor_conductor_current,
    motor_feeder_current,
    motor_feeder_device,
)
from driploop.editions import load_edition

NEC_2017 = load_edition("NEC 2017")
NEC_2020 = load_edition("NEC 2020")


# --- motors --------------------------------------------------------------------------------------------------------


def test_annex_d_example_d8():
    """NFPA 70, Informative Annex D, Example D8 (one 25 hp squirrel-cage and two 30 hp wound-rotor motors, 460 V,
    three-phase, nontime-delay fuses); answers from memory of the printed example."""
    squirrel = full_load_current("25", volts=460, phase=3, edition=NEC_2020)
    wound = full_load_current("30", volts=460, phase=3, edition=NEC_2020)
    assert squirrel is not None
    assert wound is not None
    assert (squirrel.number, wound.number) == (34, 40)
    assert motor_conductor_current(34, edition=NEC_2020).number == pytest.approx(42.5)
    assert motor_conductor_current(40, edition=NEC_2020).number == pytest.approx(50)
    fuse = motor_device(34, kind="nontime_delay_fuse", three_phase=True, edition=NEC_2020)
    assert fuse.usual.number == 110
    of_wound = motor_branch_device(40, kind="nontime_delay_fuse", motor_type="wound-rotor", edition=NEC_2020)
    assert of_wound.number == 60
    assert motor_feeder_current([34, 40, 40], edition=NEC_2020).number == pytest.approx(124)
    assert motor_feeder_device(110, [40, 40], fuse=True, edition=NEC_2020).number == 175


def test_1_hp_at_115_v():
    """EC&M Code Basics, Motor Calculations Part 2, 22 Aug 2019, edition 2017: 12 AWG by 60 C, breaker 40 A.

    https://ecmweb.com/national-electrical-code/code-basics/article/20904830/motor-calculations-part-2
    """
    motor = {"kind": "motor", "hp": "1", "volts": 115, "overload_protection": "built in"}
    answer = protection(wire("12 AWG", poles=1, ocpd_a=40), motor, edition=NEC_2017)
    assert answer.worksheet.line("carry").result.number == 20
    assert answer.largest_a == 40
    assert protection(wire("14 AWG", poles=1, ocpd_a=15), motor, edition=NEC_2017).new_wire


def test_5_hp_three_phase():
    """Motor installation final review, edition 2008 or later: 15.2 A x 250 percent = 38 A, breaker 40 A.

    https://jeopardylabs.com/print/motor-install-final-review
    """
    assert motor_device(15.2, three_phase=True, edition=NEC_2020).usual.number == 40


@pytest.mark.parametrize(("full_load_a", "most_a"), [(28, 110), (120, 350)])
def test_the_ceiling_where_a_motor_does_not_start(full_load_a, most_a):
    """Published FAQ FA87877 on 430.52: inverse-time breaker to 400 percent up to 100 A, 300 percent above.

    https://www.schneider-electric.us/en/faqs/FA87877/ ; 28 A x 4 = 112 A, 120 A x 3 = 360 A, rounded down.
    """
    assert motor_device(full_load_a, three_phase=True, edition=NEC_2020).ceiling.number == most_a


# --- cooling equipment -----------------------------------------------------------------------------------------------


def test_an_air_conditioner_marked_44_a_and_60_a():
    """EC&M Code Q&A 42: terminals 75 C, 8 AWG of 50 A serves, behind 60 A. http://ecmweb.com/print/nec/code-qa-42"""
    limit = wire_limit(Wire("8 AWG", insulation="THWN", cable="EMT", panel_c=75, far_end_c=75), edition=NEC_2017)
    assert limit is not None
    assert limit.usable_a == 50
    unit = {"kind": "air conditioner", "mca_a": 44, "mocp_a": 60, "nameplate_device": "fuse or breaker"}
    answer = protection(wire("6 AWG", ocpd_a=60), unit, edition=NEC_2017)
    assert (answer.largest_a, answer.device.rating_a) == (60, 60)
    # The same 8 AWG where nobody read the unit's terminals: to be asked, not condemned.
    asked = protection(wire("8 AWG", insulation="THWN", cable="EMT", ocpd_a=60), unit, edition=NEC_2017)
    assert (asked.largest_a, asked.new_wire) == (None, False)


def test_a_unit_marked_22_a_and_35_a_on_10_awg():
    """Electricians' forum, 12 Jul 2002: least circuit ampacity 22 A, device 35 A at most; 10 AWG serves.

    http://www.electrical-contractor.net/forums/ubbthreads.php?ubb=showflat&Number=81119
    """
    unit = {"kind": "air conditioner", "mca_a": 22, "mocp_a": 35, "nameplate_device": "fuse or breaker"}
    answer = protection(wire("10 AWG", ocpd_a=35), unit)
    assert (answer.ordinary_a, answer.largest_a, answer.found) == (30, 35, "suits")


def test_a_hermetic_compressor_of_40_a():
    """EC&M code quiz 33, edition 2005: branch-circuit selection current 40 A x 175 percent = 70 A.

    http://ecmweb.com/print/nec/code-quiz-33
    """
    unit = {"kind": "refrigeration", "rla_a": 40, "nameplate_device": "fuse or breaker"}
    answer = protection(wire("4 AWG", ocpd_a=None), unit)
    assert answer.worksheet.line("most_device").result.number == 70
    assert answer.worksheet.line("carry").result.number == 50


# --- welders, water heaters ------------------------------------------------------------------------------------------


def test_a_welder_of_40_a_at_half_duty():
    """EC&M Code Q&A 45: 40 A x 0.71 = 28.4 A. http://ecmweb.com/print/qampa/code-qa-45"""
    assert 40 * welder_share(50, edition=NEC_2017).number == pytest.approx(28.4)


def test_a_welder_of_50_a_on_10_awg_behind_50_a():
    """Forum thread on 630.12: 50 A at 20 percent, 22.5 A, 10 AWG by 60 C; 50 A device lawful.

    https://forums.mikeholt.com/threads/630-12-over-current-protection-for-welders.2559497
    """
    assert 50 * welder_share(20, edition=NEC_2020).number == pytest.approx(22.5)
    answer = protection(wire("10 AWG", ocpd_a=50), {"kind": "welder", "current_a": 50, "duty_percent": 20})
    assert (answer.found, answer.device.rating_a) == ("suits", 50)


@pytest.mark.parametrize(
    ("watts", "carry_a", "least_a", "most_a"),
    [
        # http://www.ezdiyelectricity.com/national-electrical-code/water-heater-overcurrent-protection/ (27 Nov 2005)
        (4500, 23.4, 25, 30),
        # https://forums.mikeholt.com/threads/water-heater.2553027 (edition 2014; 22.9 A, 34.5 A, 35 A; 28.75 A, 30 A)
        (5500, 28.6, 30, 35),
    ],
)
def test_water_heaters(watts, carry_a, least_a, most_a):
    """Answers of an electrician's column and of a forum thread, as named beside each row."""
    answer = protection(wire("6 AWG", ocpd_a=None), {"kind": "water heater", "va": watts}, edition=NEC_2017)
    assert answer.worksheet.line("load").result.number == pytest.approx(carry_a, abs=0.05)
    assert answer.least_a == least_a
    assert answer.largest_a == most_a


def test_12_awg_does_not_serve_a_4500_w_water_heater_behind_30_a():
    """Forum thread: 240.4(D) limits 12 AWG to 20 A here. https://forums.mikeholt.com/threads/6192"""
    answer = protection(wire("12 AWG", ocpd_a=30), {"kind": "water heater", "va": 4500})
    assert (answer.ordinary_a, answer.new_wire, answer.found) == (20, True, "too large")


# --- ampacity with corrections ---------------------------------------------------------------------------------------


def test_12_awg_thhn_in_nm_cable_in_an_attic_of_110_f():
    """Practice question discussed on an inspectors' forum, IRC E3605 (2003 to 2006): 30 A x 0.87 = 26.1 A.

    http://www.inspectionnews.net/home_inspection/electrical-systems-home-inspection-and-commercial-inspection/
    7193-conductor-ampacity.html ; the cable's 60 C column, 20 A, binds the breaker.
    """
    attic = Wire("12 AWG", insulation="THHN", cable="NM cable", ambient_c=(110 - 32) / 1.8, panel_c=75)
    limit = wire_limit(attic, edition=NEC_2020)
    assert limit is not None
    assert limit.found.corrected_a == pytest.approx(26.1)
    assert (limit.usable_a, limit.ordinary.number) == (20, 20)


def test_nine_12_awg_thhn():
    """EC&M Code Q&A on 110.14(C), editions 2005 to 2008: 21 A, 20 A. http://ecmweb.com/print/qampa/code-qa-84?page=2"""
    nine = wire_limit(Wire("12 AWG", insulation="THHN", cable="EMT", current_carrying=9), edition=NEC_2020)
    assert nine is not None
    assert nine.found.corrected_a == pytest.approx(21)
    assert nine.ordinary.number == device_for_conductor("12 AWG", "copper", 21, edition=NEC_2020).number == 20
