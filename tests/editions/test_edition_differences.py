"""What differs between neighbouring editions, pinned: a slip in one folder shows here."""

import pytest

from driploop.editions import load_edition
from driploop.editions.differences import differences


def changed(old, new, what):
    found = differences(load_edition(old), load_edition(new))
    return {each.name: (each.old, each.new) for each in found if each.what == what}


def test_an_edition_does_not_differ_from_itself():
    assert differences(load_edition("NEC 2020"), load_edition("NEC 2020")) == []


def test_rules_that_came_with_2020():
    came = ("absent", "known")
    assert changed("NEC 2017", "NEC 2020", "state") == {
        "box_ground_share": came,
        "box_grounds_as_one": came,
        "fixed_appliance_minimum_hp": came,
        "fixed_appliance_minimum_va": came,
        "gfci_outdoor_to_a": came,
        "afci-measure-outside": came,
        "dwelling-rule-on-wye": came,
        "emergency-disconnect": came,
        "emergency-disconnect-label": came,
        "gfci-outdoor": came,
        "gfci-receptacles-to-250-v": came,
        "gfci-whole-basement": came,
        "mains-in-one-enclosure": came,
        "surge-protection-service": came,
    }


def test_rules_that_came_with_2023():
    came = ("absent", "known")
    assert changed("NEC 2020", "NEC 2023", "state") == {
        "emergency_letter_height_in": came,
        "evse_minimum": came,
        "evse_unknown_nameplate": came,
        "garage_in_floor_area": came,
        "feeder_emergency_letter_height_in": came,
        "gfci_hvac_exempt_until": came,
        "spd_discharge": came,
        "energy-management-fails-safe": came,
        "energy-management-listed": came,
        "feeder-tap-barriers": came,
        "energy-management-marking": came,
        "energy-management-settings": came,
        "dwelling-fed-by-feeder-emergency": came,
        "emergency-disconnect-replacement": came,
        "energy-management": came,
        "evse-load": came,
        "gfci-outdoor-outbuildings": came,
        "gfci-whole-kitchen": came,
        "surge-protection-feeder": came,
        "three-wire-bare-neutral-covered": came,
    }


def test_rules_that_came_went_or_were_not_seen_in_2026():
    went, lost, new = ("known", "absent"), ("known", "unknown"), ("absent", "unknown")
    assert changed("NEC 2023", "NEC 2026", "state") == {
        "dwelling_lighting_circuits": lost,
        "emergency_letter_height_in": lost,
        "evse_minimum": went,
        "evse_optional_percent": new,
        "existing_first_tier": lost,
        "existing_hvac_percent": lost,
        "existing_remainder_percent": lost,
        "gfci_hvac_exempt_until": went,
        "instantaneous_water_heater_percent": new,
        "multifamily_demand": lost,
        "emergency-disconnect": went,
        "emergency-disconnect-label": lost,
        "emergency-disconnect-replacement": went,
        "existing-dwelling-load": lost,
        "multifamily-load": lost,
        "outdoor-service-disconnect": ("absent", "known"),
        "water-heater-demand": new,
    }


@pytest.mark.parametrize(
    ("old", "new", "values"),
    [
        ("NEC 2017", "NEC 2020", {"gfci_appliance_kinds": ("dishwasher", "dishwasher, sump pump")}),
        (
            "NEC 2020",
            "NEC 2023",
            {
                "gfci_appliance_kinds": (
                    "dishwasher, sump pump",
                    "dishwasher, sump pump, range, oven, cooktop, dryer, microwave",
                )
            },
        ),
        (
            "NEC 2023",
            "NEC 2026",
            {
                "dwelling_lighting": ("3 VA/ft2", "2 VA/ft2"),
                "gfci_outdoor_to_a": ("50 A", "60 A"),
                "optional_first_tier": ("10,000 VA", "8,000 VA"),
            },
        ),
    ],
)
def test_values_that_changed(old, new, values):
    assert changed(old, new, "value") == values


@pytest.mark.parametrize(
    ("old", "new", "tables"),
    [
        ("NEC 2017", "NEC 2020", {"label_words"}),
        ("NEC 2020", "NEC 2023", {"label_words", "small_conductors", "standard_ratings"}),
        ("NEC 2023", "NEC 2026", {"dryer_demand", "label_words"}),
    ],
)
def test_tables_whose_rows_changed(old, new, tables):
    assert set(changed(old, new, "rows")) == tables


def test_rows_are_told_in_words():
    assert changed("NEC 2020", "NEC 2023", "rows")["small_conductors"] == (
        "",
        "size 14 AWG, metal copper-clad aluminum, max_ocpd_a 10",
    )


def test_requirements_reworded():
    assert set(changed("NEC 2017", "NEC 2020", "requires")) == {
        "emergency-lights",
        "gfci-appliances",
        "gfci-receptacles",
        "line-side-barriers",
        "line-side-splices",
        "six-disconnects",
        "supply-side-equipment",
        "torque",
    }
    assert set(changed("NEC 2020", "NEC 2023", "requires")) == {
        "emergency-disconnect",
        "emergency-disconnect-label",
        "enclosure-splices",
        "floor-area",
        "gfci-appliances",
        "gfci-outdoor",
        "line-side-splices",
        "mains-in-one-enclosure",
        "six-disconnects",
        "surge-protection-service",
        "three-wire-range-dryer",
        "working-space",
    }
    assert set(changed("NEC 2023", "NEC 2026", "requires")) == {
        "dwelling-fed-by-feeder-emergency",
        "evse-load",
        "gfci-outdoor",
        "service-disconnect-location",
    }


def _moved(section):
    return section.replace("220.", "120.").replace("Article 220", "Article 120")


def test_sections_that_moved_in_2026_outside_the_load_article():
    moved = changed("NEC 2023", "NEC 2026", "section")
    outside = {name: new for name, (old, new) in moved.items() if _moved(old) != new}
    assert outside == {
        "label_words": "230.70, 225.41, 230.82(3), 406.4(D)",
        "nm_temperature_c": "334.80, 334.112",
        "energy-management": "120.7, 130.30",
        "load-management": "130.30",
        "load-management-disconnection": "130.30(B)",
        "energy-management-listed": "130.6",
        "energy-management-fails-safe": "130.30(C)(2)",
        "energy-management-settings": "130.30(C)(3)",
        "energy-management-marking": "130.30(C)(4)",
        "line-side-splices": "230.46, 230.2",
        "service-equipment-suitable": "230.66, 230.2",
        "other-sources-plaque": "705.10, 702.7",
    }


def test_the_load_article_moved_whole_in_2026():
    edition = load_edition("NEC 2026")
    left = [name for name in edition.names() if edition.entry(name).section.startswith(("220.", "Table 220."))]
    assert left == []


def test_tables_renumbered_in_2020():
    moved = changed("NEC 2017", "NEC 2020", "section")
    assert {name: new for name, (_, new) in moved.items() if name.startswith("conductor_")} == {
        "conductor_adjustment": "Table 310.15(C)(1)",
        "conductor_ampacity": "Table 310.16",
        "conductor_ampacity_free_air": "Table 310.17",
        "conductor_ampacity_messenger": "Table 310.20",
    }
