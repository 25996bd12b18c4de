"""What the survey decided about equipment, runs and circuits, as the proposal carries it out."""

import pytest

from alternatives.houses import FARM, HOUSE, build, changed, proposal, refusal

OUTDOORS = proposal("service disconnect outdoors", panel="box")
SHED = (
    HOUSE
    + """
buildings.shed = { use = "storage" }
equipment.shed-switch = { kind = "disconnect", building = "shed", rating_a = 60, main = "fuses", main_a = 60 }
equipment.shed-panel = { kind = "panel", building = "shed", rating_a = 60, main = "none", \
branch_protection = "breakers", neutral_bonded = true }
runs.shed-feeder = { from = "box", to = "shed-switch", wires = 3, method = "overhead triplex", length_ft = 80, \
metal_paths = ["water pipe"], line_size = "6 AWG", metal = "aluminum", ocpd = "fuses", ocpd_a = 60, egc = "none" }
runs.shed-tail = { from = "shed-switch", to = "shed-panel", wires = 3, length_ft = 2, line_size = "10 AWG" }
circuits.shed-lamp = { from = "shed-panel", poles = 1, ocpd = "breaker", ocpd_a = 20, wire_size = "12 AWG", \
metal = "copper" }
loads.shed-lamp = { kind = "lighting", circuit = "shed-lamp", va = 300 }
"""
)
FARM_POINT = proposal("farm distribution point", outdoor_place="pole")


@pytest.mark.parametrize("fate", ["remove", "abandon"])
def test_a_building_keeps_its_long_feeder_when_its_switch_goes(fate: str):
    built = build(changed(SHED, "equipment.shed-switch", fate=fate), OUTDOORS)
    feeder = built.graph.feeding_run("shed-panel")
    assert feeder is not None
    assert (feeder.id, feeder.length_ft, feeder.metal_paths, feeder.wires) == ("shed-feeder", 80, ("water pipe",), 3)
    assert "shed-tail" not in built.installation.runs


def test_circuits_of_a_building_never_move_to_another():
    given_up = changed(changed(SHED, "equipment.shed-switch", fate="abandon"), "equipment.shed-panel", fate="abandon")
    error = refusal(given_up, OUTDOORS)
    assert (error.where, "shed-lamp" in error.what) == ("equipment.shed-switch.fate", True)


def test_a_building_is_given_up_with_its_circuits():
    given_up = changed(changed(SHED, "equipment.shed-switch", fate="abandon"), "equipment.shed-panel", fate="abandon")
    built = build(changed(given_up, "circuits.shed-lamp", fate="remove"), OUTDOORS)
    assert not {"shed-switch", "shed-panel"} & set(built.installation.equipment)
    assert not {"shed-feeder", "shed-tail"} & set(built.installation.runs)
    assert "shed-lamp" not in built.installation.loads
    assert built.assumed("circuits.shed-lamp.fate") == "gone with it: shed-lamp"


def test_a_circuit_that_goes_lets_go_of_its_partner():
    pair = HOUSE + 'circuits.other = { from = "box", ocpd_a = 15, wire_size = "14 AWG", multiwire_with = "rooms" }\n'
    built = build(changed(pair, "circuits.rooms", fate="remove"), OUTDOORS)
    assert "rooms" not in built.installation.circuits
    assert built.installation.circuits["other"].multiwire_with is None


def test_a_circuit_to_be_replaced_brings_nothing_of_its_old_wire():
    circuit = build(changed(HOUSE, "circuits.range", fate="replace"), OUTDOORS).installation.circuits["range"]
    assert circuit.is_new
    assert (circuit.wire_size, circuit.ground, circuit.neutral) == (None, "wire", None)
    assert (circuit.frame_grounded_by_neutral, circuit.ocpd_a) == (False, 50)


def test_circuits_are_moved_before_their_switch_becomes_a_junction_box():
    switch = """
equipment.pull = { kind = "disconnect", building = "house", rating_a = 30, main = "fuses", main_a = 30, \
fate = "convert to junction box" }
runs.to-pull = { from = "box", to = "pull", wires = 3 }
circuits.tank = { from = "pull", ocpd = "cartridge fuse", ocpd_a = 30, wire_size = "10 AWG", metal = "copper" }
"""
    assert refusal(HOUSE + switch, OUTDOORS).where == "equipment.pull.fate"
    built = build(HOUSE + switch, OUTDOORS + 'proposal.moves = { tank = "box" }\n')
    assert built.graph.equipment("pull").kind == "junction box"
    assert built.graph.roles["pull"] == "not a disconnect"
    assert built.installation.circuits["tank"].from_ == "box"


