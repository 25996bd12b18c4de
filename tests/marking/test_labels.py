"""Which labels an installation needs, and their words by edition."""

import pytest

from driploop.editions import edition_names, load_edition
from driploop.marking import read_labels
from grounding.places import INSIDE_MAIN, OUTDOOR_DEVICE, SHED, place
from grounding.test_bond import DUPLEX, FARM


def labels(text, edition="2023", **fields):
    made, asked = read_labels(place(text, **fields), edition=load_edition(edition))
    return {label.id: label for label in made}, {a.where: a for a in asked}


# Words as published: badmonkeyelectric.com and mrelectrician.tv (230.85), nyeia.com.
@pytest.mark.parametrize("edition", ["2020", "2023"])
@pytest.mark.parametrize(
    ("role", "id", "words"),
    [
        ("service disconnect", "emergency-service-disconnect", ("EMERGENCY DISCONNECT", "SERVICE DISCONNECT")),
        (
            "meter disconnect",
            "emergency-meter-disconnect",
            ("EMERGENCY DISCONNECT", "METER DISCONNECT", "NOT SERVICE EQUIPMENT"),
        ),
        ("emergency disconnect", "emergency-not-service", ("EMERGENCY DISCONNECT", "NOT SERVICE EQUIPMENT")),
    ],
)
def test_the_three_forms_of_emergency_disconnect(role, id, words, edition):
    label = labels(OUTDOOR_DEVICE.format(role=role), edition)[0][f"{id}/outdoor"]
    assert label.words == words
    assert label.section.startswith("230.85")
    if edition == "2023":  # 230.85(E): white on red, half an inch
        assert (label.background, label.letters, label.letter_height_in) == ("red", "white", 0.5)
    else:
        assert (label.background, label.letters, label.letter_height_in) == ("", "", None)


def test_the_panel_behind_an_emergency_disconnect_is_the_service_disconnect_by_name():
    found, _ = labels(OUTDOOR_DEVICE.format(role="emergency disconnect"))
    assert found["service-disconnect/panel"].words == ("SERVICE DISCONNECT",)
    assert found["service-disconnect/panel"].section == "230.70(B), 230.66"


def test_2017_knows_no_emergency_disconnect():
    found, _ = labels(OUTDOOR_DEVICE.format(role="service disconnect"), "2017")
    assert found["service-disconnect/outdoor"].words == ("SERVICE DISCONNECT",)
    found, asked = labels(OUTDOOR_DEVICE.format(role="emergency disconnect"), "2017")
    assert not [id for id in found if id.endswith("/outdoor") and id != "other-sources/outdoor"]
    assert "NEC 2017" in asked["equipment.outdoor.marked"].assumed


@pytest.mark.parametrize("role", ["service disconnect", "emergency disconnect", "meter disconnect"])
def test_2026_words_were_not_seen_and_none_are_invented(role):
    found, asked = labels(OUTDOOR_DEVICE.format(role=role), "2026")
    assert not [id for id in found if "emergency" in id or "service-disconnect" in id]
    assert "not known here" in asked["equipment.outdoor.marked"].assumed


def test_an_inside_main_is_a_service_disconnect_and_gets_no_emergency_words():
    found, _ = labels(INSIDE_MAIN)
    assert "service-disconnect/panel" in found
    assert not [id for id in found if id.startswith("emergency")]


def test_an_unknown_place_is_taken_as_indoors_and_told_of():
    text = OUTDOOR_DEVICE.format(role="service disconnect").replace(
        "outdoors = true, rating_a", 'outdoors = "unknown", rating_a'
    )
    found, asked = labels(text)
    assert "service-disconnect/outdoor" in found
    assert "equipment.outdoor.outdoors" in asked


def test_each_disconnect_of_a_duplex_has_its_label():
    outdoors = DUPLEX.replace('kind = "panel", building', 'kind = "panel", outdoors = true, building')
    found, _ = labels(outdoors)
    assert {"emergency-service-disconnect/main-a", "emergency-service-disconnect/main-b"} <= set(found)


def test_fault_current_is_marked_on_farms_and_not_at_dwellings():
    farm = FARM.replace('role = "site-isolating device"', 'role = "service disconnect"')
    found, asked = labels(farm, site_kind="farm")
    assert found["available-fault-current/isolator"].section == "110.24"
    assert "utility.available_fault_current_a" in asked
    assert not [id for id in labels(INSIDE_MAIN)[0] if id.startswith("available-fault-current")]


def test_a_site_isolating_device_is_named_and_is_no_service_disconnect():
    found, _ = labels(FARM, site_kind="farm")
    assert found["site-isolating-device/isolator"].words[0] == "SITE-ISOLATING DEVICE"
    assert not [id for id in found if "service-disconnect" in id]


def test_the_disconnect_of_a_fed_building_says_what_it_opens_and_where_it_is_fed_from():
    found, _ = labels(SHED.format(extra=""))
    assert found["disconnect-purpose/shed-panel"].words == ("DISCONNECT", "SHED", "FED FROM PANEL")
    assert found["source/shed-panel"].words == ("SHED PANEL", "FED FROM PANEL")


@pytest.mark.parametrize(("edition", "there"), [("2017", False), ("2020", False), ("2023", True), ("2026", True)])
def test_an_outdoor_disconnect_of_a_house_fed_by_a_feeder(edition, there):
    text = SHED.format(extra="").replace('use = "storage"', 'use = "dwelling"')
    text = text.replace('building = "shed", rating', 'building = "shed", outdoors = true, rating')
    found, _ = labels(text, edition)
    assert ("emergency-feeder-disconnect/shed-panel" in found) is there


