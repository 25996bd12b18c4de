"""The methods from plain numbers, each answer worked by hand beside it (NEC 2023 unless said)."""

from __future__ import annotations

from dataclasses import replace

import pytest

from driploop.editions import load_edition
from driploop.loads import (
    Appliance,
    BuildingInputs,
    ConnectedLoad,
    CookingUnit,
    CoolingUnit,
    DwellingInputs,
    HeatPump,
    HeatUnit,
    MeteredRecord,
    Motor,
    NewLoad,
    OtherLoad,
    building_load,
    connected_building,
    existing_dwelling,
    farm_building,
    farm_total,
    metered_existing,
    motor_current,
    multifamily,
    neutral_of_building,
    neutral_of_dwelling,
    optional_dwelling,
    service_rating,
    standard_dwelling,
    two_dwellings,
)
from driploop.loads.cooking import cooking_demand
from driploop.loads.dryers import dryer_demand
from driploop.loads.motors import MotorNotInTable
from driploop.loads.rating import NoStandardRating
from driploop.worksheet import WorksheetWriter

NEC_2017, NEC_2020, NEC_2023, NEC_2026 = (
    load_edition(name) for name in ("NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026")
)


def value(result, key: str):
    return result.worksheet.line(key).result.value


def blank() -> WorksheetWriter:
    return WorksheetWriter("load/test/x", "")


# --- lighting, appliances ----------------------------------------------------------------------------------------


def test_lighting_over_all_three_steps():
    # 50,000 ft2 x 3 = 150,000; + 4,500 = 154,500: 3,000 + 117,000 x 35 % + 34,500 x 25 % = 3,000 + 40,950 + 8,625.
    result = standard_dwelling(DwellingInputs(floor_area_ft2=50_000), edition=NEC_2023)
    assert value(result, "lighting_net") == pytest.approx(52_575)


def test_2026_takes_two_va_per_square_foot():
    result = standard_dwelling(DwellingInputs(floor_area_ft2=1500), edition=NEC_2026)
    assert value(result, "lighting") == 3000


def four_appliances(smallest_va: float) -> DwellingInputs:
    return DwellingInputs(
        appliances=tuple(Appliance(name=f"a{va}", va=va) for va in (4500.0, 1200.0, 900.0, smallest_va))
    )


def test_the_reduction_needs_four_appliances_of_500_va_from_2020_on():
    # 2017: 4 count, 7,000 x 75 % = 5,250. From 2020 the 400 VA one does not count: three in full, 7,000.
    assert value(standard_dwelling(four_appliances(400), edition=NEC_2017), "fixed_appliances") == 5250
    assert value(standard_dwelling(four_appliances(400), edition=NEC_2020), "appliances_in_full") == 7000
    assert value(standard_dwelling(four_appliances(500), edition=NEC_2020), "fixed_appliances") == pytest.approx(5325)


def test_an_unread_nameplate_never_earns_the_reduction():
    inputs = DwellingInputs(
        appliances=(
            *(Appliance(name=f"a{n}", va=1000) for n in range(3)),
            Appliance(name="unread", va=1500, rating_known=False),
        )
    )
    assert value(standard_dwelling(inputs, edition=NEC_2023), "appliances_in_full") == 4500


# --- dryers ------------------------------------------------------------------------------------------------------


def test_dryer_floor_stands_in_the_standard_method_only():
    inputs = DwellingInputs(dryers_va=(4200,))
    assert value(standard_dwelling(inputs, edition=NEC_2023), "dryers") == 5000
    assert value(optional_dwelling(inputs, edition=NEC_2023, rating_a=100), "dryers") == 4200


def test_five_dryers_by_edition():
    # 5 x 5,500 = 27,500: 85 % = 23,375 through 2023; 80 % = 22,000 in 2026.
    assert dryer_demand([5500] * 5, sheet=blank(), edition=NEC_2023).va == pytest.approx(23_375)
    assert dryer_demand([5500] * 5, sheet=blank(), edition=NEC_2026).va == pytest.approx(22_000)


def test_a_row_of_2026_that_was_not_seen_counts_in_full_and_says_so():
    demand = dryer_demand([5000] * 8, sheet=blank(), edition=NEC_2026)
    assert demand.va == 40_000
    assert "not seen" in demand.assumptions[0].why_safe


# --- cooking -----------------------------------------------------------------------------------------------------


