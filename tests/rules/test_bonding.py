"""Where the neutral is joined to metal: one case of each rule that passes, one that fails, and what is asked."""

from __future__ import annotations

from .build import installation, says, verdicts

MEND, ASK = "must be mended", "must be asked"

#: A meter, a main inside, and a panel fed from it; the blanks are further facts.
HOUSE = """
buildings.house = {{ use = "dwelling", floor_area_ft2 = 1000, communications = true }}
equipment.meter = {{ kind = "meter", building = "house", outdoors = true{meter} }}
equipment.main = {{ kind = "panel", building = "house", rating_a = 100, main = "breaker", main_a = 100{main} }}
equipment.sub = {{ kind = "panel", building = "house", rating_a = 60, main = "none"{sub} }}
runs.drop = {{ from = "utility", to = "meter", owner = "utility", method = "overhead triplex" }}
runs.service = {{ from = "meter", to = "main", owner = "customer", wires = 3, line_size = "4 AWG", metal = "copper", \
neutral_size = "4 AWG"{service} }}
runs.feeder = {{ from = "main", to = "sub", owner = "customer", line_size = "6 AWG", metal = "copper", \
neutral_size = "6 AWG", ocpd = "breaker", ocpd_a = 50{feeder} }}
"""
FOUR = ', wires = 4, egc = "wire", egc_size = "10 AWG", egc_metal = "copper"'
THREE = ', wires = 3, egc = "none"'


def house(meter="", main="", sub="", service="", feeder=FOUR):
    return HOUSE.format(meter=meter, main=main, sub=sub, service=service, feeder=feeder)


def outdoor(role, more="", run=""):
    """The house with an outdoor device between meter and main."""
    device = (
        f'equipment.outdoor = {{ kind = "disconnect", building = "house", outdoors = true, role = "{role}"{more} }}'
    )
    inside = f'runs.inside = {{ from = "outdoor", to = "main"{run} }}'
    moved = house().replace('from = "meter", to = "main"', 'from = "meter", to = "outdoor"')
    return f"{moved}\n{device}\n{inside}\n"


def test_bond_at_the_service_passes():
    assert not says("bond-at-the-service", house(main=", neutral_bonded = true"))


def test_bond_at_the_service_fails():
    assert verdicts("bond-at-the-service", house(main=", neutral_bonded = false")) == [MEND]


def test_bond_at_the_service_asks_where_nobody_looked_unless_the_panel_goes():
    assert verdicts("bond-at-the-service", house()) == [ASK]
    assert not says("bond-at-the-service", house(main=', fate = "replace"'))


def test_bond_once_passes():
    assert not says("bond-once", house(sub=", neutral_bonded = false"))


def test_bond_once_fails():
    found = says("bond-once", house(sub=", neutral_bonded = true"))
    assert [(f.verdict.value, f.where) for f in found] == [(MEND, "equipment.sub.neutral_bonded")]


def test_bond_once_never_takes_away_the_only_ground():
    assert "First" in says("bond-once", house(sub=", neutral_bonded = true", feeder=THREE))[0].mend
    assert "First" not in says("bond-once", house(sub=", neutral_bonded = true"))[0].mend


def test_bond_once_asks_where_nobody_looked():
    assert verdicts("bond-once", house()) == [ASK]


def test_four_wire_downstream_passes():
    assert not says("four-wire-downstream", house())


def test_four_wire_downstream_fails():
    assert verdicts("four-wire-downstream", house(feeder=THREE)) == [MEND]


def test_four_wire_downstream_asks_when_nobody_counted():
    assert verdicts("four-wire-downstream", house(feeder="")) == [ASK]


def test_four_wire_downstream_counts_a_metal_raceway_as_the_ground():
    assert not says("four-wire-downstream", house(feeder=', wires = 3, method = "EMT", egc = "raceway"'))


def test_emergency_disconnect_keeps_three_wires_passes():
    assert not says("emergency-disconnect-keeps-three-wires", outdoor("emergency disconnect", run=", wires = 3"))
    assert not says("emergency-disconnect-keeps-three-wires", outdoor("service disconnect", run=", wires = 4"))


def test_emergency_disconnect_keeps_three_wires_fails():
    for role in ("emergency disconnect", "meter disconnect"):
        assert verdicts("emergency-disconnect-keeps-three-wires", outdoor(role, run=", wires = 4")) == [ASK]


def test_line_side_enclosure_bonded_passes():
    bonded = outdoor("emergency disconnect", more=", neutral_bonded = true")
    assert not says("line-side-enclosure-bonded", bonded)


