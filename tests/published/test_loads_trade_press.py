"""Worked load examples of the trade press and of teaching pages; document, edition and address beside each.

Examples of older books run under an edition whose values are the same, as said beside each.
"""

from __future__ import annotations

import pytest

from driploop.editions import Edition, load_edition
from driploop.loads import (
    Appliance,
    BuildingInputs,
    ConnectedLoad,
    CookingUnit,
    DwellingInputs,
    HeatUnit,
    building_load,
    existing_dwelling,
    farm_total,
    locked_rotor_current,
    motor_current,
    motor_va,
    motors_current,
    optional_dwelling,
    standard_dwelling,
    two_dwellings,
)
from driploop.loads.appliances import appliance_load
from driploop.loads.cooking import column_c, one_circuit_units
from driploop.loads.inputs import CoolingUnit, HeatPump, together
from driploop.loads.multifamily import units_demand
from driploop.worksheet import WorksheetWriter

NEC_2017, NEC_2020, NEC_2023 = (load_edition(name) for name in ("NEC 2017", "NEC 2020", "NEC 2023"))
every_known = pytest.mark.parametrize("edition", [NEC_2017, NEC_2020, NEC_2023], ids=lambda edition: edition.name)


def value(worksheet, key: str) -> float:
    return worksheet.line(key).result.number


def blank() -> WorksheetWriter:
    return WorksheetWriter("load/test/x", "")


# --- cooking -----------------------------------------------------------------------------------------------------


@every_known
def test_one_14_kw_range(edition: Edition) -> None:
    # Electrical Exam Seminars, solved question; Table 220.55 numbering (2005 or later).
    # https://electricalexamseminars.com/?p=6711
    assert column_c([14], edition=edition).number == pytest.approx(8.8)


@every_known
def test_cooktop_and_two_ovens_on_one_circuit(edition: Edition) -> None:
    # Question text of a trade forum (2014-2017), note 4: 8 + 6 + 6 kW as one range of 20 kW, 11.2 kW, 47 A at 240 V.
    # https://www.venkatsacademy.com/2016/09/earth-magnetic-field-and-bar-magnet.html (a mirror page)
    demand = one_circuit_units(8, [6, 6], edition=edition)
    assert demand.number == pytest.approx(11.2)
    assert round(demand.number * 1000 / 240) == 47


@every_known
def test_ranges_of_14_and_18_kw(edition: Edition) -> None:
    # DakotaPrep, free exam question 3 (2017-2023), note 2: average 16 kW, 11 kW raised by 20 percent.
    # https://dakotaprep.com/exam-questions/exam-question-3
    assert column_c([14, 18], edition=edition).number == pytest.approx(13.2)


# --- dwellings ---------------------------------------------------------------------------------------------------


@every_known
def test_four_fastened_appliances(edition: Edition) -> None:
    # DakotaPrep, free exam question 4 (2017-2023): 8,827 VA at 75 percent; the disposer by the motor table at 115 V.
    # https://dakotaprep.com/exam-questions/exam-question-4
    disposer = motor_va("1/2", volts=115, edition=edition).number
    assert disposer == pytest.approx(1127)
    inputs = DwellingInputs(
        appliances=(
            Appliance(name="water heater", va=4500),
            Appliance(name="dishwasher", va=1200),
            Appliance(name="disposer", va=disposer, hp=0.5, motor=True),
            Appliance(name="hood", va=2000),
        )
    )
    assert appliance_load(inputs, sheet=blank(), edition=edition).va == pytest.approx(6620.25, abs=0.01)


@every_known
def test_2800_ft2_house_lighting_and_appliances(edition: Edition) -> None:
    # Residential load worksheet, a student's copy (2008-2017 numbering): 35 x 80 ft; 12,900 VA, 6,465 after demand;
    # four appliances at 75 percent: 900, 774, 720 and 845.25 VA. That the furnace motor counts among them is that
    # sheet's reading; this program's own reading of a survey takes it with the heating.
    # https://www.coursehero.com/file/46301068/Blank-Residential-Load-Calcxlsx/
    fastened = tuple(
        Appliance(name=name, va=va, line_to_neutral=True)
        for name, va in (
            ("warming drawer", 120 * 10),
            ("dishwasher", 120 * 8.6),
            ("disposer", 120 * 8),
            ("furnace motor", 115 * 9.8),
        )
    )
    inputs = DwellingInputs(floor_area_ft2=35 * 80, appliances=fastened)
    result = standard_dwelling(inputs, edition=edition)
    assert value(result.worksheet, "lighting_circuits") == 12_900
    assert value(result.worksheet, "lighting_net") == pytest.approx(6465)
    load = appliance_load(inputs, sheet=blank(), edition=edition)
    assert load.va == pytest.approx(900 + 774 + 720 + 845.25, abs=0.01)
    assert load.neutral_va == pytest.approx(load.va)