def cook(*ratings_kw: float) -> tuple[float, WorksheetWriter]:
    sheet = blank()
    units = [CookingUnit(f"unit {n}", kw) for n, kw in enumerate(ratings_kw)]
    return cooking_demand(units, sheet=sheet, edition=NEC_2023), sheet


@pytest.mark.parametrize(
    ("ratings_kw", "demand_va"),
    [
        ((12.0,), 8000),  # column C
        ((12.4,), 8000),  # 0.4 kW over 12 is no major fraction
        ((12.5,), 8400),  # 0.5 kW is: 8 x 1.05
        ((3.0,), 2400),  # note 3, column A: 3 x 80 %
        ((8.0,), 6400),  # note 3, column B: 8 x 80 %
        ((3.0, 8.0), 8800),  # each column with its own number: 2.4 + 6.4 against 11 of column C
        ((3.0, 3.0), 4500),  # column A, two: 6 x 75 %
        ((9.0,), 8000),  # above column B's limit: column C only
        ((9.0, 3.0), 10_400),  # 8 + 2.4 against column C of two, 11
        ((1.5,), 1500),  # too small for the table: in full
        ((30.0,), 30_000),  # too large for the table: in full
    ],
)
def test_cooking_demand(ratings_kw, demand_va):
    assert cook(*ratings_kw)[0] == pytest.approx(demand_va)


def test_the_worksheet_of_cooking_shows_each_way():
    _, sheet = cook(4, 4, 5.1)
    lines = sheet.done()
    assert lines.line("cooking_column_c").result.value == 14
    assert lines.line("cooking_columns_a_b").result.number == pytest.approx(13.1 * 0.55)
    assert lines.line("cooking_nameplate").result.number == pytest.approx(13.1)


# --- heating and cooling -----------------------------------------------------------------------------------------


def test_only_the_larger_of_heating_and_cooling_counts():
    inputs = DwellingInputs(
        heating=(HeatUnit(name="heat", va=10_000), HeatUnit(name="blower", va=600, kind="blower")),
        cooling=(CoolingUnit(name="ac", va=5000, motor_va=4500),),
    )
    result = standard_dwelling(inputs, edition=NEC_2023)
    assert value(result, "heating") == 10_600
    assert value(result, "cooling") == 5600
    assert value(result, "heating_or_cooling") == 10_600
    assert value(result, "largest_motor") == 150  # a quarter of the blower, the cooling does not run


def test_cooling_with_its_motor_raised_may_be_the_larger():
    # Heat 10,000; cooling 9,600 whose motor of 9,000 adds 2,250: 11,850 is the larger load.
    inputs = DwellingInputs(
        heating=(HeatUnit(name="heat", va=10_000),), cooling=(CoolingUnit(name="ac", va=9600, motor_va=9000),)
    )
    result = standard_dwelling(inputs, edition=NEC_2023)
    assert value(result, "heating_or_cooling") == 9600
    assert value(result, "largest_motor") == 2250


@pytest.mark.parametrize(
    ("fields", "case_va"),
    [
        ({"cooling": (CoolingUnit(name="ac", va=6000),)}, 6000),
        ({"heat_pumps": (HeatPump(name="hp", compressor_va=6000),)}, 6000),
        ({"heat_pumps": (HeatPump(name="hp", compressor_va=5760, supplemental_va=15_000),)}, 5760 + 9750),
        ({"heat_pumps": (HeatPump(name="hp", compressor_va=5760, supplemental_va=15_000, locked_out=True),)}, 9750),
        ({"heat_pumps": (HeatPump(name="hp", compressor_va=8000, supplemental_va=5000, locked_out=True),)}, 8000),
        ({"heating": (HeatUnit(name="furnace", va=20_000, controls=1),)}, 13_000),
        ({"heating": (HeatUnit(name="heaters", va=20_000, controls=3),)}, 13_000),
        ({"heating": (HeatUnit(name="heaters", va=20_000, controls=4),)}, 8000),
        ({"heating": (HeatUnit(name="heaters", va=20_000, controls=0),)}, 13_000),
        ({"heating": (HeatUnit(name="bricks", va=12_000, kind="storage"),)}, 12_000),
        (
            {
                "heating": (HeatUnit(name="furnace", va=10_000),),
                "cooling": (CoolingUnit(name="ac", va=7000),),
            },
            7000,
        ),
    ],
)
def test_the_largest_of_the_six_cases(fields, case_va):
    result = optional_dwelling(DwellingInputs(**fields), edition=NEC_2023, rating_a=200)
    assert value(result, "case") == pytest.approx(case_va)


