"""What a replacement awakens in old wiring."""

import pytest

from driploop.installation import Town

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"


def panel(fields="", more="", use="dwelling"):
    return (
        f'buildings.house = {{ use = "{use}" }}\nruns.service = {{ from = "utility", to = "panel" }}\n'
        f'equipment.panel = {{ kind = "panel", building = "house"{fields and ", " + fields} }}\n{more}\n'
    )


def circuit(fields, panel_fields=""):
    return panel(panel_fields, f'circuits.one = {{ from = "panel", serves = "range", {fields} }}')


OLD = 'frame_grounded_by_neutral = true, metal = "copper", '
BARE = OLD + 'wire_size = "8", cable = "SE cable", neutral = "bare", neutral_covered = false'
AFTER_A_MAIN = """
equipment = { main = { kind = "disconnect" }, panel = { kind = "panel" } }
runs = { service = { from = "utility", to = "main" }, feeder = { from = "main", to = "panel" } }
circuits.one = { from = "panel", %s }
"""


def test_a_frame_with_a_ground_at_hand_is_not_grounded_by_the_neutral():
    both = OLD + 'wire_size = "10", neutral = "insulated", ground = "wire"'
    assert verdicts("three-wire-range-or-dryer", circuit(both)) == [MEND]


def test_three_wire_range_or_dryer_passes():
    assert verdicts("three-wire-range-or-dryer", circuit(BARE)) == []
    assert verdicts("three-wire-range-or-dryer", circuit(OLD + 'wire_size = "10", neutral = "insulated"')) == []
    assert verdicts("three-wire-range-or-dryer", circuit("frame_grounded_by_neutral = false")) == []


def test_three_wire_range_or_dryer_fails():
    # Bare neutral only in SE cable, only from the service equipment; 10 AWG copper or larger: NEC 250.140.
    assert verdicts("three-wire-range-or-dryer", AFTER_A_MAIN % BARE) == [MEND]
    assert verdicts("three-wire-range-or-dryer", circuit(BARE.replace("SE cable", "NM cable"))) == [MEND]
    assert verdicts("three-wire-range-or-dryer", circuit(OLD + 'wire_size = "12", neutral = "insulated"')) == [MEND]
    assert verdicts("three-wire-range-or-dryer", circuit(BARE + ", is_new = true")) == [MEND]
    assert verdicts("three-wire-range-or-dryer", circuit(OLD + 'wire_size = "8"')) == [ASK]


def test_2023_lets_the_bare_neutral_stay_where_it_is_covered():
    assert "Cover" in says("three-wire-range-or-dryer", AFTER_A_MAIN % BARE, "NEC 2023")[0].mend
    assert "Cover" not in says("three-wire-range-or-dryer", AFTER_A_MAIN % BARE, "NEC 2020")[0].mend


COVERED = BARE.replace("neutral_covered = false", "neutral_covered = true")
NOT_SEEN = BARE.replace(", neutral_covered = false", "")


@pytest.mark.parametrize(
    ("edition", "covered", "not_seen", "bare"),
    # Under the exception of 250.140 to 2020 only the service equipment serves; 250.140(B) of 2023 takes a cover too.
    [("NEC 2017", [MEND], [MEND], [MEND]), ("NEC 2020", [MEND], [MEND], [MEND]), ("NEC 2023", [], [ASK], [MEND])],
)
def test_a_bare_neutral_on_a_feeder_panel_hangs_on_its_cover(edition, covered, not_seen, bare):
    rule = "three-wire-range-or-dryer"
    assert verdicts(rule, AFTER_A_MAIN % COVERED, edition) == covered
    assert verdicts(rule, AFTER_A_MAIN % NOT_SEEN, edition) == not_seen
    assert verdicts(rule, AFTER_A_MAIN % BARE, edition) == bare
    # A cover makes no small neutral larger, and at the service equipment none is asked for.
    assert verdicts(rule, AFTER_A_MAIN % COVERED.replace('"8"', '"12"'), edition) == [MEND]
    assert verdicts(rule, circuit(NOT_SEEN), edition) == []


