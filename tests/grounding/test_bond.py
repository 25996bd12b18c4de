"""Where the neutral is bonded, in the arrangements a service change meets."""

import pytest

from driploop.editions import edition_names, load_edition
from driploop.grounding import neutral_bonds
from grounding.places import INSIDE_MAIN, LAWFUL, OUTDOOR_DEVICE, SHED, asked, place, read


def required(reading):
    return {id: bond.required for id, bond in reading.bonds.items()}


@pytest.mark.parametrize("edition", edition_names())
def test_an_inside_main_is_bonded_and_so_is_the_meter_ahead_of_it(edition):
    assert required(read(place(INSIDE_MAIN), edition=edition)) == {"meter": "bonded", "panel": "bonded"}


@pytest.mark.parametrize("edition", edition_names())
def test_an_outdoor_service_disconnect_isolates_the_panel_inside(edition):
    reading = read(place(OUTDOOR_DEVICE.format(role="service disconnect")), edition=edition)
    assert required(reading) == {"meter": "bonded", "outdoor": "bonded", "panel": "isolated"}
    assert reading.systems["house"].lands_at == "outdoor"


@pytest.mark.parametrize("role", ["emergency disconnect", "meter disconnect"])
def test_a_disconnect_that_is_not_service_equipment_leaves_the_bond_at_the_panel(role):
    reading = read(place(OUTDOOR_DEVICE.format(role=role)))
    assert required(reading) == {"meter": "bonded", "outdoor": "bonded", "panel": "bonded"}
    assert "stay at the service" in reading.bonds["outdoor"].why
    assert reading.systems["house"].lands_at == "panel"


def test_what_is_found_is_handed_on_and_an_unknown_stays_unknown():
    text = INSIDE_MAIN.replace("main_a = 200 }", "main_a = 200, neutral_bonded = false }")
    bonds = read(place(text)).bonds
    assert (bonds["panel"].found, bonds["meter"].found) == (False, None)


def test_a_shed_fed_by_a_lawful_old_feeder_is_bonded_to_its_neutral():
    reading = read(place(SHED.format(extra=LAWFUL)), neutral_a={"shed-panel": 20.0})
    assert required(reading)["shed-panel"] == "bonded"
    assert "exception" in reading.bonds["shed-panel"].why


def test_bonds_alone_agree_with_the_reading_and_show_no_exception_without_loads():
    for graph in (place(OUTDOOR_DEVICE.format(role="service disconnect")), place(FARM, site_kind="farm")):
        assert neutral_bonds(graph, edition=load_edition("2023")) == dict(read(graph).bonds)
    shed = neutral_bonds(place(SHED.format(extra=LAWFUL)), edition=load_edition("2023"))
    assert shed["shed-panel"].required == "isolated"


def test_a_shed_with_a_water_pipe_between_is_isolated():
    with_pipe = LAWFUL.replace("metal_paths = []", 'metal_paths = ["water pipe"]')
    assert (
        required(read(place(SHED.format(extra=with_pipe)), neutral_a={"shed-panel": 20.0}))["shed-panel"] == "isolated"
    )


def test_both_service_disconnects_of_a_duplex_are_bonded():
    reading = read(place(DUPLEX))
    assert required(reading) == {"meter-a": "bonded", "meter-b": "bonded", "main-a": "bonded", "main-b": "bonded"}


def test_a_site_isolating_device_is_bonded_and_the_barn_is_not():
    reading = read(place(FARM, site_kind="farm"))
    assert required(reading) == {"meter": "bonded", "isolator": "bonded", "barn-panel": "isolated"}


def test_a_supply_without_neutral_has_nothing_to_bond():
    pump = """
    equipment.pump-switch = { kind = "disconnect", building = "house", poles = 2 }
    runs.pump = { from = "panel", to = "pump-switch", wires = 3, egc = "wire" }
    """
    reading = read(place(INSIDE_MAIN + pump))
    assert required(reading)["pump-switch"] == "no neutral"
    assert (reading.wires["pump"].needed, reading.wires["pump"].may_stay) == (3, True)


def test_a_panel_whose_supply_was_not_surveyed_is_asked_about():
    assert "equipment.panel.role" in asked(read(place('equipment.panel = { kind = "panel" }')))
    assert "equipment.panel.role" not in asked(read(place(INSIDE_MAIN)))


DUPLEX = """
buildings.house = { use = "two-family dwelling" }
buildings.flat-a = { use = "dwelling unit", part_of = "house" }
buildings.flat-b = { use = "dwelling unit", part_of = "house" }
equipment.meter-a = { kind = "meter", building = "house" }
equipment.meter-b = { kind = "meter", building = "house" }
equipment.main-a = { kind = "panel", building = "flat-a", rating_a = 100 }
equipment.main-b = { kind = "panel", building = "flat-b", rating_a = 100 }
runs.drop-a = { from = "utility", to = "meter-a", owner = "utility" }
runs.drop-b = { from = "utility", to = "meter-b", owner = "utility" }
runs.service-a = { from = "meter-a", to = "main-a", wires = 3, line_size = "4 AWG", metal = "copper" }
runs.service-b = { from = "meter-b", to = "main-b", wires = 3, line_size = "4 AWG", metal = "copper" }
electrodes.water = { kind = "metal water pipe", building = "house" }
"""
FARM = """
buildings.pole = { use = "yard pole" }
buildings.barn = { use = "livestock", concrete_confinement = true }
equipment.meter = { kind = "meter", building = "pole" }
equipment.isolator = { kind = "disconnect", building = "pole", role = "site-isolating device", rating_a = 200 }
equipment.barn-panel = { kind = "panel", building = "barn", rating_a = 200 }
runs.drop = { from = "utility", to = "meter", owner = "utility" }
runs.service = { from = "meter", to = "isolator", wires = 3, line_size = "4/0 AWG", metal = "aluminum" }
runs.barn-feeder = { from = "isolator", to = "barn-panel", wires = 4, line_size = "4/0 AWG", metal = "aluminum" }
"""
