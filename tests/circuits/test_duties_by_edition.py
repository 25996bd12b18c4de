"""Duties edition by edition: the tables are typed from notes on the editions, not copied from the program's answers.

The notes on places and appliances were read in trade pages named in each edition's data (``gfci-receptacles``,
``gfci-appliances``, ``afci-extension``); what 2026 does not say here is carried over from 2023.
"""

import pytest

from circuits.houses import answer_of, changed, duty_of, house, renewed
from driploop.editions import edition_names
from rules.build import installation, readings_of

ALL = ("NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026")
ROOM = 'poles = 1, purpose = "general", afci = false, receptacles = true, '


def test_the_tables_below_speak_of_every_edition():
    assert edition_names() == ALL


# Lengthened outside enclosures by so many feet. 2017 does not say that wire inside enclosures is left out of the
# measure, 2020 and later do: forums.mikeholt.com 2563415, 2583767.
@pytest.mark.parametrize(
    ("length", "in_2017", "later"),
    [
        ("0", "no", "no"),
        ("4", "ask the office", "no"),
        ("6", "ask the office", "no"),
        ("6.1", "yes", "yes"),
        ("12", "yes", "yes"),
    ],
)
def test_the_six_foot_measure(length, in_2017, later):
    answers = [answer_of(renewed(ROOM + f"extend_ft = {length}", edition=e), "arc-fault-protection") for e in ALL]
    assert answers == [in_2017, later, later, later]


SECTIONS = list(zip(ALL, ["210.12(D)", "210.12(D)", "210.12(E)", "210.12(E)"], strict=True))


@pytest.mark.parametrize(("edition", "section"), SECTIONS)
def test_the_section_of_the_arc_fault_duty(edition, section):
    assert duty_of(renewed(ROOM + "extend_ft = 9", edition=edition), "arc-fault-protection").section == section


@pytest.mark.parametrize("edition", ALL)
def test_what_awakens_arc_fault_protection_besides_length(edition):
    def asked(circuit):
        return answer_of(renewed(ROOM + circuit, edition=edition), "arc-fault-protection")

    assert asked("extend_ft = 0, new_outlets = 1") == "yes"
    assert asked("extend_ft = 0, is_new = true") == "yes"
    assert asked("extend_ft = 0, receptacles_replaced = 1") == "yes"
    assert asked("") == "yes until seen"


@pytest.mark.parametrize("purpose", ["bathroom", "garage", "outdoor", "spare"])
def test_rooms_without_arc_fault_protection_say_nothing_of_it(purpose):
    assert answer_of(renewed(f'poles = 1, purpose = "{purpose}", extend_ft = 20'), "arc-fault-protection") is None


# New receptacles, by where they are. 2017: 125 V, 15 and 20 A; 2020: to 250 V, all basements; 2023: all of a kitchen.
@pytest.mark.parametrize(
    ("circuit", "load", "answers"),
    [
        ('poles = 1, purpose = "bathroom"', "", ["yes", "yes", "yes", "yes"]),
        ('poles = 1, purpose = "laundry"', "", ["yes", "yes", "yes", "yes"]),
        ('poles = 1, purpose = "small appliance"', "", ["yes", "yes", "yes", "yes"]),
        ('poles = 1, purpose = "general", room = "hall"', "", [None, None, None, None]),
        ('poles = 1, purpose = "general", room = "cellar"', "", ["yes until seen", "yes", "yes", "yes"]),
        ('poles = 1, purpose = "dedicated", room = "kitchen"', "", ["yes until seen", "yes until seen", "yes", "yes"]),
        ('poles = 2, purpose = "dedicated"', 'kind = "dryer"', [None, "yes", "yes", "yes"]),
        ('poles = 2, purpose = "dedicated"', 'kind = "range"', [None, "yes until seen", "yes", "yes"]),
        ('poles = 2, purpose = "outdoor"', "", [None, "yes", "yes", "yes"]),
    ],
)
def test_places_of_ground_fault_protection(circuit, load, answers):
    new = circuit + ', is_new = true, receptacles = true, gfci = false, ground = "wire"'
    assert [answer_of(renewed(new, load, edition=e), "ground-fault-receptacles") for e in ALL] == answers