# --- optional, existing ------------------------------------------------------------------------------------------


def test_the_optional_method_needs_100_a():
    inputs = DwellingInputs(floor_area_ft2=1000)
    assert optional_dwelling(inputs, edition=NEC_2023, rating_a=60).permitted == "no"
    assert optional_dwelling(inputs, edition=NEC_2023, rating_a=100).permitted == "yes"
    assert optional_dwelling(inputs, edition=NEC_2023).permitted == "ask"


def test_the_optional_method_adds_no_motor_and_reduces_no_appliance():
    inputs = DwellingInputs(
        floor_area_ft2=1000,
        motors=(Motor(name="well pump", va=2880),),
        appliances=tuple(Appliance(name=f"a{n}", va=1000) for n in range(4)),
    )
    # 3,000 + 4,500 + 4,000 + 2,880 = 14,380: 10,000 + 4,380 x 40 % = 11,752.
    assert optional_dwelling(inputs, edition=NEC_2023, rating_a=100).load_va == pytest.approx(11_752)


def test_first_tier_of_2026_is_smaller():
    inputs = DwellingInputs(floor_area_ft2=3000, cooking=(CookingUnit("range", 12),))
    # 2 x 3,000 + 4,500 + 12,000 = 22,500: 8,000 + 14,500 x 40 % = 13,800.
    assert optional_dwelling(inputs, edition=NEC_2026, rating_a=100).load_va == pytest.approx(13_800)


EXISTING = DwellingInputs(
    floor_area_ft2=1200,
    cooking=(CookingUnit("range", 10),),
    heating=(HeatUnit(name="furnace", va=9000),),
    cooling=(CoolingUnit(name="ac", va=4000),),
)


def test_existing_dwelling_without_added_climate():
    # 3,600 + 4,500 + 10,000 = 18,100 with the larger of heat and cooling, 27,100: 8,000 + 19,100 x 40 % = 15,640.
    assert existing_dwelling(EXISTING, edition=NEC_2023).load_va == pytest.approx(15_640)


def test_existing_dwelling_with_added_climate():
    # Heat 9,000 in full apart; 18,100: 8,000 + 10,100 x 40 % = 12,040; together 21,040.
    added = replace(EXISTING, hvac_added=True)
    assert existing_dwelling(added, edition=NEC_2023).load_va == pytest.approx(21_040)


def test_existing_dwelling_is_refused_in_words_for_2026():
    result = existing_dwelling(EXISTING, edition=NEC_2026)
    assert (result.load_va, result.permitted) == (None, "no")
    assert "120.83" in result.why
    assert "not seen" in result.why


def test_existing_method_asks_where_the_service_is_new():
    assert existing_dwelling(EXISTING, edition=NEC_2020, equipment_is_new=True).permitted == "ask"


# --- vehicle chargers --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("edition", "nameplate_va", "counted_va"),
    [
        (NEC_2017, 5760, 5760),
        (NEC_2020, 5760, 5760),
        (NEC_2023, 5760, 7200),
        (NEC_2023, 11_520, 11_520),
        (NEC_2023, None, 7200),
        (NEC_2026, 5760, 5760),
        (NEC_2026, None, 7200),
    ],
)
def test_vehicle_charger_by_edition(edition, nameplate_va, counted_va):
    assert value(standard_dwelling(DwellingInputs(evse_va=(nameplate_va,)), edition=edition), "evse") == counted_va


def test_a_vehicle_charger_is_continuous_for_conductors():
    result = standard_dwelling(DwellingInputs(evse_va=(9600,)), edition=NEC_2023)
    assert value(result, "conductor_current") == pytest.approx(result.current_a + 0.25 * 9600 / 240)


def test_a_charger_stands_apart_in_the_optional_method_of_2026():
    inputs = DwellingInputs(floor_area_ft2=3000, evse_va=(9600,))
    # 10,500: 8,000 + 2,500 x 40 % = 9,000; charger in full 9,600.
    result = optional_dwelling(inputs, edition=NEC_2026, rating_a=200)
    assert result.load_va == pytest.approx(18_600)
    assert "120.82(D)" in result.assumptions[0].why_safe


# --- neutral -----------------------------------------------------------------------------------------------------


