"""What the calculated load rests on."""

from __future__ import annotations

import pytest

from .build import says, verdicts

ASK, KNOW = "must be asked", "worth knowing"

HOUSE = """
buildings.house = { use = "dwelling", floor_area_ft2 = 1500, year_built = 1950 }
equipment.meter = { kind = "meter", building = "house", outdoors = true }
equipment.main = { kind = "panel", building = "house", rating_a = 200, main = "breaker", main_a = 200 }
runs.drop = { from = "utility", to = "meter", owner = "utility" }
runs.service = { from = "meter", to = "main", owner = "customer", wires = 3, line_size = "2/0 AWG", metal = "copper" }
circuits.lights = { from = "main", poles = 1 }
"""


def load(id, facts):
    return HOUSE + f'loads.{id} = {{ panel = "main", building = "house", volts = 240, {facts} }}\n'


RECORD = (
    'metered.year = { meter = "meter", peak_kw = 9, interval_minutes = 15, record_months = 12, highest_phase = true, '
    "occupied = true, season_added_va = 0, solar_wind_or_peak_shaving = false }\n"
)


def test_metered_load_conditions_passes():
    assert not says("metered-load-conditions", HOUSE + RECORD)


def test_metered_load_conditions_fails():
    open_ = RECORD.replace("record_months = 12", 'record_months = "unknown"')
    assert verdicts("metered-load-conditions", HOUSE + open_) == [ASK]
    nowhere = RECORD.replace('meter = "meter", ', "")
    assert [f.where for f in says("metered-load-conditions", HOUSE + nowhere)] == ["metered.year.meter"]


def test_metered_load_conditions_tells_of_a_record_that_may_not_be_used():
    empty_house = RECORD.replace("record_months = 12", "record_days = 30").replace(
        "occupied = true", "occupied = false"
    )
    assert verdicts("metered-load-conditions", HOUSE + empty_house) == [KNOW]


def test_method_refused_by_edition_passes():
    assert not says("method-refused-by-edition", HOUSE)


def test_method_refused_by_edition_fails():
    found = says("method-refused-by-edition", HOUSE, "NEC 2026")
    assert [f.verdict.value for f in found] == [KNOW]


PAIR = """
loads.heat = {{ kind = "supplemental heat", panel = "main", kw = 10, volts = 240, supplemental_to = "pump"{locked} }}
"""


def pair(locked):
    return load("pump", 'kind = "heat pump", va = 4000') + PAIR.format(locked=locked)


def test_heat_pump_and_supplemental_passes():
    assert not says("heat-pump-and-supplemental", pair(", locked_out = true"))
    assert not says("heat-pump-and-supplemental", pair(", locked_out = false"))


def test_heat_pump_and_supplemental_fails():
    assert [f.where for f in says("heat-pump-and-supplemental", pair(""))] == ["loads.pump.locked_out"]
    assert verdicts("heat-pump-and-supplemental", load("heat", 'kind = "supplemental heat", kw = 5')) == [ASK]


def test_evse_minimum_passes():
    # 32 A x 240 V = 7,680 VA.
    assert not says("evse-minimum", load("car", 'kind = "vehicle charger", current_a = 32'))


def test_evse_minimum_fails():
    # 16 A x 240 V = 3,840 VA, under 7,200 VA.
    (found,) = says("evse-minimum", load("car", 'kind = "vehicle charger", current_a = 16'))
    assert found.verdict.value == KNOW
    assert "7,200 VA" in found.wrong


@pytest.mark.parametrize(("edition", "expected"), [("NEC 2020", []), ("NEC 2023", [ASK]), ("NEC 2026", [ASK])])
def test_evse_minimum_asks_for_the_nameplate_where_the_edition_has_a_floor(edition, expected):
    assert verdicts("evse-minimum", load("car", 'kind = "vehicle charger"'), edition) == expected


def test_calculated_load_uses_unknowns_passes():
    assert not says("calculated-load-uses-unknowns", load("tank", 'kind = "water heater", kw = 4.5'))


def test_calculated_load_uses_unknowns_fails():
    two = load("tank", 'kind = "water heater"') + 'loads.fan = { kind = "ventilation fan", panel = "main" }\n'
    (found,) = says("calculated-load-uses-unknowns", two)
    assert (found.verdict.value, found.where) == (ASK, "loads.tank")
    assert "1 more" in found.wrong


def test_garage_in_the_floor_area_passes():
    assert verdicts("garage-in-the-floor-area", HOUSE) == []
    assert verdicts("garage-in-the-floor-area", HOUSE.replace("year_built", "garage_area_ft2 = 0, year_built")) == []


def test_garage_in_the_floor_area_fails():
    [told] = says("garage-in-the-floor-area", HOUSE.replace("year_built", "garage_area_ft2 = 420, year_built"))
    assert told.verdict.value == KNOW
    assert "420 ft2" in told.wrong
    assert len(told.readings) == 2


def test_a_year_s_record_behind_solar_is_read_both_ways():
    solar = RECORD.replace("solar_wind_or_peak_shaving = false", "solar_wind_or_peak_shaving = true")
    [told] = [finding for finding in says("metered-load-conditions", HOUSE + solar) if finding.readings]
    assert told.verdict.value == ASK
    assert not [finding for finding in says("metered-load-conditions", HOUSE + RECORD) if finding.readings]


CHARGER = load("car", 'kind = "vehicle charger", current_a = 32')


def test_charger_in_the_optional_step_passes():
    assert verdicts("charger-in-the-optional-step", HOUSE) == []
    # In 2026 chargers are counted apart.
    assert verdicts("charger-in-the-optional-step", CHARGER, "NEC 2026") == []


def test_charger_in_the_optional_step_fails():
    [told] = says(
        "charger-in-the-optional-step", CHARGER + 'loads.range = { kind = "range", panel = "main", kw = 12 }\n'
    )
    assert (told.verdict.value, len(told.readings)) == (KNOW, 2)
    assert told.section in ("220.82", "220.83")