@every_known
def test_3000_ft2_base_load(edition: Edition) -> None:
    # A how-to page (2011-2014 numbering): 9,000 + 3,000 + 1,500 = 13,500 VA.
    # http://www.ehow.com/how_12186459_calculate-service-feeder-loads.html
    result = standard_dwelling(DwellingInputs(floor_area_ft2=3000), edition=edition)
    assert value(result.worksheet, "lighting") == 9000
    assert value(result.worksheet, "small_appliance") == 3000
    assert value(result.worksheet, "laundry") == 1500
    assert value(result.worksheet, "lighting_circuits") == 13_500


@every_known
def test_2680_ft2_house_by_the_optional_method(edition: Edition) -> None:
    # A contractor's working in a forum thread (2005-2008; 220.82 as in 2017-2023): 31,440 -> 18,576 VA, heat 10,000.
    # https://forums.mikeholt.com/threads/help-with-service-calculation.108600/
    inputs = DwellingInputs(
        floor_area_ft2=2680,
        cooking=(CookingUnit("ovens", 9.6),),
        dryers_va=(5000,),
        appliances=(
            Appliance(name="water heater", va=2500),
            Appliance(name="dishwasher", va=1200),
            Appliance(name="disposer", va=600),
        ),
        heating=(HeatUnit(name="room heaters", va=25_000, controls=4),),
    )
    result = optional_dwelling(inputs, edition=edition, rating_a=200)
    assert value(result.worksheet, "general") == 31_440
    assert value(result.worksheet, "general_demand") == pytest.approx(18_576)
    assert value(result.worksheet, "case_5") == pytest.approx(10_000)
    assert result.load_va == pytest.approx(28_576)
    assert round(result.current_a) == 119


@every_known
def test_1000_ft2_house_on_its_old_service(edition: Edition) -> None:
    # A home owner's thread of the 1990s (old 220-31, now 220.83(A)): 21,500 VA connected, 13,400 VA. The poster drops
    # the fraction of 55.8 A; by the code's rounding it is 56 A. No laundry circuit was counted.
    # https://www.homeownershub.com/maintenance/load-calculation-599409-.htm
    inputs = DwellingInputs(
        floor_area_ft2=1000,
        small_appliance_circuits=3,
        laundry_circuits=0,
        cooking=(CookingUnit("range", 8),),
        dryers_va=(5000,),
        appliances=(Appliance(name="disposer", va=1000),),
    )
    result = existing_dwelling(inputs, edition=edition)
    assert value(result.worksheet, "general") == 21_500
    assert result.load_va == pytest.approx(13_400)
    assert round(result.current_a) == 56


# --- two and more dwellings --------------------------------------------------------------------------------------

# Electrical Contractor magazine, C. R. Miller, Part LVIII, two dwelling units (2008 edition; 220.84 and 220.85 as in
# 2017-2023). https://www.ecmag.com/section/codes-standards/branch-circuit-feeder-and-service-calculations-part-lviii
UNIT = DwellingInputs(
    floor_area_ft2=1800,
    appliances=tuple(Appliance(name=f"appliance {n}", va=9156 / 4) for n in range(4)),
    cooking=(CookingUnit("range", 12),),
    dryers_va=(5000,),
    heating=(
        HeatUnit(name="electric heat", va=10_000),
        HeatUnit(name="blower", va=1176, kind="blower", line_to_neutral=False),
    ),
    cooling=(CoolingUnit(name="compressor and fan", va=4200 + 360),),
)


@every_known
def test_two_dwellings_as_three_identical_units(edition: Edition) -> None:
    sheet = blank()
    demand = units_demand([UNIT] * 3, sheet=sheet, edition=edition)
    lines = sheet.done()
    assert value(lines, "lighting") == 16_200
    assert value(lines, "small_appliance") + value(lines, "laundry") == 13_500
    assert value(lines, "appliances") == pytest.approx(78_468 - 3 * (12_000 + 5000))
    assert value(lines, "hvac") == pytest.approx(33_528)
    assert value(lines, "connected") == pytest.approx(141_696)
    assert demand == pytest.approx(63_763.2)
    result = two_dwellings([UNIT, UNIT], edition=edition)
    assert result.load_va == pytest.approx(63_763, abs=1)


@every_known
def test_two_dwellings_by_the_standard_method(edition: Edition) -> None:
    # The magazine's total of 66,180 VA rests on a figure that is not at hand; its parts add up to 65,966 VA before
    # the largest motor, and the motor it adds (856 VA) is not named. The parts are held here; with the blower of
    # 1,176 VA as the largest motor the total is 66,260 VA.
    result = standard_dwelling(together([UNIT, UNIT]), edition=edition)
    before_motor = value(result.worksheet, "total") - value(result.worksheet, "largest_motor")
    assert before_motor == pytest.approx(65_966, abs=1)
    assert result.load_va == pytest.approx(66_260, abs=1)