def test_a_bare_neutral_of_which_nobody_knows_where_it_starts_is_asked_about():
    nowhere = circuit(BARE).replace('from = "panel", ', "")
    assert verdicts("three-wire-range-or-dryer", nowhere) == [ASK]


def test_a_range_of_which_nobody_knows_its_ground_is_asked_about():
    load = '\nloads.range = { kind = "range", circuit = "one" }'
    assert verdicts("three-wire-range-or-dryer", circuit('wire_size = "8"') + load) == [ASK]
    # A ground is there; whether the old joint was taken out is one question for all of a panel.
    [told] = says("three-wire-range-or-dryer", circuit('ground = "wire"') + load)
    assert (told.verdict.value, told.where) == (ASK, "equipment.panel")
    told_of = 'ground = "wire", frame_grounded_by_neutral = false'
    assert verdicts("three-wire-range-or-dryer", circuit(told_of) + load) == []


def test_two_poles_of_which_nobody_knows_what_they_feed_may_feed_a_range():
    assert verdicts("three-wire-range-or-dryer", circuit("poles = 2")) == [ASK]
    assert verdicts("three-wire-range-or-dryer", circuit("poles = 1")) == []
    heater = '\nloads.heater = { kind = "water heater", circuit = "one" }'
    assert verdicts("three-wire-range-or-dryer", circuit("poles = 2") + heater) == []


FOUND = installation(circuit('purpose = "general", poles = 1', 'room = "bathroom"'))


def lengthened(fields, panel_fields='room = "hall", is_new = true', **more):
    return verdicts("afci-when-extended", circuit(f"poles = 1, {fields}", panel_fields), found=FOUND, **more)


def test_afci_when_extended_passes():
    # 6 ft are free: forums.mikeholt.com 2583767.
    assert lengthened('purpose = "general", extend_ft = 6, afci = false') == []
    assert lengthened('purpose = "general", extend_ft = 9, afci = true') == []
    assert lengthened('purpose = "bathroom", extend_ft = 9') == []
    assert lengthened('purpose = "general"', 'room = "bathroom", is_new = true') == []


def test_afci_when_extended_fails():
    assert lengthened('purpose = "general", extend_ft = 7, afci = false') == [MEND]
    assert lengthened('purpose = "dedicated", extend_ft = 7') == [ASK]
    assert lengthened('purpose = "general"') == [ASK]


UNIT = panel(
    more='loads.unit = { kind = "heat pump", panel = "panel", building = "house", is_new = true, mocp_a = 40 }'
)


def outdoors(date, edition="NEC 2023", text=UNIT):
    return verdicts("gfci-outdoors", text, edition, town=Town(permit_date=date))


def test_gfci_outdoors_passes():
    # The exception for listed cooling equipment ran out on 1 September 2026: electricallicenserenewal.com 1852.
    assert outdoors("2026-08-31") == []
    assert outdoors("2026-09-01", "NEC 2017") == []
    assert outdoors("2026-09-01", text=UNIT.replace("mocp_a = 40", "mocp_a = 60")) == []
    assert outdoors("2026-09-01", text=UNIT.replace(", is_new = true", "")) == []


def test_gfci_outdoors_fails():
    assert outdoors("2026-09-01") == [MEND]
    assert outdoors(None) == [ASK]
    assert outdoors("2026-09-01", "NEC 2020") == [ASK]
    assert outdoors("2026-09-01", "NEC 2026") == [ASK]
    pump = 'circuits.one = { from = "panel", purpose = "outdoor", gfci = false, is_new = true }\n'
    pump += 'loads.pump = { kind = "well pump", circuit = "one" }'
    assert outdoors("2024-01-01", text=panel(more=pump)) == [MEND]
    assert outdoors("2024-01-01", text=panel(more=pump.replace(' purpose = "outdoor",', ""))) == [ASK]


