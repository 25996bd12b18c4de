"""Farms: scope, wiring, grounds, planes, the distribution point, long lines."""

from __future__ import annotations

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"

#: A pole with one device that feeds two barns; the blanks are further facts.
FARM = """
buildings.pole = {{ use = "yard pole" }}
buildings.barn = {{ use = "livestock", concrete_confinement = false{barn} }}
buildings.coop = {{ use = "{coop}" }}
equipment.device = {{ kind = "disconnect", building = "pole", outdoors = true, rating_a = 200{device} }}
equipment.barn-box = {{ kind = "panel", building = "barn", rating_a = 100, main = "breaker", main_a = 100{box} }}
equipment.coop-box = {{ kind = "panel", building = "coop", rating_a = 60, main = "breaker", main_a = 60 }}
runs.service = {{ from = "utility", to = "device", wires = 3, line_size = "4/0 AWG", metal = "copper" }}
runs.barn-feeder = {{ from = "device", to = "barn-box", owner = "customer", wires = 4, line_size = "3 AWG", \
metal = "copper", neutral_size = "3 AWG", insulation = "XHHW-2", length_ft = {length}, egc = "wire"{feeder} }}
runs.coop-feeder = {{ from = "device", to = "coop-box", owner = "customer", wires = 4, line_size = "6 AWG", \
metal = "copper", neutral_size = "6 AWG", egc = "none", ocpd = "breaker", ocpd_a = 60 }}
circuits.lamps = {{ from = "barn-box", poles = 1, ocpd_a = 15, cable = "{cable}" }}
circuits.pump = {{ from = "barn-box", poles = 2, ocpd_a = 30, cable = "PVC 80" }}
loads.lamps = {{ kind = "lighting", circuit = "lamps", va = 1000, volts = 120, continuous = false }}
loads.pump = {{ kind = "milking equipment", circuit = "pump", va = 4800, volts = 240, continuous = false }}
"""


def farm(barn="", coop="storage", device="", box="", length=50, feeder="", cable="UF cable", more=""):
    facts = {
        "barn": barn,
        "coop": coop,
        "device": device,
        "box": box,
        "length": length,
        "feeder": feeder,
        "cable": cable,
    }
    return installation(FARM.format(**facts) + more, site_kind="farm")


def test_article_547_scope_passes():
    assert not [f for f in says("article-547-scope", farm()) if "coop" in f.where]


def test_article_547_scope_fails():
    assert [(f.verdict.value, f.where) for f in says("article-547-scope", farm())] == [(KNOW, "buildings.barn")]


def test_article_547_scope_asks_where_dust_and_damp_are_not_known():
    found = says("article-547-scope", farm(coop="agricultural"))
    assert [(f.verdict.value, f.where) for f in found] == [(KNOW, "buildings.barn"), (ASK, "buildings.coop")]


def test_wet_or_corrosive_wiring_method_passes():
    assert not says("wet-or-corrosive-wiring-method", farm())


def test_wet_or_corrosive_wiring_method_fails():
    found = says("wet-or-corrosive-wiring-method", farm(cable="NM cable"))
    assert [(f.verdict.value, f.where) for f in found] == [(MEND, "circuits.lamps.cable")]
    assert verdicts("wet-or-corrosive-wiring-method", farm(cable="unknown")) == [ASK]


def test_wet_or_corrosive_wiring_method_is_a_question_where_the_scope_is():
    shed = 'circuits.shed = { from = "coop-box", poles = 1, cable = "NM cable" }\n'
    assert verdicts("wet-or-corrosive-wiring-method", farm(coop="agricultural", more=shed)) == [ASK]
    assert not says("wet-or-corrosive-wiring-method", farm(more=shed))


COVERED = ', buried = true, egc_metal = "copper", egc_insulated = true'


