"""Each duty by itself: what makes it yes, what no, what is not known, and what has to be bought."""

import pytest

from circuits.houses import answer_of, changed, duty_of, house, renewed
from driploop.circuits.duties_results import TITLES
from rules.build import installation, readings_of


@pytest.mark.parametrize(
    ("id", "circuit", "answer"),
    [
        ("aluminum-branch-wiring", 'metal = "aluminum", ocpd_a = 15', "yes"),
        ("aluminum-branch-wiring", 'metal = "aluminum", ocpd_a = 40', None),
        ("aluminum-branch-wiring", 'metal = "copper", ocpd_a = 15', None),
        ("aluminum-branch-wiring", "ocpd_a = 15", "yes until seen"),
        ("knob-and-tube", 'cable = "knob-and-tube", in_thermal_insulation = false', "no"),
        ("knob-and-tube", 'cable = "knob-and-tube", in_thermal_insulation = true', "yes"),
        ("knob-and-tube", 'cable = "knob-and-tube"', "yes until seen"),
        ("knob-and-tube", "", "yes until seen"),
        ("knob-and-tube", 'cable = "NM cable"', None),
        ("cloth-insulation", 'insulation = "rubber and cloth"', "yes"),
        ("cloth-insulation", 'insulation = "TW"', None),
        ("cloth-insulation", "", "yes until seen"),
        ("sixty-degree-wire", 'insulation = "TW", wire_size = "6"', "yes"),
        ("sixty-degree-wire", 'cable = "NM cable", insulation = "THHN", wire_size = "6"', "yes"),
        ("sixty-degree-wire", 'insulation = "TW", wire_size = "12"', None),
        ("sixty-degree-wire", 'insulation = "THWN", cable = "EMT", wire_size = "6"', None),
        ("sixty-degree-wire", 'wire_size = "6"', "yes until seen"),
        ("tamper-resistant", 'poles = 1, receptacles = true, purpose = "general"', "no"),
        ("tamper-resistant", "poles = 1, receptacles = true, receptacles_replaced = 2", "yes"),
        ("tamper-resistant", "receptacles = false, new_outlets = 1", None),
        ("weather-resistant", 'poles = 1, receptacles = true, purpose = "outdoor", new_outlets = 1', "yes"),
        ("weather-resistant", 'poles = 1, receptacles = true, purpose = "general", new_outlets = 1', None),
        ("receptacles-without-a-ground", 'receptacles = true, ground = "none"', "no"),
        ("receptacles-without-a-ground", 'receptacles = true, ground = "none", receptacles_replaced = 1', "yes"),
        ("receptacles-without-a-ground", "receptacles = true, receptacles_replaced = 1", "yes until seen"),
        ("receptacles-without-a-ground", 'receptacles = true, ground = "wire", new_outlets = 1', None),
        ("keep-on", 'stays_on = "livestock alarm"', "yes"),
        ("keep-on", 'stays_on = "emergency lighting"', "yes"),
        ("keep-on", 'stays_on = "fire alarm panel"', "yes"),
        ("keep-on", 'stays_on = "nothing"', None),
    ],
)
def test_what_the_circuit_says(id, circuit, answer):
    assert answer_of(renewed(circuit), id) == answer


PAIR = """
buildings.house = {{ use = "dwelling" }}
runs.service = {{ from = "utility", to = "panel" }}
equipment.panel = {{ kind = "panel", building = "house", is_new = {new} }}
circuits.a = {{ from = "panel", serves = "a", multiwire_with = "b", poles = 1, {a} }}
circuits.b = {{ from = "panel", serves = "b", multiwire_with = "a", poles = 1, {b} }}
"""


def pair(new="true", a="", b=""):
    return changed(PAIR.format(new="false", a="", b=""), PAIR.format(new=new, a=a, b=b))


def test_a_multiwire_pair_is_told_once_and_opens_together_in_a_new_panel():
    assert answer_of(pair(a='leg = "A"', b='leg = "B"'), "multiwire-opens-together") == "yes"
    assert answer_of(pair(), "multiwire-opens-together") == "yes until seen"
    assert answer_of(pair(new="false"), "multiwire-opens-together") == "no"
    assert "same line" in duty_of(pair(a='leg = "A"', b='leg = "A"'), "multiwire-opens-together").reason


def test_a_barn_keeps_its_listed_wiring_and_no_other():
    def barn(circuit, id):
        before = house(circuit, use="livestock")
        after = house(circuit, use="livestock", panel="is_new = true")
        return answer_of(changed(before, after), id)

    assert barn('cable = "UF cable"', "agricultural-wiring") == "no"
    assert barn('cable = "NM cable"', "agricultural-wiring") == "yes"
    assert barn("", "agricultural-wiring") == "yes until seen"
    assert barn('cable = "UF cable", receptacles = true, gfci = false', "agricultural-receptacles") == "no"
    new = 'cable = "UF cable", receptacles = true, gfci = false, new_outlets = 1'
    assert barn(new, "agricultural-receptacles") == "yes"


TWO_BUILDINGS = """
buildings = { house = { use = "dwelling" }, shed = { use = "workshop" } }
runs.service = { from = "utility", to = "panel" }
runs.feeder = { from = "panel", to = "shed-panel", wires = %s, egc = "%s" }
equipment = { panel = { kind = "panel", building = "house" }, shed-panel = { kind = "panel", building = "shed" } }
circuits.one = { from = "shed-panel" }
"""


@pytest.mark.parametrize(("wires", "egc", "answer"), [("4", "wire", "no"), ("3", "none", "yes")])
def test_a_feeder_to_a_building_has_four_wires_unless_the_old_terms_are_shown(wires, egc, answer):
    text = TWO_BUILDINGS % (wires, egc)
    read = readings_of(installation(text), "NEC 2023", found=installation(text))
    assert [duty.answer for duty in read.duties if duty.id == "feeder-to-building"] == [answer]


def test_every_duty_says_what_to_buy_whatever_the_answer():
    for circuit in ('poles = 1, purpose = "general", receptacles = true, extend_ft = 3', 'cable = "knob-and-tube"'):
        duties = renewed(circuit).duties
        assert duties
        for duty in duties:
            assert duty.needs, duty
            assert all(need.count > 0 for need in duty.needs)
            assert duty.reason.endswith(".")
            assert duty.id in TITLES


def test_replaced_receptacles_are_counted():
    duty = duty_of(
        renewed("poles = 1, receptacles = true, receptacles_replaced = 4, new_outlets = 2"), "tamper-resistant"
    )
    assert [(need.what, need.count) for need in duty.needs] == [("tamper-resistant receptacle", 6)]


def test_the_measure_stands_in_a_worksheet():
    duty = duty_of(renewed('poles = 1, purpose = "general", extend_ft = 7.5'), "arc-fault-protection")
    assert duty.worksheet.line("free").result.value == 6
    assert duty.worksheet.line("length").result.value == 7.5
    assert duty.worksheet.line("answer").result.value == "yes"