def test_old_receptacles_stay_until_one_is_replaced():
    old = 'poles = 1, purpose = "bathroom", receptacles = true, '
    assert answer_of(renewed(old + "gfci = false"), "ground-fault-receptacles") == "no"
    one = old + "receptacles_replaced = 1, "
    assert answer_of(renewed(one + "gfci = false"), "ground-fault-receptacles") == "yes"
    assert answer_of(renewed(one), "ground-fault-receptacles") == "yes until seen"
    assert answer_of(renewed(one + "gfci = true"), "ground-fault-receptacles") == "no"


# New appliances by kind: 2017 the dishwasher of a dwelling, 2020 also sump pumps, 2023 ranges, ovens, dryers ...
@pytest.mark.parametrize(
    ("kind", "answers"),
    [
        ("dishwasher", ["yes", "yes", "yes", "yes"]),
        ("range", [None, None, "yes", "yes"]),
        ("oven", [None, None, "yes", "yes"]),
        ("cooktop", [None, None, "yes", "yes"]),
        ("dryer", [None, None, "yes", "yes"]),
        ("microwave", [None, None, "yes", "yes"]),
        ("water heater", [None, None, None, None]),
    ],
)
def test_appliances_that_are_named(kind, answers):
    new = f'kind = "{kind}", is_new = true'
    assert [answer_of(renewed("gfci = false", new, edition=e), "ground-fault-appliance") for e in ALL] == answers


def test_a_sump_pump_is_named_from_2020_on():
    read = [answer_of(renewed('gfci = false, stays_on = "sump pump"', 'kind = "motor", is_new = true', edition=e),
                      "ground-fault-appliance") for e in ALL]  # fmt: skip
    assert read == [None, "yes", "yes", "yes"]


# An air conditioner renewed outdoors. 2023 excepts listed ones until 1 September 2026 (sygfci.com 2026/03/20,
# electricallicenserenewal.com 1852); interim amendments to 2020 did likewise and states differ.
@pytest.mark.parametrize(
    ("permit", "answers"),
    [
        ("2026-08-31", ["no", "ask the office", "no", "ask the office"]),
        ("2026-09-01", ["no", "ask the office", "yes", "ask the office"]),
        (None, ["no", "ask the office", "ask the office", "ask the office"]),
    ],
)
def test_cooling_outdoors_by_permit_date(permit, answers):
    unit = 'kind = "air conditioner", volts = 240, mocp_a = 40, is_new = true'
    assert [answer_of(renewed("", unit, edition=e, permit=permit), "ground-fault-outdoors") for e in ALL] == answers


# 50 A through 2023, 60 A in 2026.
@pytest.mark.parametrize(("mocp", "answers"), [("50", ["yes", "yes"]), ("60", ["no", "yes"]), ("70", ["no", "no"])])
def test_large_outdoor_outlets(mocp, answers):
    pump = f'kind = "well pump", volts = 240, mocp_a = {mocp}, is_new = true'
    circuit = 'purpose = "outdoor", gfci = false'
    read = [answer_of(renewed(circuit, pump, edition=e), "ground-fault-outdoors") for e in ("NEC 2023", "NEC 2026")]
    assert read == answers


# 2023 takes in the outdoor outlets of a dwelling's garage and outbuildings: lesson 812, named in the edition's data.
def test_outdoor_outlets_of_a_garage():
    pump = 'kind = "well pump", volts = 240, mocp_a = 20, is_new = true'
    circuit = 'purpose = "outdoor", gfci = false'

    def garage(edition, site_kind):
        parts = installation(house(circuit, pump, use="garage"), site_kind=site_kind)
        return answer_of(readings_of(parts, edition, found=parts), "ground-fault-outdoors")

    assert [garage(edition, "residence") for edition in ALL] == [None, None, "yes", "yes"]
    assert garage("NEC 2023", "farm") is None


