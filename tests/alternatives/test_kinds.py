"""Each kind of outdoor device: what hangs where, what it is, how many wires lead to it, where the earth lands."""

import pytest

from alternatives.houses import FARM, HOUSE, KINDS, METER, WALL_OF_SWITCHES, build, changed, proposal, refusal

DEVICE_ROLES = {
    "service disconnect outdoors": "service disconnect",
    "emergency disconnect": "emergency disconnect",
    "meter disconnect": "meter disconnect",
}
#: A disconnect that the utility wanted ahead of its meter.
SWITCH_AHEAD_OF_METER = HOUSE.replace('to = "meter", owner = "utility"', 'to = "cold", owner = "utility"') + (
    """
equipment.cold = { kind = "disconnect", building = "house", rating_a = 60, main = "fuses", main_a = 60 }
runs.to-meter = { from = "cold", to = "meter", owner = "customer", method = "RMC", wires = 3 }
"""
)
NO_METER = HOUSE.replace(METER, "") + (
    'runs.entrance = { from = "utility", to = "box", owner = "customer", wires = 3, fate = "replace" }\n'
)
TWO_METERS = """
buildings.duplex = { use = "two-family dwelling" }
equipment.trough = { kind = "junction box", building = "duplex", outdoors = true }
runs.drop = { from = "utility", to = "trough", owner = "utility" }
""" + "".join(
    f"""
buildings.{unit} = {{ use = "dwelling unit", part_of = "duplex", floor_area_ft2 = 900, laundry = "none" }}
equipment.meter-{unit} = {{ kind = "meter", building = "duplex", rating_a = 100 }}
equipment.panel-{unit} = {{ kind = "panel", building = "{unit}", rating_a = 60, main = "fuses", main_a = 60, \
fate = "replace" }}
runs.tap-{unit} = {{ from = "trough", to = "meter-{unit}", owner = "customer", wires = 3 }}
runs.entrance-{unit} = {{ from = "meter-{unit}", to = "panel-{unit}", owner = "customer", wires = 3 }}
circuits.rooms-{unit} = {{ from = "panel-{unit}", ocpd = "plug fuse", ocpd_a = 20, wire_size = "14 AWG", \
metal = "copper" }}
"""
    for unit in ("down", "up")
)


def test_an_inside_main_stays_the_service_disconnect_on_three_wires():
    built = build(HOUSE, proposal("service disconnect inside"))
    box = built.graph.equipment("box")
    assert (built.graph.roles["box"], box.main_a, box.neutral_bonded) == ("service disconnect", 200, True)
    assert (built.installation.runs["service"].wires, built.graph.source_of("box")) == (3, "meter")
    assert built.installation.electrodes["water"].conductor_to == "box"


@pytest.mark.parametrize(("kind", "role"), DEVICE_ROLES.items())
def test_a_device_outdoors_stands_between_meter_and_panel(kind: str, role: str):
    built = build(HOUSE, proposal(kind))
    assert built.graph.roles["new-main"] == role
    assert (built.graph.source_of("new-main"), built.graph.source_of("box")) == ("meter", "new-main")
    is_service = role == "service disconnect"
    panel, feeder = built.graph.equipment("box"), built.installation.runs["main-feeder"]
    # Four wires and a panel without a bond only where the new device is the service disconnect.
    assert feeder.wires == (4 if is_service else 3)
    assert panel.neutral_bonded is not is_service
    assert panel.main_a == (None if is_service else 200)
    assert built.installation.electrodes["water"].conductor_to == ("new-main" if is_service else "box")


def test_everything_outdoors_takes_the_panel_out_and_its_circuits_over():
    built = build(HOUSE, proposal("everything outdoors"))
    assert "box" not in built.installation.equipment
    assert {circuit.from_ for circuit in built.installation.circuits.values()} == {"new-main"}


@pytest.mark.parametrize("kind", ["service disconnect outdoors", "everything outdoors"])
def test_an_electrode_conductor_that_lands_elsewhere_is_new(kind: str):
    water = build(HOUSE, proposal(kind)).installation.electrodes["water"]
    assert (water.conductor_to, water.conductor_size) == ("new-main", None)


def test_everything_outdoors_refuses_a_panel_that_is_to_be_kept():
    kept = changed(HOUSE, "equipment.box", fate="keep")
    assert refusal(kept, proposal("everything outdoors")).where == "equipment.box.fate"


def test_everything_outdoors_refuses_to_start_circuits_at_another_place():
    pole = 'buildings.pole = { use = "yard pole" }\n'
    assert refusal(HOUSE + pole, proposal("everything outdoors", outdoor_place="pole")).where == "proposal.kind"


