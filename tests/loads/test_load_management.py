"""A set point in place of the load: where the edition allows it, on what conditions, and what it counts as."""

from __future__ import annotations

import pytest

from driploop.editions import load_edition
from driploop.installation import Graph
from driploop.loads import LoadReading, read_loads
from driploop.survey import read_job_text

MET = 'listed = true, fails_safe = true, settings = "behind restricted access", marked = true, accepted = true'
HOUSE = """
format = 1
site.kind = "residence"
utility.system = "120/240 V single-phase"
buildings.house = { use = "dwelling", floor_area_ft2 = 1500, garage_area_ft2 = 0, laundry = "in unit", \
gas_or_other_heat = true }
equipment.meter = { kind = "meter", building = "house" }
equipment.box = { kind = "panel", building = "house", rating_a = 100, main = "breaker", main_a = 100 }
runs.drop = { from = "utility", to = "meter" }
runs.entrance = { from = "meter", to = "box" }
circuits.range = { from = "box", poles = 2 }
circuits.charger = { from = "box", poles = 2 }
circuits.rooms = { from = "box", purpose = "general", poles = 1 }
loads.range = { kind = "range", circuit = "range", kw = 12, volts = 240, continuous = false }
loads.charger = { kind = "vehicle charger", circuit = "charger", current_a = 80, volts = 240 }
"""
#: A workshop on a feeder of its own beside the house.
SHOP = """
buildings.shop = { use = "workshop" }
equipment.shop-panel = { kind = "panel", building = "shop", rating_a = 60 }
runs.feeder = { from = "box", to = "shop-panel", ocpd = "breaker", ocpd_a = 60 }
circuits.heater = { from = "shop-panel", poles = 2 }
circuits.lathe = { from = "shop-panel", poles = 2 }
loads.heater = { kind = "electric heat", circuit = "heater", kw = 10, volts = 240, continuous = false }
loads.lathe = { kind = "other", circuit = "lathe", va = 4800, volts = 240, continuous = false }
"""
WHOLE = 'limits = "service or feeder", holds = "box", set_point_a = 80, circuits = ["charger"]'
CHARGERS = 'limits = "vehicle chargers", set_point_a = 20, loads = ["charger"]'


def system(what: str, conditions: str = MET) -> str:
    return f"load_management.system = {{ {what}{', ' if conditions else ''}{conditions} }}\n"


def read(survey: str, *, year: str = "2023") -> LoadReading:
    return read_loads(Graph(read_job_text(survey).found), edition=load_edition(year))


def test_the_set_point_is_the_load_where_all_conditions_are_met() -> None:
    # 80 A x 240 V = 19,200 VA; as a continuous load 80 A x 125 % = 100 A. NEC 2023: 220.70, 750.30.
    node = read(HOUSE + system(WHOLE)).nodes["box"]
    result = node.result("set point")
    assert result is not None
    assert result.permitted == "yes"
    assert node.governing is result
    assert node.load_va == pytest.approx(19_200)
    assert node.conductor_current_a == pytest.approx(100)
    assert result.section == "220.70, 750.30"


def test_the_meter_ahead_carries_the_same_set_point() -> None:
    nodes = read(HOUSE + system(WHOLE)).nodes
    assert nodes["meter"].current_a == pytest.approx(80)


def test_every_condition_is_a_line_of_the_worksheet_with_its_section() -> None:
    result = read(HOUSE + system(WHOLE, "listed = true, fails_safe = false")).nodes["box"].result("set point")
    assert result is not None
    answers = {
        key: (result.worksheet.line(f"condition_{key}").result.value, result.worksheet.line(f"condition_{key}").result)
        for key in ("listed", "fails_safe", "settings", "marked", "accepted")
    }
    assert {key: answer for key, (answer, _) in answers.items()} == {
        "listed": "yes", "fails_safe": "no", "settings": "not known", "marked": "not known", "accepted": "not known",
    }  # fmt: skip
    assert answers["listed"][1].section == "750.6"
    assert answers["settings"][1].section == "750.30(C)(3)"


@pytest.mark.parametrize("field", ["listed", "fails_safe", "settings", "marked", "accepted"])
def test_a_condition_nobody_knows_leaves_the_full_load_and_is_asked(field: str) -> None:
    stated = ", ".join(part for part in MET.split(", ") if not part.startswith(field))
    plain, held = read(HOUSE).nodes["box"], read(HOUSE + system(WHOLE, stated)).nodes["box"]
    result = held.result("set point")
    assert result is not None
    assert result.permitted == "ask"
    assert held.load_va == plain.load_va
    assert held.conductor_current_a == plain.conductor_current_a


