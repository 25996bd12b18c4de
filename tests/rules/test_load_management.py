"""Load management: conditions, set point, what may be held back. NEC 2023: 220.70, 750.30; vehicle charging 625.42."""

from .build import says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"
MET = 'listed = true, fails_safe = true, settings = "behind restricted access", marked = true, accepted = true'
PLACE = """
buildings.house = { use = "dwelling", floor_area_ft2 = 1500, garage_area_ft2 = 0 }
equipment.panel = { kind = "panel", building = "house", rating_a = 100, main = "breaker", main_a = 100 }
runs.drop = { from = "utility", to = "panel" }
loads.charger = { kind = "vehicle charger", panel = "panel", current_a = 80, volts = 240 }
loads.tank = { kind = "water heater", panel = "panel", kw = 4.5, volts = 240 }
loads.fan = { kind = "ventilation fan", panel = "panel", va = 400, volts = 240 }
loads.more = { kind = "electric heat", panel = "panel", kw = 30, volts = 240 }
"""
WHOLE = 'limits = "service or feeder", holds = "panel", set_point_a = 80, loads = ["charger", "tank", "more"]'
CHARGERS = 'limits = "vehicle chargers", set_point_a = 20, loads = ["charger"]'


def held(what=WHOLE, conditions=MET):
    return f"{PLACE}load_management.system = {{ {what}, {conditions} }}\n"


def test_load_management_conditions_passes():
    assert verdicts("load-management-conditions", held()) == []
    assert verdicts("load-management-conditions", PLACE) == []


def test_load_management_conditions_fails():
    [told] = says("load-management-conditions", held(conditions=MET.replace("fails_safe = true", "fails_safe = false")))
    assert told.verdict.value == MEND
    assert told.where == "load_management.system.fails_safe"
    assert told.section == "750.30(C)(2)"
    unknown = says("load-management-conditions", held(conditions="listed = true"))
    assert [(f.verdict.value, f.where.rpartition(".")[2]) for f in unknown] == [
        (ASK, "fails_safe"), (ASK, "settings"), (ASK, "marked"), (ASK, "accepted"),
    ]  # fmt: skip


def test_where_the_edition_has_no_words_of_its_own_the_leave_is_the_ground():
    told = says("load-management-conditions", held(CHARGERS, "listed = false"), "NEC 2017")
    assert {f.section for f in told} == {"625.42", "90.4, 110.2"}


def test_load_management_set_point_passes():
    assert verdicts("load-management-set-point", held()) == []
    assert verdicts("load-management-set-point", held(CHARGERS)) == []


def test_load_management_set_point_fails():
    # The house by itself, 4,500 VA of lighting, kitchen and laundry, carries more than 20 A by every method.
    [low] = says("load-management-set-point", held(WHOLE.replace("80", "20")))
    assert low.verdict.value == MEND
    assert "above the set point of 20 A" in low.wrong
    asked = says("load-management-set-point", held('limits = "service or feeder"'))
    assert [(f.verdict.value, f.where.rpartition(".")[2]) for f in asked] == [
        (ASK, "holds"), (ASK, "set_point_a"), (ASK, "loads"),
    ]  # fmt: skip
    assert verdicts("load-management-set-point", held(WHOLE.replace('["charger", "tank", "more"]', "[]"))) == [MEND]


def test_load_counted_at_set_point_passes():
    # What is not yet shown to be met is told by the other rules; nothing is counted so yet.
    assert verdicts("load-counted-at-set-point", held(conditions="listed = true")) == []


def test_load_counted_at_set_point_fails():
    [counted] = says("load-counted-at-set-point", held())
    assert (counted.verdict.value, counted.section) == (KNOW, "220.70, 750.30")
    assert "80 A" in counted.wrong
    [full] = says("load-counted-at-set-point", held(), "NEC 2020")
    assert (full.verdict.value, full.section) == (KNOW, "750.30")
    assert "no rule known here" in full.wrong
    [chargers] = says("load-counted-at-set-point", held(CHARGERS), "NEC 2020")
    assert chargers.section == "625.42"
    assert verdicts("load-counted-at-set-point", held("set_point_a = 80")) == [ASK]


def test_charger_management_holds_chargers_passes():
    assert verdicts("charger-management-holds-chargers", held(CHARGERS)) == []
    assert verdicts("charger-management-holds-chargers", held()) == []


def test_charger_management_holds_chargers_fails():
    [told] = says("charger-management-holds-chargers", held(CHARGERS.replace('"charger"]', '"charger", "tank"]')))
    assert told.verdict.value == MEND
    assert "tank" in told.wrong


def test_held_back_without_harm_passes():
    assert verdicts("held-back-without-harm", held()) == []


def test_held_back_without_harm_fails():
    [told] = says("held-back-without-harm", held(WHOLE.replace('"charger", ', '"fan", ')))
    assert (told.verdict.value, told.section) == (ASK, "750.30(B)")


def test_a_load_above_the_service_is_a_question_while_the_conditions_are():
    rule = "service-carries-the-load"
    assert verdicts(rule, PLACE) == [MEND]
    assert verdicts(rule, held()) == []
    assert verdicts(rule, held(conditions="listed = true")) == [ASK]
    assert verdicts(rule, held(conditions="listed = false")) == [MEND]
    # A set point that the service does not bear as a continuous load mends nothing: 90 A x 125 % is above 100 A.
    assert verdicts(rule, held(WHOLE.replace("80", "90"))) == [MEND]
    assert verdicts(rule, held(), "NEC 2020") == [MEND]