def test_each_of_two_meters_gets_a_disconnect_of_its_own():
    proposed = proposal("several service disconnects", outdoor_place="duplex", rating_a=125)
    built = build(TWO_METERS, proposed)
    for unit in ("down", "up"):
        assert tuple(built.graph.path_up(f"panel-{unit}")) == (f"new-main-{unit}", f"meter-{unit}", "trough", "utility")


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "several service disconnects"])
def test_one_of_two_meters_is_renewed_and_the_other_left_alone(kind: str):
    built = build(TWO_METERS, proposal(kind, outdoor_place="duplex", panel="panel-down"))
    assert tuple(built.graph.path_up("panel-up")) == ("meter-up", "trough", "utility")
    assert built.graph.source_of("meter-down") == "trough"


@pytest.mark.parametrize("kind", KINDS)
def test_a_switch_ahead_of_the_meter_goes_and_the_meter_is_fed_by_the_drop(kind: str):
    built = build(SWITCH_AHEAD_OF_METER, proposal(kind))
    assert "cold" not in built.installation.equipment
    assert built.graph.feeding_run("meter") == built.installation.runs["drop"]


@pytest.mark.parametrize("kind", KINDS)
def test_without_a_meter_the_service_starts_at_the_utility(kind: str):
    graph = build(NO_METER, proposal(kind)).graph
    assert graph.source_of(graph.service_disconnects[0]) in ("utility", "new-main")


@pytest.mark.parametrize("kind", KINDS)
def test_no_switch_of_the_old_wall_stays_and_nothing_hangs_loose(kind: str):
    built = build(WALL_OF_SWITCHES, proposal(kind))
    assert not [id for id in built.installation.equipment if id.startswith("switch")]
    assert len(built.graph.order) == len(built.installation.equipment)
    assert len(built.graph.service_disconnects) == 1


def test_a_switch_that_is_kept_stays_on_its_trough():
    keeps = changed(WALL_OF_SWITCHES, "equipment.switch-5", fate="keep")
    graph = build(keeps, proposal("service disconnect outdoors", panel="panel-a")).graph
    assert (graph.source_of("switch-5"), graph.source_of("new-main")) == ("trough", "trough")


def test_a_kept_switch_ahead_of_the_new_main_is_refused():
    keeps = changed(WALL_OF_SWITCHES, "equipment.switch-1", fate="keep")
    error = refusal(keeps, proposal("service disconnect inside", panel="panel-a"))
    assert error.where == "equipment.switch-1.fate"
    assert "'remove'" in error.what


def test_an_emergency_disconnect_that_is_kept_stays_ahead_of_the_new_inside_main():
    keeps = changed(WALL_OF_SWITCHES, "equipment.switch-1", fate="keep", role="emergency disconnect")
    graph = build(keeps, proposal("service disconnect inside", panel="panel-a")).graph
    assert graph.source_of("panel-a") == "switch-1"
    assert graph.roles["switch-1"] == "emergency disconnect"
    assert graph.roles["panel-a"] == "service disconnect"


def test_a_panel_beside_the_main_in_another_building_keeps_its_circuits():
    barn = """
buildings.barn = { use = "storage" }
equipment.barn-panel = { kind = "panel", building = "barn", rating_a = 60, main = "breaker", main_a = 60 }
runs.to-barn = { from = "meter", to = "barn-panel", owner = "customer", wires = 3 }
circuits.lamp = { from = "barn-panel", ocpd = "breaker", ocpd_a = 15, wire_size = "14 AWG", metal = "copper" }
"""
    built = build(HOUSE + barn, proposal("service disconnect outdoors", panel="box"))
    assert built.installation.circuits["lamp"].from_ == "barn-panel"
    assert built.graph.source_of("barn-panel") == "meter"


def test_a_farm_is_fed_from_its_pole_and_each_building_keeps_its_panel():
    built = build(FARM, proposal("farm distribution point", outdoor_place="pole"))
    assert "pole-switch" not in built.installation.equipment
    assert [built.graph.source_of(id) for id in ("new-main", "house-panel", "barn-panel")] == [
        "meter", "new-main", "new-main",
    ]  # fmt: skip
    assert built.graph.roles["barn-panel"] == "building disconnect"


def test_a_main_panel_in_a_house_is_not_taken_for_a_switch_at_the_pole():
    built = build(HOUSE, proposal("farm distribution point"))
    assert built.graph.source_of("box") == "new-main"
    assert {circuit.from_ for circuit in built.installation.circuits.values()} == {"box"}


