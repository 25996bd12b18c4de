"""Buildings fed from another place."""

from __future__ import annotations

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"

#: A house and a shed on a feeder; the blanks are further facts of shed, its panel and its feeder.
SHED = """
buildings.house = {{ use = "dwelling", floor_area_ft2 = 1000 }}
buildings.shed = {{ use = "storage"{shed} }}
equipment.main = {{ kind = "panel", building = "house", rating_a = 200, main = "breaker", main_a = 200 }}
equipment.box = {{ kind = "panel", building = "shed"{box} }}
runs.service = {{ from = "utility", to = "main", wires = 3, line_size = "2/0 AWG", metal = "copper" }}
runs.feeder = {{ from = "main", to = "box", owner = "customer", line_size = "6 AWG", metal = "copper", \
neutral_size = "6 AWG", insulation = "THWN", ocpd = "breaker", ocpd_a = 50{feeder} }}
circuits.lights = {{ from = "box", poles = 1, ocpd = "breaker", ocpd_a = 15, wire_size = "14 AWG", metal = "copper" }}
circuits.saw = {{ from = "box", poles = 2, ocpd = "breaker", ocpd_a = 20, wire_size = "12 AWG", metal = "copper" }}
loads.lamps = {{ kind = "lighting", circuit = "lights", va = 600, volts = 120, continuous = false }}
loads.saw = {{ kind = "workshop machine", circuit = "saw", va = 2000, volts = 240, continuous = false }}
"""
BOX = ', rating_a = 60, main = "breaker", main_a = 60, outdoors = false'
FOUR = ', wires = 4, egc = "wire", egc_size = "10 AWG", egc_metal = "copper"'
THREE = ', wires = 3, egc = "none", method = "overhead triplex"'
LAWFUL = THREE + ', metal_paths = "none", gfpe_upstream = false'
ROD = 'electrodes.rod = { kind = "rod", building = "shed", connected = true, conductor_to = "box" }\n'


def site(shed="", box=BOX, feeder=FOUR, more=""):
    return SHED.format(shed=shed, box=box, feeder=feeder) + more


def test_electrode_at_each_building_passes():
    assert not [f for f in says("electrode-at-each-building", site(more=ROD)) if "shed" in f.where]


def test_electrode_at_each_building_fails():
    house_rod = 'electrodes.rod = { kind = "rod", building = "house", connected = true }\n'
    found = says("electrode-at-each-building", site(more=house_rod))
    assert [(f.verdict.value, f.where) for f in found] == [(MEND, "buildings.shed")]


def test_electrode_at_each_building_is_a_question_where_the_survey_lists_none_at_all():
    found = says("electrode-at-each-building", site())
    assert [(f.verdict.value, f.where) for f in found] == [(ASK, "buildings.shed")]


def test_one_electrode_that_is_not_joined_is_told_of_once():
    loose = ROD.replace("connected = true", "connected = false")
    assert not [f for f in says("electrode-at-each-building", site(more=loose)) if "shed" in f.where]
    assert not [f for f in says("second-electrode-for-a-rod", site(more=loose)) if "rod" in f.where]
    assert [f.where for f in says("electrodes-present-are-joined", site(more=loose)) if "rod" in f.where]


def test_electrode_at_each_building_spares_one_branch_circuit_with_a_ground():
    circuit = (
        'circuits.one = { from = "main", building = "hut", ground = "wire" }\nbuildings.hut = { use = "storage" }\n'
    )
    assert not [f for f in says("electrode-at-each-building", site(more=circuit)) if "hut" in f.where]
    bare = circuit.replace('ground = "wire"', 'ground = "none"')
    assert [f for f in says("electrode-at-each-building", site(more=bare)) if "hut" in f.where]


def test_four_wires_to_a_building_passes():
    assert not says("four-wires-to-a-building", site(feeder=FOUR + ", is_new = true"))