@pytest.mark.parametrize(
    ("field", "broken"),
    [
        ("listed = true", "listed = false"),
        ("fails_safe = true", "fails_safe = false"),
        ("marked = true", "marked = false"),
        ("accepted = true", "accepted = false"),
        ('settings = "behind restricted access"', 'settings = "open to anyone"'),
    ],
)
def test_a_condition_that_is_not_met_refuses_the_set_point(field: str, broken: str) -> None:
    node = read(HOUSE + system(WHOLE, MET.replace(field, broken))).nodes["box"]
    result = node.result("set point")
    assert result is not None
    assert result.permitted == "no"
    assert node.load_va == read(HOUSE).nodes["box"].load_va


@pytest.mark.parametrize("year", ["2017", "2020"])
def test_an_edition_without_the_rule_counts_the_full_load(year: str) -> None:
    reading = read(HOUSE + system(WHOLE), year=year)
    assert reading.held["system"].permitted == "no"
    assert "no rule known here" in reading.held["system"].why
    assert reading.nodes["box"].load_va == read(HOUSE, year=year).nodes["box"].load_va


def test_what_is_not_held_back_must_fit_under_the_set_point() -> None:
    # Held to 40 A. Without the charger, standard method: 9,000 VA of lighting and kitchen, 3,000 + 35 % of 6,000 =
    # 5,100, and 8,000 for the range: 13,100 VA = 54.6 A, above the set point.
    held = read(HOUSE + system(WHOLE.replace("80", "40"))).held["system"]
    assert held.unmanaged_a == pytest.approx(54.6, abs=0.05)
    assert held.permitted == "no"


@pytest.mark.parametrize("year", ["2017", "2020", "2023"])
def test_chargers_held_together_count_at_their_set_point_in_every_edition(year: str) -> None:
    # 20 A x 240 V = 4,800 VA, below the 7,200 VA of 220.57: 625.42 takes what the system lets through.
    # Existing dwelling: 9,000 + 12,000 + 4,800 = 25,800; 8,000 + 40 % of 17,800 = 15,120 VA = 63 A.
    node = read(HOUSE + system(CHARGERS), year=year).nodes["box"]
    assert node.governing.method == "set point"
    assert node.load_va == pytest.approx(15_120)
    assert node.governing.worksheet.line("setpoint").result.section.startswith("625.42")


def test_two_chargers_share_one_set_point_by_their_size() -> None:
    # 32 A and 48 A, held together to 40 A: 16 A and 24 A, 9,600 VA in all.
    two = HOUSE.replace("current_a = 80", "current_a = 48") + (
        'circuits.second = { from = "box", poles = 2 }\n'
        'loads.second = { kind = "vehicle charger", circuit = "second", current_a = 32, volts = 240 }\n'
    )
    held = CHARGERS.replace("20", "40").replace('["charger"]', '["charger", "second"]')
    result = read(two + system(held)).nodes["box"].result("set point")
    assert result is not None
    values = [line.result.number for line in result.worksheet.lines if "held to 40 A" in line.working]
    assert values == pytest.approx([24 * 240, 16 * 240])


def test_a_charger_system_that_holds_a_range_is_refused() -> None:
    held = read(HOUSE + system(CHARGERS.replace('["charger"]', '["charger", "range"]'))).held["system"]
    assert held.permitted == "no"
    assert "range" in held.why


def test_a_held_feeder_counts_at_its_set_point_in_the_service_ahead() -> None:
    # The shop's feeder held to 24 A: 5,760 VA of it stand beside the house's own load, counted in full.
    survey = HOUSE.replace("current_a = 80", "current_a = 16") + SHOP
    held = system('limits = "service or feeder", holds = "shop-panel", set_point_a = 24, loads = ["heater"]')
    reading = read(survey + held)
    assert reading.nodes["shop-panel"].current_a == pytest.approx(24)
    alone = read(HOUSE.replace("current_a = 80", "current_a = 16")).nodes["box"].result("optional")
    result = reading.nodes["box"].result("set point")
    assert result is not None
    assert result.worksheet.line("rest").result.number <= (alone.load_va if alone else 0)
    assert result.load_va == pytest.approx(result.worksheet.line("rest").result.number + 24 * 240)
    assert reading.nodes["box"].load_va < read(survey).nodes["box"].load_va


def test_a_feeder_that_is_not_held_enough_changes_nothing() -> None:
    # 20 A of the lathe cannot be held back; a set point of 15 A holds nothing.
    held = system('limits = "service or feeder", holds = "shop-panel", set_point_a = 15, loads = ["heater"]')
    reading = read(HOUSE + SHOP + held)
    assert reading.held["system"].unmanaged_a == pytest.approx(20)
    assert reading.held["system"].permitted == "no"
    assert reading.nodes["box"].load_va == read(HOUSE + SHOP).nodes["box"].load_va


def test_more_load_never_lowers_a_held_service() -> None:
    loads = [0.0]
    for amperes in (1, 10, 30, 60, 90):
        more = (
            f'loads.more = {{ kind = "other", panel = "box", va = {amperes * 240}, volts = 240, continuous = false }}\n'
        )
        loads.append(read(HOUSE + more + system(WHOLE)).nodes["box"].conductor_current_a)
    assert loads == sorted(loads)