def test_every_panel_has_a_directory_and_dwelling_panels_name_no_source():
    found, _ = labels(OUTDOOR_DEVICE.format(role="service disconnect"))
    assert "directory/panel" in found
    assert "source/panel" not in found


def test_other_sources_are_named_and_an_unknown_is_asked_about():
    text = INSIDE_MAIN.replace("other_sources = []", 'other_sources = ["generator"]')
    found, _ = labels(text)
    assert "GENERATOR AT HOUSE" in found["other-sources/panel"].words
    assert "other-sources/panel" not in labels(INSIDE_MAIN)[0]
    assert "buildings.house.other_sources" in labels(INSIDE_MAIN.replace("other_sources = []", "year_built = 1950"))[1]


def test_two_services_name_each_other_and_one_does_not():
    second = """
    buildings.barn = { use = "agricultural" }
    equipment.barn-main = { kind = "panel", building = "barn" }
    runs.barn-drop = { from = "utility", to = "barn-main", owner = "utility" }
    """
    found, _ = labels(INSIDE_MAIN + second, site_kind="farm")
    assert "BARN MAIN" in found["other-supplies/panel"].words
    assert "PANEL" in found["other-supplies/barn-main"].words
    assert found["other-supplies/panel"].section == "547.40(D)"
    assert not [id for id in labels(INSIDE_MAIN)[0] if id.startswith("other-supplies")]


def test_gfci_receptacles_without_a_ground_are_marked_only_where_the_survey_says_so():
    circuit = (
        'circuits.hall = {{ from = "panel", serves = "hall", receptacles = true, gfci = {gfci}, ground = "none" }}'
    )
    id = "gfci-no-equipment-ground/hall"
    found, _ = labels(INSIDE_MAIN + circuit.format(gfci="true"))
    assert found[id].words == ("GFCI PROTECTED", "NO EQUIPMENT GROUND")
    assert id not in labels(INSIDE_MAIN + circuit.format(gfci='"unknown"'))[0]


@pytest.mark.parametrize("edition", edition_names())
def test_every_label_has_words_a_section_and_an_id_of_its_own(edition):
    for text in (INSIDE_MAIN, DUPLEX, FARM, SHED.format(extra=""), OUTDOOR_DEVICE.format(role="meter disconnect")):
        made, _ = read_labels(place(text, site_kind="farm"), edition=load_edition(edition))
        assert len({label.id for label in made}) == len(made)
        assert all(label.words and label.section and label.why for label in made)


def test_disconnects_that_stand_together_say_what_each_serves():
    found, _ = labels(DUPLEX)
    assert found["serves/main-a"].words == ("SERVES", "FLAT A")
    assert found["serves/main-b"].words == ("SERVES", "FLAT B")
    assert found["serves/main-a"].section == "230.72"
    assert not [id for id in labels(INSIDE_MAIN)[0] if id.startswith("serves")]


def test_two_disconnects_of_one_house_are_told_apart_by_what_they_feed():
    second = (
        'equipment.switch = { kind = "disconnect", building = "house" }\n'
        'equipment.range-box = { kind = "panel", building = "house" }\n'
        'runs.more = { from = "meter", to = "switch" }\nruns.range = { from = "switch", to = "range-box" }\n'
    )
    assert labels(INSIDE_MAIN + second)[0]["serves/switch"].words == ("SERVES", "RANGE BOX")


def test_a_site_isolating_device_says_whose_supply_it_opens():
    found, _ = labels(FARM, site_kind="farm")
    assert found["site-isolating-device/isolator"].words == ("SITE-ISOLATING DEVICE", "OPENS THE SUPPLY OF BARN")


def test_on_a_pole_that_feeds_no_dwelling_nothing_reads_emergency():
    pole = FARM.replace('role = "site-isolating device"', 'role = "meter disconnect"')
    found, _ = labels(pole, site_kind="farm")
    # NEC 230.82(3): from memory.
    assert found["meter-disconnect/isolator"].words == ("METER DISCONNECT", "NOT SERVICE EQUIPMENT")
    assert not [id for id in found if "emergency" in id]
    switch = FARM.replace('role = "site-isolating device"', 'role = "emergency disconnect"')
    found, _ = labels(switch, site_kind="farm")
    assert found["disconnect-purpose/isolator"].words == ("DISCONNECT", "BARN", "NOT SERVICE EQUIPMENT")


def test_a_meter_disconnect_of_2017_has_the_words_of_its_own_section():
    found, _ = labels(OUTDOOR_DEVICE.format(role="meter disconnect"), "2017")
    assert found["meter-disconnect/outdoor"].words == ("METER DISCONNECT", "NOT SERVICE EQUIPMENT")
    assert found["meter-disconnect/outdoor"].section == "230.82(3)"


def test_a_label_names_its_enclosure_and_two_of_one_name_are_told_apart():
    named = DUPLEX.replace('kind = "panel", building', 'kind = "panel", name = "Main", building')
    found, _ = labels(named)
    assert found["service-disconnect/main-a"].at == "Main (flat a)"
    assert found["service-disconnect/main-b"].at == "Main (flat b)"
    assert labels(INSIDE_MAIN)[0]["service-disconnect/panel"].at == "panel"