def test_neutral_counts_ranges_and_dryers_at_seventy_percent_and_leaves_240_v_out():
    inputs = DwellingInputs(
        floor_area_ft2=1500,
        cooking=(CookingUnit("range", 12),),
        dryers_va=(5000,),
        appliances=(
            Appliance(name="water heater", va=4500),
            Appliance(name="disposer", va=800, line_to_neutral=True, motor=True),
        ),
        heating=(HeatUnit(name="heat", va=10_000),),
    )
    # 5,100 + 800 + 8,000 x 70 % + 5,000 x 70 % + a quarter of 800 = 15,200.
    assert neutral_of_dwelling(inputs, edition=NEC_2023).load_va == pytest.approx(15_200)


def test_neutral_over_200_a_is_reduced_above_it():
    # 40 units of 2,000 ft2, 240,000 + 40 x 4,500 = 420,000: 3,000 + 40,950 + 300,000 x 25 % = 118,950 VA, 495.6 A:
    # 200 + 295.6 x 70 % = 406.9 A.
    inputs = DwellingInputs(floor_area_ft2=80_000, small_appliance_circuits=80, laundry_circuits=40)
    neutral = neutral_of_dwelling(inputs, edition=NEC_2023)
    assert neutral.current_a == pytest.approx(200 + (118_950 / 240 - 200) * 0.7)


def test_neutral_of_a_wye_is_never_reduced():
    inputs = DwellingInputs(floor_area_ft2=1500, cooking=(CookingUnit("range", 12),), volts=208.0)
    assert neutral_of_dwelling(inputs, edition=NEC_2023).load_va == pytest.approx(5100 + 8000)


def test_neutral_of_a_building_allows_for_uneven_lines():
    inputs = BuildingInputs(
        loads=(
            ConnectedLoad(name="lights", va=1200, neutral_va=1200),
            ConnectedLoad(name="fan", va=960, neutral_va=960),
            ConnectedLoad(name="welder", va=9600),
        )
    )
    # One line at most 1,200: 2,160 + 1,200 = 3,360 VA line to line, 14 A. (1,200 VA alone on a line is 10 A.)
    assert neutral_of_building(inputs, edition=NEC_2023).load_va == 3360


# --- farm --------------------------------------------------------------------------------------------------------


def farm_load(name: str, amperes: float, *, motor: bool = False, together: bool = False) -> ConnectedLoad:
    va = amperes * 240
    return ConnectedLoad(name=name, va=va, motor_va=va if motor else 0.0, together=together)


@pytest.mark.parametrize(
    ("loads", "amperes"),
    [
        # Nothing runs together, small motor: 60 + 60 x 50 % + 80 x 25 % = 110.
        ((farm_load("a", 150), farm_load("b", 50)), 110),
        # 100 A run together: 100 + 60 x 50 % + 40 x 25 % = 140.
        ((farm_load("a", 100, together=True), farm_load("b", 100)), 140),
        # A motor of 80 A: 100 in full, of the other 60: 30; 130. (The first 60 A would give 60 + 30 + 20 x 25 % = 95.)
        ((farm_load("m", 80, motor=True), farm_load("b", 60)), 130),
        # All of a small load counts: 40.
        ((farm_load("a", 25), farm_load("b", 15)), 40),
        # The only motor raised: 1.25 x 40 = 50.
        ((farm_load("m", 40, motor=True),), 50),
    ],
)
def test_farm_building_steps(loads, amperes):
    result = farm_building(BuildingInputs(loads=loads), edition=NEC_2023)
    assert result.current_a == pytest.approx(amperes)
    assert result.load_va == pytest.approx(amperes * 240)


def test_one_circuit_alone_is_no_farm_building_load():
    inputs = BuildingInputs(loads=(farm_load("pump", 40, motor=True),), circuits=1)
    result = building_load(inputs, edition=NEC_2023)
    assert result.method == "connected"
    assert result.current_a == pytest.approx(50)


def test_total_farm_load_ranks_buildings_and_adds_the_dwelling():
    buildings = [
        farm_building(BuildingInputs(name=name, loads=(farm_load(name, amperes),)), edition=NEC_2023)
        for name, amperes in (("a", 20), ("b", 60), ("c", 50), ("d", 40), ("e", 10))
    ]
    house = standard_dwelling(DwellingInputs(floor_area_ft2=1500), edition=NEC_2023)  # 5,100 VA
    # 60 x 100 % + 50 x 75 % + 40 x 65 % + 20 x 50 % + 10 x 50 % = 138.5 A; + 5,100 / 240 = 21.25 A.
    total = farm_total(buildings, [house], edition=NEC_2023)
    assert total.current_a == pytest.approx(138.5 + 21.25)
    assert value(total, "rank_1") == pytest.approx(60 * 240)