def test_line_side_enclosure_bonded_fails():
    loose = outdoor("emergency disconnect", more=", neutral_bonded = false")
    assert [f.where for f in says("line-side-enclosure-bonded", loose)] == ["equipment.outdoor.neutral_bonded"]
    assert says("line-side-enclosure-bonded", house(meter=", neutral_bonded = false"))


def test_line_side_enclosure_bonded_does_not_ask_about_the_inside_of_a_meter():
    assert not says("line-side-enclosure-bonded", house())
    assert says("line-side-enclosure-bonded", outdoor("emergency disconnect"))


def test_main_bonding_jumper_size_passes():
    assert not says("main-bonding-jumper-size", house(main=", suitable_as_service_equipment = true"))


def test_main_bonding_jumper_size_fails():
    # 4 AWG copper service lines: 8 AWG copper, first row of the table of bonding jumpers.
    (found,) = says("main-bonding-jumper-size", house(main=", suitable_as_service_equipment = false"))
    assert found.verdict.value == ASK
    assert "8 AWG copper" in found.mend


def test_a_mark_that_was_not_read_is_asked_for_once():
    assert not says("main-bonding-jumper-size", house())
    assert [f.where for f in says("suitable-as-service-equipment", house())] == ["equipment.main"]


def test_of_a_new_enclosure_nobody_is_said_to_have_looked_in():
    (told,) = says("bond-at-the-service", house(main=", is_new = true"))
    assert told.verdict.value == ASK
    assert "Nobody" not in told.wrong


METAL = ', method = "RMC"'


def test_line_side_raceway_bonded_passes():
    hub = ', line_side_fitting = "threaded hub"'
    assert not says("line-side-raceway-bonded", house(meter=hub, main=hub, service=METAL))
    plastic = ', line_side_fitting = "ordinary locknut"'
    assert not says("line-side-raceway-bonded", house(meter=plastic, main=plastic, service=', method = "PVC 80"'))


def test_line_side_raceway_bonded_fails():
    loose = house(meter=', line_side_fitting = "ordinary locknut"', main=', knockouts = "hub"', service=METAL)
    assert verdicts("line-side-raceway-bonded", loose) == [MEND]


def test_line_side_raceway_bonded_asks_at_each_end_not_seen():
    assert verdicts("line-side-raceway-bonded", house(service=METAL)) == [ASK, ASK]


def test_the_fitting_of_a_new_enclosure_is_to_be_chosen():
    told = says("line-side-raceway-bonded", house(meter=", is_new = true", main=", is_new = true", service=METAL))
    assert [f.verdict.value for f in told] == [ASK, ASK]
    assert not [f for f in told if "Nobody" in f.wrong]


def test_locknuts_in_rings_are_one_fault_and_rings_with_an_unseen_fitting_a_question():
    rings = ', knockouts = "concentric"'
    hub = ', line_side_fitting = "threaded hub"'
    loose = house(meter=rings + ', line_side_fitting = "ordinary locknut"', main=hub, service=METAL)
    (told,) = says("line-side-raceway-bonded", loose)
    assert "past the rings" in told.mend
    assert not says("knockouts-need-a-jumper", loose)
    unseen = house(meter=rings, main=hub, service=METAL)
    assert verdicts("line-side-raceway-bonded", unseen) == [ASK]
    assert not says("knockouts-need-a-jumper", unseen)


def test_knockouts_need_a_jumper_passes():
    ringed_hub = ', line_side_fitting = "threaded hub", knockouts = "concentric"'
    plain = ', line_side_fitting = "bonding locknut", knockouts = "plain"'
    assert not says("knockouts-need-a-jumper", house(meter=ringed_hub, main=plain, service=METAL))


def test_knockouts_need_a_jumper_fails():
    ringed = ', line_side_fitting = "bonding locknut", knockouts = "eccentric"'
    hub = ', line_side_fitting = "threaded hub"'
    assert verdicts("knockouts-need-a-jumper", house(meter=ringed, main=hub, service=METAL)) == [MEND]


def test_knockouts_need_a_jumper_asks_for_the_jumper_of_a_bushing_and_for_rings_not_seen():
    bushing = ', line_side_fitting = "bonding bushing", knockouts = "concentric"'
    unseen = ', line_side_fitting = "bonding locknut"'
    assert verdicts("knockouts-need-a-jumper", house(meter=bushing, main=unseen, service=METAL)) == [ASK, ASK]


def test_what_goes_is_not_asked_about_as_found_but_what_stays_is_asked_as_proposed():
    found = installation(house(sub=', fate = "replace"'))
    assert not says("bond-once", found)
    assert verdicts("bond-once", installation(house()), found=found) == [ASK]