def test_circuits_may_move_to_a_panel_that_the_proposal_adds():
    added = """
proposal.moves = { rooms = "garage-panel" }
proposal.equipment.garage-panel = { kind = "panel", building = "house", rating_a = 60, branch_protection = "breakers" }
proposal.runs.to-garage = { from = "box", to = "garage-panel", wires = 4, length_ft = 30 }
"""
    built = build(HOUSE, OUTDOORS + added)
    assert built.installation.circuits["rooms"].from_ == "garage-panel"
    assert built.graph.source_of("garage-panel") == "box"
    assert built.installation.runs["to-garage"].ocpd == "breaker"


def test_a_switch_to_be_unfused_keeps_its_place():
    switch = """
equipment.pull = { kind = "disconnect", building = "house", rating_a = 30, main = "fuses", main_a = 30, \
fate = "convert to unfused" }
runs.to-pull = { from = "box", to = "pull", wires = 3 }
"""
    pull = build(HOUSE + switch, OUTDOORS).graph.equipment("pull")
    assert (pull.kind, pull.main, pull.main_a) == ("disconnect", "none", None)


@pytest.mark.parametrize("fate", ["remove", "abandon"])
def test_a_run_that_goes_may_not_leave_equipment_dark(fate: str):
    assert refusal(changed(SHED, "runs.shed-feeder", fate=fate), OUTDOORS).where == "runs.shed-feeder.fate"


def test_a_run_that_goes_may_be_followed_by_one_the_proposal_adds():
    buried = 'proposal.runs.buried = { from = "box", to = "shed-switch", method = "PVC 40", wires = 4 }\n'
    built = build(changed(SHED, "runs.shed-feeder", fate="abandon"), OUTDOORS + buried)
    assert built.graph.run_into["shed-switch"] == "buried"
    assert "shed-feeder" not in built.installation.runs


def test_a_service_run_is_replaced_by_the_services_method_on_three_wires():
    boxed = changed(HOUSE, "runs.entrance", **{"from": "trough"}) + (
        """
equipment.trough = { kind = "junction box", building = "house", fate = "keep" }
runs.mast = { from = "meter", to = "trough", owner = "customer", method = "EMT", wires = 3, length_ft = 20, \
fate = "replace" }
"""
    )
    mast = build(boxed, OUTDOORS).installation.runs["mast"]
    assert (mast.is_new, mast.method, mast.wires, mast.metal, mast.length_ft) == (True, "PVC 80", 3, "aluminum", 20)
    assert (mast.ocpd, mast.ocpd_a) == ("none", None)


def test_a_drop_to_be_replaced_stays_the_utilitys():
    drop = build(changed(HOUSE, "runs.drop", fate="replace"), OUTDOORS).installation.runs["drop"]
    assert (drop.owner, drop.method, drop.is_new) == ("utility", "overhead triplex", True)


def test_a_feeder_to_be_replaced_has_four_wires_and_keeps_what_lies_beside_it():
    feeder = build(changed(SHED, "runs.shed-feeder", fate="replace"), OUTDOORS).installation.runs["shed-feeder"]
    assert (feeder.wires, feeder.method, feeder.neutral_insulated) == (4, "SER cable", True)
    assert (feeder.metal_paths, feeder.length_ft) == (("water pipe",), 80)


def test_a_replacement_brings_no_old_marks_and_no_promise_of_its_own():
    box = build(HOUSE, OUTDOORS).graph.equipment("box")
    assert (box.condition, box.knockouts, box.spaces, box.handle_height_in) == (None, None, None, None)
    assert (box.poles, box.branch_protection, box.unused_openings) == (2, "breakers", 0)


def test_a_rating_by_building_is_that_of_its_entrance_alone():
    kitchen = """
equipment.kitchen = { kind = "panel", building = "house", rating_a = 100, main = "breaker", main_a = 60, \
fate = "replace" }
runs.to-kitchen = { from = "house-panel", to = "kitchen", wires = 3 }
"""
    built = build(FARM + kitchen, FARM_POINT + "proposal.disconnect_ratings_a = { house = 200, barn = 100 }\n")
    assert (built.graph.equipment("kitchen").rating_a, built.graph.equipment("kitchen").main_a) == (100, 60)
    assert (built.graph.equipment("barn-panel").rating_a, built.graph.equipment("barn-panel").main_a) == (100, 100)


def test_a_new_meter_is_as_large_as_the_main_behind_it():
    meter = build(HOUSE, OUTDOORS).graph.equipment("meter")
    assert (meter.rating_a, meter.mains_count, meter.directory) == (200, None, None)


def test_a_record_of_a_meter_that_came_out_stands_for_what_took_its_place():
    metered = changed(HOUSE, "equipment.meter", fate="remove") + 'metered.peak = { meter = "meter", peak_kw = 6 }\n'
    built = build(metered, OUTDOORS)
    assert "meter" not in built.installation.equipment
    assert built.installation.metered["peak"].meter is None