@every_known
def test_six_heat_pumps_that_run_with_their_heat(edition: Edition) -> None:
    # Electrical Contractor magazine, C. R. Miller, Part LVI (15 Oct 2010; 2008 edition): compressor 6,432, blower
    # 1,392, condenser fan 624 VA, 8,448 a unit, with 15 kW of heat that runs at once. The page stops before the total;
    # 23,448 VA a unit and 140,688 VA for six are sums of its numbers.
    # https://www.ecmag.com/magazine/articles/article-detail/codes-standards-branch-circuit-feeder-and-service-calculations-part-lvi
    outdoor_va = 26.8 * 240 + 2.6 * 240
    unit = DwellingInputs(
        cooking=(CookingUnit("range", 12),),
        heat_pumps=(HeatPump(name="heat pump", compressor_va=outdoor_va, supplemental_va=15_000),),
        heating=(HeatUnit(name="blower", va=5.8 * 240, kind="blower"),),
    )
    sheet = blank()
    units_demand([unit] * 6, sheet=sheet, edition=edition)
    assert value(sheet.done(), "hvac") == pytest.approx(140_688)


# --- farm --------------------------------------------------------------------------------------------------------


@every_known
def test_second_largest_farm_load_counts_three_quarters(edition: Edition) -> None:
    # A master electrician study item (2017-2023): the second-largest load on a common service counts 75 percent.
    # https://gavikifoundation.org/study-content/... (table look-up only; no complete farm example was found)
    barn = BuildingInputs(loads=(ConnectedLoad(name="barn", va=24_000),), name="barn")
    shed = BuildingInputs(loads=(ConnectedLoad(name="shed", va=12_000),), name="shed")
    total = farm_total([building_load(b, edition=edition) for b in (shed, barn)], [], edition=edition)
    assert value(total.worksheet, "rank_1") == 24_000
    assert value(total.worksheet, "rank_2") == pytest.approx(0.75 * 12_000)


# --- motors ------------------------------------------------------------------------------------------------------


@every_known
def test_motor_currents_by_the_table(edition: Edition) -> None:
    # EC&M Code Basics, Motor Calculations Part 2 (22 Aug 2019; 2017): 1 hp at 115 V is 16 A.
    # https://ecmweb.com/national-electrical-code/code-basics/article/20904830/motor-calculations-part-2
    assert motor_current("1", volts=115, edition=edition).value == 16
    # EC&M, M. Holt, Motor Calculations Part 2: Feeders (1 May 2004; 2002): 3 hp at 115 V is 34 A, nameplate 31 A.
    # https://ecmweb.com/national-electrical-code/article/20900839/motor-calculations-part-2-feeders
    assert motor_current("3", volts=115, edition=edition).value == 34
    # Motor installation final review (2008 or later): three-phase 15.2 A at 230 V, 7.6 A at 460 V; 5 hp inferred.
    # https://jeopardylabs.com/print/motor-install-final-review
    assert motor_current("5", volts=230, phase=3, edition=edition).value == 15.2
    assert motor_current("5", volts=460, phase=3, edition=edition).value == 7.6


@every_known
def test_feeder_of_two_motors(edition: Edition) -> None:
    # EC&M, Stumped by the Code? (2014-2017): 20 and 10 hp at 460 V, 27 and 14 A; 47.75 A, in whole amperes 48.
    # https://ecmweb.com/national-electrical-code/qa/article/20901222/
    currents = [motor_current(hp, volts=460, phase=3, edition=edition).number for hp in ("20", "10")]
    assert currents == [27, 14]
    assert value(motors_current(currents, edition=edition), "total") == pytest.approx(47.75)


@every_known
def test_other_motors_of_three_on_one_feeder(edition: Edition) -> None:
    # Philippine Electrical Code 2017, Appendix D: the other motors of its feeder example draw 27 and 14 A (their sum,
    # 41 A, is what its 60 A fuse and 90 A breaker are raised by; the devices are held with the conductors).
    # https://studylib.net/doc/26040592/pec-2017-part-p1075-motors
    assert value(motors_current([28, 27, 14], edition=edition), "others") == 41


@every_known
def test_locked_rotor_of_code_letter_g(edition: Edition) -> None:
    # The Building Code Forum, thread 35488 (2017-2023): 20 hp, 460 V, letter G, 6.29 kVA/hp: 125.8 kVA, 158 A.
    # https://www.thebuildingcodeforum.com/forum/threads/determine-the-maximum-locked-rotor-current-for-a-motor.35488/
    current = locked_rotor_current(20, "G", volts=460, phase=3, edition=edition)
    assert round(current.number) == 158