def test_agricultural_egc_copper_passes():
    assert not says("agricultural-egc-copper", farm(feeder=COVERED))
    overhead = ', overhead = true, method = "overhead open conductors", egc_metal = "copper"'
    assert not says("agricultural-egc-copper", farm(feeder=overhead))
    # Copper is asked of the part in the earth only.
    assert not says("agricultural-egc-copper", farm(feeder=overhead.replace("copper", "aluminum")))


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        (', egc_metal = "aluminum", egc_insulated = true', [MEND]),
        (', egc_metal = "copper", egc_insulated = false', [MEND]),
        ("", [ASK, ASK]),
    ],
)
def test_agricultural_egc_copper_by_metal_and_covering(facts, expected):
    assert verdicts("agricultural-egc-copper", farm(feeder=", buried = true" + facts)) == expected


def test_agricultural_egc_copper_fails():
    bare = ', buried = true, egc_metal = "aluminum", egc_insulated = false'
    assert verdicts("agricultural-egc-copper", farm(feeder=bare)) == [MEND, MEND]


def barn_on_concrete(plane):
    text = FARM.replace("concrete_confinement = false", f"concrete_confinement = true, equipotential_plane = {plane}")
    facts = {"barn": "", "coop": "storage", "device": "", "box": "", "length": 50, "feeder": "", "cable": "UF cable"}
    return installation(text.format(**facts), site_kind="farm")


def test_equipotential_plane_passes():
    assert not says("equipotential-plane", farm())
    assert not says("equipotential-plane", barn_on_concrete("true"))


def test_equipotential_plane_fails():
    (found,) = says("equipotential-plane", barn_on_concrete("false"))
    assert found.verdict.value == MEND
    assert "8 AWG" in found.mend  # NEC 547.44: common practice


def test_equipotential_plane_asks_about_floor_and_plane():
    assert verdicts("equipotential-plane", barn_on_concrete('"unknown"')) == [ASK]
    buildings = dict(farm().buildings)
    buildings["barn"] = buildings["barn"].model_copy(update={"concrete_confinement": None})
    assert verdicts("equipotential-plane", farm().model_copy(update={"buildings": buildings})) == [ASK]


WET = 'circuits.wash = {{ from = "{box}", poles = 1, receptacles = true, gfci = {gfci}{more} }}\n'


def test_agricultural_receptacles_have_ground_fault_protection_passes():
    rule = "agricultural-receptacles-have-ground-fault-protection"
    assert not says(rule, farm(more=WET.format(box="barn-box", gfci="true", more="")))
    assert not says(rule, farm(more=WET.format(box="coop-box", gfci="false", more="")))


def test_agricultural_receptacles_have_ground_fault_protection_fails():
    rule = "agricultural-receptacles-have-ground-fault-protection"
    assert verdicts(rule, farm(more=WET.format(box="barn-box", gfci="false", more=", is_new = true"))) == [MEND]
    assert verdicts(rule, farm(more=WET.format(box="barn-box", gfci="false", more=""))) == [KNOW]
    assert verdicts(rule, farm(more=WET.format(box="barn-box", gfci='"unknown"', more=""))) == [ASK]


ISOLATING = ', role = "site-isolating device"'


def test_site_isolating_device_carries_the_load_passes():
    assert not says("site-isolating-device-carries-the-load", farm(device=ISOLATING))
    assert not says("site-isolating-device-carries-the-load", farm())


def test_site_isolating_device_carries_the_load_fails():
    # 4,800 VA and 1,000 VA at 240 V: some 24 A.
    small = installation(
        FARM.format(barn="", coop="storage", device=ISOLATING, box="", length=50, feeder="", cable="UF cable")
        .replace("rating_a = 200", "rating_a = 15"),
        site_kind="farm",
    )  # fmt: skip
    assert verdicts("site-isolating-device-carries-the-load", small) == [MEND]


def test_site_isolating_device_passes():
    assert not says("site-isolating-device", farm(coop="poultry", device=', role = "site-isolating device"'))
    assert not says("site-isolating-device", farm())