# --- plain sum, metered, several units ---------------------------------------------------------------------------


def test_connected_load_raises_its_largest_motor_and_its_continuous_part():
    inputs = BuildingInputs(
        loads=(
            ConnectedLoad(name="lights", va=1200, continuous=True),
            ConnectedLoad(name="saw", va=2880, motor_va=2880),
        )
    )
    # 1,200 + 2,880 + 720 = 4,800 VA, 20 A; conductors + 25 % of 1,200 / 240 = 1.25 A.
    result = connected_building(inputs, edition=NEC_2023)
    assert result.current_a == pytest.approx(20)
    assert value(result, "conductor_current") == pytest.approx(21.25)


YEAR = MeteredRecord(peak_kw=8, interval_minutes=15, record_months=12, solar_wind_or_peak_shaving=False)
MONTH = MeteredRecord(
    peak_kw=8,
    interval_minutes=15,
    record_months=0,
    record_days=30,
    highest_phase=True,
    occupied=True,
    season_added_va=3000,
    solar_wind_or_peak_shaving=False,
)


def test_a_year_of_data_and_a_new_load():
    # 8,000 x 125 % + 7,200 = 17,200 VA.
    new = (NewLoad(name="charger", va=7200, continuous=True),)
    result = metered_existing(YEAR, edition=NEC_2023, new_loads=new, rating_a=100)
    assert (result.load_va, result.permitted) == (17_200, "yes")
    assert value(result, "conductor_current") == pytest.approx(result.current_a + 0.25 * 7200 / 240)


def test_thirty_days_with_the_missing_season():
    # (8,000 + 3,000) x 125 % = 13,750 VA.
    result = metered_existing(MONTH, edition=NEC_2023, rating_a=100)
    assert (result.load_va, result.permitted) == (13_750, "yes")


@pytest.mark.parametrize(
    ("record", "changes", "verdict", "words"),
    [
        (YEAR, {"solar_wind_or_peak_shaving": True}, "ask", "net demand"),
        (YEAR, {"solar_wind_or_peak_shaving": None}, "ask", "not known"),
        (YEAR, {"interval_minutes": None}, "ask", "interval"),
        (YEAR, {"interval_minutes": 60}, "ask", "hide the peak"),
        (YEAR, {"record_months": 11}, "ask", "length of the record"),
        (MONTH, {"record_days": 29}, "no", "30 days needed"),
        (MONTH, {"record_days": None}, "ask", "length of the record"),
        (MONTH, {"interval_minutes": 60}, "no", "hide the peak"),
        (MONTH, {"highest_phase": None}, "ask", "phase"),
        (MONTH, {"highest_phase": False}, "no", "phase"),
        (MONTH, {"occupied": None}, "ask", "occupied"),
        (MONTH, {"occupied": False}, "no", "occupied"),
        (MONTH, {"season_added_va": None}, "ask", "season"),
        (MONTH, {"solar_wind_or_peak_shaving": True}, "no", "barred"),
    ],
)
def test_each_condition_of_a_metered_load(record, changes, verdict, words):
    result = metered_existing(replace(record, **changes), edition=NEC_2023, rating_a=400)
    assert result.permitted == verdict
    assert words in result.why


def test_hourly_data_are_taken_as_the_most_a_quarter_hour_can_hide():
    result = metered_existing(replace(YEAR, interval_minutes=60), edition=NEC_2023, rating_a=400)
    assert result.load_va == pytest.approx(8000 * 4 * 1.25)


def test_a_metered_load_above_the_rating_is_not_permitted():
    result = metered_existing(YEAR, edition=NEC_2023, rating_a=40)
    assert result.permitted == "no"
    assert "rating 40 A" in result.why


def test_no_peak_is_refused_in_words():
    result = metered_existing(MeteredRecord(peak_kw=None), edition=NEC_2023)
    assert result.load_va is None
    assert "ask the utility" in result.why


FLAT = DwellingInputs(
    floor_area_ft2=900, cooking=(CookingUnit("range", 12),), heating=(HeatUnit(name="heat", va=6000),), name="flat"
)


def test_three_flats_by_the_factor_and_house_loads_in_full():
    # Each 2,700 + 4,500 + 12,000 + 6,000 = 25,200; 75,600 x 45 % = 34,020; hall lights 1,000 in full.
    result = multifamily([FLAT] * 3, edition=NEC_2023, house=(OtherLoad(name="hall", va=1000),))
    assert result.load_va == pytest.approx(35_020)
    assert result.permitted == "yes"