def test_four_wires_to_a_building_fails():
    # As planning writes it: a new run whose wires the shop stated as three.
    found = says("four-wires-to-a-building", site(feeder=', wires = 3, egc = "none", is_new = true'))
    assert [f.verdict.value for f in found] == [MEND]


def test_four_wires_to_a_building_asks_when_nobody_counted():
    assert verdicts("four-wires-to-a-building", site(feeder="")) == [ASK]


def test_old_three_wire_feeder_passes():
    assert not says("old-three-wire-feeder", site())
    lawful = site(feeder=LAWFUL, box=BOX + ", neutral_bonded = true")
    assert verdicts("old-three-wire-feeder", lawful) == [KNOW]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('metal_paths = "none"', 'metal_paths = ["water pipe"]'),
        ("gfpe_upstream = false", "gfpe_upstream = true"),
        ('egc = "none"', 'egc = "wire"'),
    ],
)
def test_old_three_wire_feeder_fails_on_each_condition(old, new):
    assert verdicts("old-three-wire-feeder", site(feeder=LAWFUL.replace(old, new))) == [MEND]


def test_old_three_wire_feeder_fails():
    path = site(feeder=LAWFUL.replace('metal_paths = "none"', 'metal_paths = ["fence"]'))
    (found,) = says("old-three-wire-feeder", path)
    assert "fence" in found.wrong
    # Without a bond at its end, a lawful one leaves the building without any ground.
    assert verdicts("old-three-wire-feeder", site(feeder=LAWFUL, box=BOX + ", neutral_bonded = false")) == [MEND]


def test_old_three_wire_feeder_asks_for_paths_nobody_looked_for():
    assert verdicts("old-three-wire-feeder", site(feeder=THREE + ", gfpe_upstream = false")) == [ASK]


def test_neutral_not_bonded_at_fed_building_passes():
    assert not says("neutral-not-bonded-at-fed-building", site(box=BOX + ", neutral_bonded = false"))
    lawful = site(feeder=LAWFUL, box=BOX + ", neutral_bonded = true")
    assert not says("neutral-not-bonded-at-fed-building", lawful)


def test_neutral_not_bonded_at_fed_building_fails():
    assert verdicts("neutral-not-bonded-at-fed-building", site(box=BOX + ", neutral_bonded = true")) == [MEND]
    assert verdicts("neutral-not-bonded-at-fed-building", site()) == [ASK]


def test_building_disconnect_present_passes():
    assert not says("building-disconnect-present", site())


def test_building_disconnect_present_fails():
    joint = site().replace('kind = "panel", building = "shed"', 'kind = "junction box", building = "shed"')
    assert verdicts("building-disconnect-present", joint) == [MEND]


def test_building_disconnect_present_asks_for_the_switch_of_a_building_on_a_circuit():
    hut = 'buildings.hut = { use = "storage" }\ncircuits.hut = { from = "main", building = "hut" }\n'
    found = says("building-disconnect-present", site(more=hut))
    assert [(f.verdict.value, f.where) for f in found] == [(ASK, "buildings.hut")]


def test_building_disconnect_rating_passes():
    # 60 A for other than a dwelling, whatever the feeder: common practice, NEC 225.39.
    assert not says("building-disconnect-rating", site())


def test_building_disconnect_rating_fails():
    assert verdicts("building-disconnect-rating", site(box=BOX.replace("60", "50"))) == [MEND]
    assert verdicts("building-disconnect-rating", site(box=', main = "breaker"')) == [ASK]


def test_building_disconnect_rating_of_a_house_and_of_one_circuit():
    house = site(shed=', part_of = "unknown"').replace('use = "storage"', 'use = "dwelling"')
    assert verdicts("building-disconnect-rating", house) == [MEND]
    one = "\n".join(line for line in site(box=BOX.replace("60", "15")).splitlines() if "saw" not in line)
    assert not says("building-disconnect-rating", one)