def test_a_site_isolating_device_holds_no_breaker_for_the_feeders():
    built = build(FARM, proposal("farm distribution point", outdoor_place="pole", site_isolating=True))
    feeder, panel = built.installation.runs["to-barn"], built.graph.equipment("barn-panel")
    assert built.graph.roles["new-main"] == "site-isolating device"
    assert (feeder.ocpd, feeder.ocpd_a, built.installation.runs["to-house"].ocpd) == ("none", None, "none")
    # So the barn's own panel must protect it: 60 A is the least for such a building's disconnect.
    assert (panel.main, panel.main_a) == ("breaker", 60)


def test_circuits_may_not_start_at_a_site_isolating_device():
    lamp = 'circuits.yard = { from = "pole-switch", ocpd = "cartridge fuse", ocpd_a = 20 }\n'
    error = refusal(FARM + lamp, proposal("farm distribution point", outdoor_place="pole", site_isolating=True))
    assert error.where == "circuits.yard.from"
    assert "[proposal.moves]" in error.what


def test_a_panel_in_another_building_than_the_service_disconnect_gets_a_main():
    pole = 'buildings.pole = { use = "yard pole" }\n'
    built = build(HOUSE + pole, proposal("service disconnect outdoors", outdoor_place="pole"))
    assert built.graph.roles["box"] == "building disconnect"
    assert built.graph.equipment("box").main_a == 200


def test_a_panel_to_take_over_must_be_one():
    error = refusal(HOUSE, proposal("service disconnect inside", panel="meter"))
    assert (error.where, "a meter" in error.what) == ("proposal.panel", True)


def test_where_no_panel_is_listed_one_must_be_named():
    bare = changed(HOUSE, "equipment.box", kind="disconnect")
    assert refusal(bare, proposal("service disconnect inside")).where == "proposal.panel"
    assert build(bare, proposal("service disconnect inside", panel="box")).graph.equipment("box").kind == "panel"


def test_a_switch_whose_place_a_panel_takes_may_be_named():
    built = build(WALL_OF_SWITCHES, proposal("service disconnect inside", panel="switch-2"))
    assert (built.graph.equipment("switch-2").kind, built.graph.roles["switch-2"]) == ("panel", "service disconnect")


def test_which_of_several_panels_was_meant_is_said_aloud():
    built = build(WALL_OF_SWITCHES, proposal("service disconnect inside"))
    assert built.assumed("proposal.panel") == "the new main panel takes the place of panel-a"


def test_a_run_found_under_the_name_of_a_new_one_stays():
    named = HOUSE.replace("runs.drop", "runs.service")
    built = build(named, proposal("service disconnect outdoors"))
    assert built.installation.runs["service"].owner == "utility"
    assert built.graph.source_of("new-main") == "meter"


def test_equipment_found_under_the_name_of_a_new_one_is_refused():
    named = HOUSE.replace("equipment.box", "equipment.new-main").replace('"box"', '"new-main"')
    assert refusal(named, proposal("service disconnect outdoors")).where == "equipment.new-main"


def test_a_cable_that_is_to_be_kept_is_kept_and_protected_by_the_new_main():
    keeps = changed(HOUSE, "runs.entrance", fate="keep")
    inside = build(keeps, proposal("service disconnect inside")).installation.runs
    assert (inside["entrance"].line_size, inside["entrance"].is_new, "service" in inside) == ("6 AWG", False, False)
    outdoors = build(keeps, proposal("service disconnect outdoors")).installation.runs
    assert (outdoors["entrance"].from_, outdoors["entrance"].wires, outdoors["entrance"].ocpd_a) == ("new-main", 3, 200)


TWO_PANELS = (
    HOUSE
    + """
equipment.annex = { kind = "panel", building = "house", outdoors = false, rating_a = RATING, main = "none" }
runs.to-annex = { from = "meter", to = "annex", owner = "customer", wires = 3 }
circuits.sink = { from = "annex", poles = 1, ocpd = "plug fuse", ocpd_a = 15, wire_size = "14 AWG", metal = "copper" }
"""
)


@pytest.mark.parametrize(("rating_a", "taken"), [(30, "box"), (125, "annex"), (60, "box")])
def test_of_panels_as_near_the_larger_is_taken_over_then_the_one_with_more_circuits(rating_a: int, taken: str):
    # The box is of 60 A with three circuits, the annex holds one; its name comes first in the alphabet.
    built = build(TWO_PANELS.replace("RATING", str(rating_a)), proposal("service disconnect inside", panel=None))
    assert built.assumed("proposal.panel") == f"the new main panel takes the place of {taken}"