def test_flats_without_cooking_or_climate():
    cold = replace(FLAT, heating=())
    assert multifamily([cold] * 3, edition=NEC_2023).permitted == "no"
    gas = replace(FLAT, cooking=())
    result = multifamily([gas] * 3, edition=NEC_2023)
    assert result.permitted == "ask"
    assert value(result, "assumed_cooking") == 24_000


def test_methods_of_several_units_refuse_in_words():
    assert "needs 3" in multifamily([FLAT] * 2, edition=NEC_2023).why
    assert "two dwelling units" in two_dwellings([FLAT] * 3, edition=NEC_2023).why
    assert "120.84" in multifamily([FLAT] * 3, edition=NEC_2026).why
    assert "120.84" in two_dwellings([FLAT] * 2, edition=NEC_2026).why


def test_two_unlike_flats_take_the_larger_three_times():
    small = replace(FLAT, floor_area_ft2=500, name="small")
    result = two_dwellings([small, FLAT], edition=NEC_2023)
    assert value(result, "units_demand") == pytest.approx(34_020)


# --- rating, motors ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("current_a", "dwelling", "circuits", "rating_a"),
    [
        (53.0, True, None, 100),
        (100.4, True, None, 100),
        (100.5, True, None, 110),
        (144.96, True, None, 150),
        (12.0, False, 1, 15),
        (16.0, False, 2, 30),
        (16.0, False, None, 60),
        (600.6, False, None, 700),
    ],
)
def test_service_rating(current_a, dwelling, circuits, rating_a):
    found = service_rating(current_a, edition=NEC_2023, dwelling=dwelling, circuits=circuits)
    assert found.rating.value == rating_a


def test_a_load_above_all_ratings_says_what_to_do():
    with pytest.raises(NoStandardRating, match="Split the load"):
        service_rating(6001, edition=NEC_2023, dwelling=False)


def test_a_motor_between_two_rows_takes_the_larger():
    assert motor_current("4", volts=230, edition=NEC_2023).value == 28


@pytest.mark.parametrize(("hp", "volts", "words"), [("15", 230, "hp"), ("x", 230, "hp"), ("1", 277, "volts")])
def test_a_motor_outside_the_table_is_refused_in_words(hp, volts, words):
    with pytest.raises(MotorNotInTable, match=words):
        motor_current(hp, volts=volts, edition=NEC_2023)


def test_a_heat_pump_beside_air_conditioning_cools_with_it_in_the_optional_method():
    # General 9,000 (1,500 ft2), in full; both cool at once: 5,000 + 3,000. Not the larger of the two alone.
    cooling = (CoolingUnit(name="upstairs", va=5000),)
    pumps = (HeatPump(name="downstairs", compressor_va=3000),)
    inputs = DwellingInputs(floor_area_ft2=1500, cooling=cooling, heat_pumps=pumps)
    result = optional_dwelling(inputs, edition=NEC_2023, rating_a=100)
    assert value(result, "case_1") == 8000
    assert result.load_va == pytest.approx(17_000)


def test_every_heat_pump_counts_when_they_cool():
    # Heating: 2,000 + 65 % of 1,000, the other compressor locked out; cooling: both compressors, 2,000 + 6,000.
    pumps = (
        HeatPump(name="one", compressor_va=2000, supplemental_va=1000),
        HeatPump(name="two", compressor_va=6000, supplemental_va=1500, locked_out=True),
    )
    result = optional_dwelling(DwellingInputs(heat_pumps=pumps), edition=NEC_2023, rating_a=100)
    assert value(result, "case_2") == 8000
    assert value(result, "case_3") == pytest.approx(2000 + 0.65 * 2500)
    assert value(result, "case") == 8000


def test_storage_heat_is_not_spread_with_the_room_heaters_in_the_existing_method():
    # Added: 4 room heaters of 1,500 with the other load (4,500 + 6,000 = 10,500: 8,000 + 2,500 x 40 % = 9,000);
    # the storage heater of 6,000 apart in full.
    heating = (
        *(HeatUnit(name=f"room {n}", va=1500) for n in range(4)),
        HeatUnit(name="storage", va=6000, kind="storage"),
    )
    inputs = DwellingInputs(heating=heating, hvac_added=True)
    result = existing_dwelling(inputs, edition=NEC_2023)
    assert value(result, "spread_heating") == 6000
    assert value(result, "climate") == 6000
    assert result.load_va == pytest.approx(15_000)