def test_building_disconnect_grouping_passes():
    assert not says("building-disconnect-grouping", site(box=', rating_a = 60, main = "none"'))


def test_building_disconnect_grouping_fails():
    many = "".join(f'circuits.c{n} = {{ from = "box", poles = 1 }}\n' for n in range(5))
    assert verdicts("building-disconnect-grouping", site(box=', rating_a = 60, main = "none"', more=many)) == [MEND]
    assert verdicts("building-disconnect-grouping", site(box=", rating_a = 60")) == [ASK]


#: A house on a feeder from a pole.
POLE = """
buildings.pole = {{ use = "yard pole" }}
buildings.house = {{ use = "dwelling", floor_area_ft2 = 1000 }}
equipment.pole-main = {{ kind = "disconnect", building = "pole", outdoors = true, rating_a = 200, main = "breaker", \
main_a = 200 }}
equipment.box = {{ kind = "panel", building = "house", rating_a = 200, main = "breaker", main_a = 200, \
outdoors = {outdoors}, is_new = {new} }}
runs.service = {{ from = "utility", to = "pole-main", wires = 3, line_size = "4/0 AWG", metal = "copper" }}
runs.feeder = {{ from = "pole-main", to = "box", wires = 4, length_ft = {length}, ocpd = "breaker", ocpd_a = 200 }}
circuits.lights = {{ from = "box", poles = 1 }}
"""


def pole(outdoors="false", new="true", length=120):
    return POLE.format(outdoors=outdoors, new=new, length=length)


def test_emergency_disconnect_at_fed_dwelling_passes():
    assert not says("emergency-disconnect-at-fed-dwelling", pole(outdoors="true"))
    assert not says("emergency-disconnect-at-fed-dwelling", pole(), "NEC 2020")


def test_emergency_disconnect_at_fed_dwelling_fails():
    assert verdicts("emergency-disconnect-at-fed-dwelling", pole()) == [MEND]


def test_emergency_disconnect_at_fed_dwelling_by_what_is_known_and_what_is_old():
    assert verdicts("emergency-disconnect-at-fed-dwelling", pole(new="false")) == [KNOW]
    assert verdicts("emergency-disconnect-at-fed-dwelling", pole(length=40)) == [ASK]
    assert verdicts("emergency-disconnect-at-fed-dwelling", pole(outdoors='"unknown"')) == [ASK]


def test_one_feeder_per_building_passes():
    assert not says("one-feeder-per-building", site())


def test_one_feeder_per_building_fails():
    second = (
        'equipment.box-2 = { kind = "panel", building = "shed", rating_a = 60 }\n'
        'runs.second = { from = "main", to = "box-2", wires = 4 }\n'
    )
    found = says("one-feeder-per-building", site(more=second))
    assert [(f.verdict.value, f.where) for f in found] == [(ASK, "buildings.shed")]


def test_a_service_conductor_that_becomes_a_feeder_is_no_old_feeder():
    service = site(feeder=LAWFUL).replace('from = "main", to = "box"', 'from = "utility", to = "box"')
    before = installation(service)
    assert verdicts("old-three-wire-feeder", installation(site(feeder=LAWFUL)), found=before) == [MEND]


def test_building_disconnect_suitable_passes():
    lawful = site(feeder=LAWFUL, box=f"{BOX}, suitable_as_service_equipment = true")
    assert verdicts("building-disconnect-suitable", lawful) == []
    # With four wires nothing is joined there.
    assert verdicts("building-disconnect-suitable", site(box=f"{BOX}, suitable_as_service_equipment = false")) == []


def test_building_disconnect_suitable_fails():
    unfit = site(feeder=LAWFUL, box=f"{BOX}, suitable_as_service_equipment = false")
    assert verdicts("building-disconnect-suitable", unfit) == [KNOW]
    assert verdicts("building-disconnect-suitable", site(feeder=LAWFUL)) == [ASK]