def test_ungrounded_receptacles_passes():
    assert verdicts("ungrounded-receptacles", circuit('receptacles = true, ground = "wire"')) == []
    assert verdicts("ungrounded-receptacles", circuit("receptacles = false")) == []


def test_ungrounded_receptacles_fails():
    assert verdicts("ungrounded-receptacles", circuit('receptacles = true, ground = "none"')) == [KNOW]
    assert verdicts("ungrounded-receptacles", circuit("receptacles = true")) == [ASK]


KNOB = 'cable = "knob-and-tube"'


def test_knob_and_tube_passes():
    assert verdicts("knob-and-tube", circuit('cable = "NM cable", in_thermal_insulation = true')) == []


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        (", in_thermal_insulation = true", MEND),
        (", in_thermal_insulation = false", KNOW),
        ("", ASK),
        (", is_new = true", MEND),
    ],
)
def test_knob_and_tube_fails(fields, told):
    assert verdicts("knob-and-tube", circuit(KNOB + fields)) == [told]


def test_aluminum_branch_wiring_passes():
    assert verdicts("aluminum-branch-wiring", circuit('metal = "copper", ocpd_a = 15')) == []
    assert verdicts("aluminum-branch-wiring", circuit('metal = "aluminum", ocpd_a = 40')) == []


def test_aluminum_branch_wiring_fails():
    assert verdicts("aluminum-branch-wiring", circuit('metal = "aluminum", ocpd_a = 15')) == [ASK]


def test_sixty_degree_wire_passes():
    assert verdicts("sixty-degree-wire", circuit('wire_size = "6", insulation = "THWN"')) == []
    assert verdicts("sixty-degree-wire", circuit('wire_size = "12", insulation = "TW"')) == []
    assert verdicts("sixty-degree-wire", circuit('wire_size = "6"')) == []


def test_sixty_degree_wire_fails():
    assert verdicts("sixty-degree-wire", circuit('wire_size = "6", insulation = "TW"')) == [KNOW]
    assert verdicts("sixty-degree-wire", circuit('wire_size = "6", cable = "NM cable"')) == [KNOW]


CLOTH = 'insulation = "rubber and cloth"'


def test_old_cloth_insulation_passes():
    assert verdicts("old-cloth-insulation", circuit('insulation = "THHN"')) == []


def test_old_cloth_insulation_fails():
    assert verdicts("old-cloth-insulation", circuit(CLOTH)) == [KNOW]
    assert verdicts("old-cloth-insulation", circuit(CLOTH, "is_new = true")) == [ASK]


def cable(fields):
    return panel().replace('to = "panel"', f'to = "panel", {fields}')


def test_damaged_service_cable_passes():
    assert verdicts("damaged-service-cable", cable("damaged = false")) == []
    assert verdicts("damaged-service-cable", cable("is_new = true")) == []
    assert verdicts("damaged-service-cable", cable('damaged = true, owner = "utility"')) == []
    feeder = AFTER_A_MAIN.replace('to = "panel" }', 'to = "panel", damaged = true }') % BARE
    assert verdicts("damaged-service-cable", feeder.replace('to = "main"', 'to = "main", damaged = false')) == []


def test_damaged_service_cable_fails():
    assert verdicts("damaged-service-cable", cable("damaged = true")) == [MEND]
    assert verdicts("damaged-service-cable", cable("length_ft = 20")) == [ASK]


def test_panel_leaves_the_bad_place_passes():
    assert verdicts("panel-leaves-the-bad-place", panel('room = "hall", is_new = true'), found=FOUND) == []
    assert verdicts("panel-leaves-the-bad-place", panel('room = "bathroom"'), found=FOUND) == []


def test_panel_leaves_the_bad_place_fails():
    renewed = panel('room = "bathroom", is_new = true')
    assert verdicts("panel-leaves-the-bad-place", renewed, found=FOUND) == [MEND]
    # One place, one finding: the rule on bathrooms leaves it to this one.
    assert verdicts("no-panel-in-a-bathroom", renewed, found=FOUND) == []