def test_site_isolating_device_fails():
    second = (
        'equipment.switch = { kind = "disconnect", building = "pole" }\n'
        'runs.second = { from = "utility", to = "switch" }\n'
    )
    assert verdicts("site-isolating-device", farm(coop="poultry", more=second)) == [MEND]


def test_site_isolating_device_asks_whether_the_main_on_the_pole_counts():
    assert verdicts("site-isolating-device", farm(coop="poultry")) == [ASK]


ISOLATING = ', role = "site-isolating device"'


def test_distribution_point_full_size_ground_passes():
    full = ', egc_size = "3 AWG", egc_metal = "copper"'
    assert not says("distribution-point-full-size-ground", farm(device=ISOLATING, feeder=full))
    ordinary = ', egc_size = "8 AWG", egc_metal = "copper", ocpd = "breaker", ocpd_a = 100'
    assert not says("distribution-point-full-size-ground", farm(device=ISOLATING, feeder=ordinary))


def test_distribution_point_full_size_ground_fails():
    small = ', egc_size = "8 AWG", egc_metal = "copper"'
    assert verdicts("distribution-point-full-size-ground", farm(device=ISOLATING, feeder=small)) == [MEND]
    assert verdicts("distribution-point-full-size-ground", farm(device=ISOLATING)) == [ASK]


def test_two_services_plaque_passes():
    assert not says("two-services-plaque", farm())


def test_two_services_plaque_fails():
    second = (
        'equipment.switch = { kind = "disconnect", building = "pole" }\n'
        'runs.second = { from = "utility", to = "switch" }\n'
    )
    (found,) = says("two-services-plaque", farm(more=second))
    assert found.verdict.value == ASK
    assert "500 ft" in found.mend  # NEC 547.40(D): common practice


HOUSE = """
buildings.house = { use = "dwelling", floor_area_ft2 = 1000 }
equipment.house-box = { kind = "panel", building = "house", rating_a = 100, main = "breaker", main_a = 100 }
runs.house-feeder = { from = "device", to = "house-box", wires = 4 }
loads.dryer = { kind = "grain dryer", panel = "barn-box", va = 8000, volts = 240 }
"""


def test_grain_drying_bars_optional_passes():
    assert not says("grain-drying-bars-optional", farm(more=HOUSE))


def test_grain_drying_bars_optional_fails():
    heat = 'loads.heat = { kind = "electric heat", panel = "house-box", kw = 6, volts = 240 }\n'
    assert verdicts("grain-drying-bars-optional", farm(more=HOUSE + heat)) == [KNOW]
    elsewhere = heat.replace("house-box", "coop-box")
    assert not says("grain-drying-bars-optional", farm(more=HOUSE + elsewhere))


def test_voltage_drop_advice_passes():
    assert not says("voltage-drop-advice", farm(length=100))


def test_voltage_drop_advice_fails():
    # 20 A motor x 125 % + 4.17 A x 50 % = 27.1 A; 3 AWG copper, 0.245 ohm a thousand feet:
    # 2 x 27.1 x 0.245 x 0.5 = 6.6 V of 240 V, 2.8 percent.
    (found,) = says("voltage-drop-advice", farm(length=500))
    assert found.verdict.value == KNOW
    assert "2.8 percent" in found.wrong


def test_metal_paths_between_buildings_passes():
    isolated = farm(feeder=', metal_paths = ["water pipe"]', box=", neutral_bonded = false")
    assert not says("metal-paths-between-buildings", isolated)
    assert not says("metal-paths-between-buildings", farm(feeder=', metal_paths = "none"'))


def test_metal_paths_between_buildings_fails():
    bonded = farm(feeder=', metal_paths = ["water pipe"]', box=", neutral_bonded = true")
    assert verdicts("metal-paths-between-buildings", bonded) == [MEND]
    assert verdicts("metal-paths-between-buildings", farm(feeder=', metal_paths = ["fence"]')) == [ASK]