def test_equipment_outdoors_that_stays_awakens_nothing():
    assert answer_of(renewed("", 'kind = "air conditioner", mocp_a = 40'), "ground-fault-outdoors") == "no"


# 230.67 came with 2020, 215.18 with 2023.
@pytest.mark.parametrize(("edition", "answer"), list(zip(ALL, [None, "yes", "yes", "yes"], strict=True)))
def test_surge_protection_at_a_renewed_service(edition, answer):
    none = 'surge_protection = "none"'
    read = changed(house(panel=none), house(panel=f"{none}, is_new = true"), edition)
    assert answer_of(read, "surge-protection") == answer
    there = changed(house(), house(panel='surge_protection = "type 2", is_new = true'), edition)
    assert answer_of(there, "surge-protection") == (None if answer is None else "no")


FEEDER = """
buildings.house = { use = "dwelling" }
runs = { service = { from = "utility", to = "main" }, feeder = { from = "main", to = "panel" } }
equipment.main = { kind = "disconnect", building = "house", surge_protection = "type 2" }
equipment.panel = { kind = "panel", building = "house", surge_protection = "none", is_new = %s }
circuits.one = { from = "panel" }
"""


@pytest.mark.parametrize(("edition", "answer"), list(zip(ALL, [None, None, "yes", "yes"], strict=True)))
def test_surge_protection_at_the_next_level(edition, answer):
    read = changed(FEEDER % "false", FEEDER % "true", edition)
    there = {duty.part: duty.answer for duty in read.duties if duty.id == "surge-protection"}
    assert there.get("panel") == answer


BARE = (
    'wire_size = "8", metal = "copper", cable = "SE cable", neutral = "bare", neutral_covered = false, '
    "frame_grounded_by_neutral = true"
)
AFTER_A_MAIN = """
buildings.house = { use = "dwelling" }
runs = { service = { from = "utility", to = "main" }, feeder = { from = "main", to = "panel" } }
equipment.main = { kind = "disconnect", building = "house", is_new = true }
equipment.panel = { kind = "panel", building = "house" }
circuits.one = { from = "panel", serves = "one", %s }
loads.one = { circuit = "one", kind = "range" }
"""


@pytest.mark.parametrize("edition", ALL)
def test_a_range_keeps_three_wires_only_from_the_service(edition):
    inside = renewed(BARE, 'kind = "range"', edition=edition)
    outdoors = changed(house(BARE, 'kind = "range"'), AFTER_A_MAIN % BARE, edition)
    assert answer_of(inside, "four-wires-to-range-or-dryer") == "no"
    duty = duty_of(outdoors, "four-wires-to-range-or-dryer")
    assert duty.answer == "yes"
    # 250.140(B) of 2023 lets the bare wire stay where it is covered within the panel.
    assert ("Cover" in duty.do) == (edition in ("NEC 2023", "NEC 2026"))


def test_a_range_that_gets_four_wires_gets_today_s_receptacle():
    after = AFTER_A_MAIN % (BARE + ", gfci = false, receptacles = true")
    read = [changed(house(BARE, 'kind = "range"'), after, e) for e in ALL]
    assert [answer_of(each, "ground-fault-receptacles") for each in read] == [None, "yes until seen", "yes", "yes"]


# electricallicenserenewal.com sections 1063 (2020) and 1560 (2023): battery lights moved from (I)(2) to (H); a fire
# alarm panel by article 760, from memory. What else must not go dark is common practice, and cites nothing.
@pytest.mark.parametrize(
    ("edition", "what", "section"),
    [
        ("NEC 2020", "emergency lighting", "700.12(I)(2)"),
        ("NEC 2023", "emergency lighting", "700.12(H)"),
        ("NEC 2023", "fire alarm panel", "760.41(B), 760.121(B)"),
        ("NEC 2023", "freezer", ""),
        ("NEC 2023", "sump pump", ""),
    ],
)
def test_what_must_not_go_dark_cites_the_section_that_speaks_of_it(edition: str, what: str, section: str) -> None:
    duty = duty_of(renewed(f'stays_on = "{what}"', edition=edition), "keep-on")
    assert duty is not None
    assert duty.section == section
