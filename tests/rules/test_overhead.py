"""The drop, the mast and the service cable."""

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"


def drop(fields, owner="customer"):
    return (
        'buildings.house = { use = "dwelling" }\nequipment.panel = { kind = "panel", building = "house" }\n'
        f'runs.drop = {{ from = "utility", to = "panel", overhead = true, owner = "{owner}", {fields} }}\n'
    )


def feeder(fields):
    return (
        'equipment = { panel = { kind = "panel" }, shed = { kind = "panel" } }\n'
        'runs.service = { from = "utility", to = "panel", overhead = false }\n'
        f'runs.feeder = {{ from = "panel", to = "shed", overhead = true, {fields} }}\n'
    )


# 10, 12 and 18 ft by what passes below; 8 ft over roofs, 3 ft if steep; 3 ft from openings; attachment 10 ft:
# NEC 230.24, 230.9, 230.26 as in ecmweb.com Code Q&A 20886687 and quizwizapp.com.
@pytest.mark.parametrize(
    ("ground", "height"), [("pedestrian", 10), ("residential drive", 12), ("street or truck or farm", 18)]
)
def test_drop_clearance_over_ground_passes(ground, height):
    text = drop(f'lowest_over_ground_ft = {height}, ground_below = "{ground}", method = "overhead triplex"')
    assert verdicts("drop-clearance-over-ground", text) == []


@pytest.mark.parametrize(
    ("ground", "height"), [("pedestrian", 9.9), ("residential drive", 11.9), ("street or truck or farm", 17.9)]
)
def test_drop_clearance_over_ground_fails(ground, height):
    text = drop(f'lowest_over_ground_ft = {height}, ground_below = "{ground}", method = "overhead triplex"')
    assert verdicts("drop-clearance-over-ground", text) == [MEND]
    assert verdicts("drop-clearance-over-ground", text.replace('"customer"', '"utility"')) == [ASK]


@pytest.mark.parametrize(("height", "told"), [(9, [MEND]), (10, [ASK]), (17, [ASK]), (18, [])])
def test_ground_of_an_unknown_kind_is_asked_about_while_it_matters(height, told):
    assert verdicts("drop-clearance-over-ground", drop(f"lowest_over_ground_ft = {height}")) == told


def test_open_conductors_get_no_footway_allowance():
    text = drop('lowest_over_ground_ft = 11, ground_below = "pedestrian", method = "overhead open conductors"')
    assert verdicts("drop-clearance-over-ground", text) == [MEND]


def test_feeder_clearance_over_ground_passes():
    text = feeder('lowest_over_ground_ft = 18, ground_below = "street or truck or farm"')
    assert verdicts("feeder-clearance-over-ground", text) == []
    assert verdicts("feeder-clearance-over-ground", drop("lowest_over_ground_ft = 5")) == []


def test_feeder_clearance_over_ground_fails():
    text = feeder('lowest_over_ground_ft = 14, ground_below = "street or truck or farm"')
    assert verdicts("feeder-clearance-over-ground", text) == [MEND]
    assert verdicts("drop-clearance-over-ground", text) == []


@pytest.mark.parametrize(("height", "slope"), [(8, 0), (3, 4), (8, None), (None, None)])
def test_clearance_over_roof_passes(height, slope):
    given = [f"over_roof_ft = {height}"] if height else []
    given += [f"roof_slope_in_12 = {slope}"] if slope is not None else []
    assert verdicts("clearance-over-roof", drop(", ".join(given) or "length_ft = 60")) == []


@pytest.mark.parametrize(
    ("fields", "told"),
    [
        ("over_roof_ft = 1, roof_slope_in_12 = 6", [MEND]),
        # 18 in is enough over the overhang beside the mast only.
        ("over_roof_ft = 2, roof_slope_in_12 = 6", [ASK]),
        ("over_roof_ft = 7, roof_slope_in_12 = 3", [ASK]),
        ("over_roof_ft = 5", [ASK]),
        ("over_roof_ft = 1", [MEND]),
    ],
)
def test_clearance_over_roof_fails(fields, told):
    assert verdicts("clearance-over-roof", drop(fields)) == told


def test_clearance_from_openings_passes():
    assert verdicts("clearance-from-openings", drop("from_openings_ft = 3")) == []


def test_clearance_from_openings_fails():
    assert verdicts("clearance-from-openings", drop("from_openings_ft = 2.5")) == [MEND]


def test_a_feeder_is_held_to_the_article_on_feeders():
    # NEC 225.19(D) openings, 225.19(A) roofs, 225.18 ground: from memory.
    assert [f.section for f in says("clearance-from-openings", feeder("from_openings_ft = 2"))] == ["225.19(D)"]
    assert [f.section for f in says("clearance-over-roof", feeder("over_roof_ft = 1"))] == ["225.19(A)"]
    assert [f.section for f in says("attachment-height", feeder("attachment_height_ft = 9"))] == ["225.18"]
    assert [f.section for f in says("clearance-from-openings", drop("from_openings_ft = 2"))] == ["230.9"]


def test_attachment_height_passes():
    assert verdicts("attachment-height", drop("attachment_height_ft = 10")) == []


def test_attachment_height_fails():
    assert verdicts("attachment-height", drop("attachment_height_ft = 9", "utility")) == [MEND]


def test_service_head_above_attachment_passes():
    assert verdicts("service-head-above-attachment", drop("head_above_attachment = true")) == []


def test_service_head_above_attachment_fails():
    told = says("service-head-above-attachment", drop("head_above_attachment = false"))
    assert [finding.verdict for finding in told] == [MEND]
    assert "24 in" in told[0].mend


def test_drip_loop_passes():
    assert verdicts("drip-loop", drop("drip_loop = true")) == []
    assert verdicts("drip-loop", drop("drip_loop = false").replace("overhead = true", "overhead = false")) == []


def test_drip_loop_fails():
    assert verdicts("drip-loop", drop("drip_loop = false")) == [MEND]


def test_only_power_on_the_mast_passes():
    assert verdicts("only-power-on-the-mast", drop("mast_carries_other_cables = false")) == []


def test_only_power_on_the_mast_fails():
    assert verdicts("only-power-on-the-mast", drop("mast_carries_other_cables = true")) == [MEND]


CABLE = 'method = "SE cable", '


def test_service_cable_protected_passes():
    assert verdicts("service-cable-protected", drop(CABLE + "protected_from_damage = true")) == []
    assert verdicts("service-cable-protected", drop('method = "RMC", protected_from_damage = false')) == []


def test_service_cable_protected_fails():
    assert verdicts("service-cable-protected", drop(CABLE + "protected_from_damage = false")) == [MEND]
    assert verdicts("service-cable-protected", drop(CABLE + "length_ft = 20")) == [ASK]


def test_service_cable_supported_passes():
    # Every 30 in: ecmweb.com electrical services part 13.
    assert verdicts("service-cable-supported", drop(CABLE + "support_spacing_in = 30")) == []


def test_service_cable_supported_fails():
    assert verdicts("service-cable-supported", drop(CABLE + "support_spacing_in = 31")) == [MEND]


def test_not_through_another_building_passes():
    assert verdicts("not-through-another-building", drop("passes_through_other_building = false")) == []
    assert verdicts("not-through-another-building", feeder("passes_through_other_building = true")) == []


def test_not_through_another_building_fails():
    assert verdicts("not-through-another-building", drop("passes_through_other_building = true")) == [MEND]


SEEN = "lowest_over_ground_ft = 20, attachment_height_ft = 15, from_openings_ft = 6"


def test_drop_looked_at_passes():
    assert verdicts("drop-looked-at", drop(SEEN + ", head_above_attachment = true, drip_loop = true")) == []
    assert verdicts("drop-looked-at", feeder(SEEN + ", drip_loop = true")) == []
    assert verdicts("drop-looked-at", feeder(SEEN)) == [ASK]


def test_drop_looked_at_fails():
    told = says("drop-looked-at", drop(SEEN))
    assert [finding.verdict for finding in told] == [ASK]
    assert "drip loop" in told[0].wrong


def test_an_underground_supply_has_no_drop():
    assert verdicts("drop-looked-at", drop("length_ft = 40").replace("overhead = true", "overhead = false")) == []


def test_the_utilitys_overhead_supply_is_a_drop_unless_the_run_says_otherwise():
    text = 'utility.supply = "overhead"\nequipment.m = { kind = "meter" }\nruns.drop = { from = "utility", to = "m" }\n'
    assert verdicts("drop-looked-at", text) == [ASK]
    assert verdicts("drop-looked-at", text.replace("overhead", "underground")) == []


def test_no_attachment_above_a_coupling_passes():
    assert verdicts("no-attachment-above-a-coupling", drop("mast_coupling_above_support = false")) == []


def test_no_attachment_above_a_coupling_fails():
    assert verdicts("no-attachment-above-a-coupling", drop("mast_coupling_above_support = true")) == [MEND]
    # On the utility's own drop the shortfall is a call to the utility.
    assert verdicts("no-attachment-above-a-coupling", drop("mast_coupling_above_support = true", "utility")) == [ASK]


# Openings through which materials move, NEC 230.9(C): the reference of quizwizapp.com on Article 230.
def test_no_wires_before_hay_doors_passes():
    assert verdicts("no-wires-before-hay-doors", drop("over_material_opening = false")) == []
    assert verdicts("no-wires-before-hay-doors", drop("from_openings_ft = 5")) == []


def test_no_wires_before_hay_doors_fails():
    assert verdicts("no-wires-before-hay-doors", drop("over_material_opening = true, is_new = true")) == [MEND]
    [told] = says("no-wires-before-hay-doors", drop("over_material_opening = true"))
    assert told.section == "230.9(C)"
    barn = installation(drop("length_ft = 90").replace('"dwelling"', '"livestock"'), site_kind="farm")
    assert verdicts("no-wires-before-hay-doors", barn) == [ASK]


# --- sag and pull ---------------------------------------------------------------------------------------------------

HUNG = (
    'method = "overhead triplex", line_size = "2 AWG", span_ft = 100, pole_attachment_height_ft = 22, '
    'attachment_height_ft = 16, ground_below = "residential drive", measured_temperature_f = 40'
)


def test_drop_clears_at_its_worst_passes():
    assert verdicts("drop-clears-at-its-worst", drop(f"{HUNG}, lowest_over_ground_ft = 15")) == []
    # Too low already: drop-clearance-over-ground speaks of it.
    assert verdicts("drop-clears-at-its-worst", drop(f"{HUNG}, lowest_over_ground_ft = 11")) == []
    # Without the span nothing is computed; without the pole's height the sag is not known.
    text = drop(f"{HUNG}, lowest_over_ground_ft = 12.05")
    assert verdicts("drop-clears-at-its-worst", text.replace("span_ft = 100, ", "")) == []
    assert verdicts("drop-clears-at-its-worst", text.replace("pole_attachment_height_ft = 22, ", "")) == []


def test_drop_clears_at_its_worst_fails():
    # By hand: 12.05 ft at 40 F; 80 F more lengthens 100 ft by 0.084 ft, which slackens any drop by more than 0.05 ft.
    text = drop(f"{HUNG}, lowest_over_ground_ft = 12.05")
    assert verdicts("drop-clears-at-its-worst", text) == [MEND]
    assert verdicts("drop-clears-at-its-worst", text.replace('"customer"', '"utility"')) == [ASK]
    (found,) = says("drop-clears-at-its-worst", text.replace(", measured_temperature_f = 40", ""))
    assert "at 60 F, assumed as the temperature of the survey" in found.wrong


def test_a_feeder_that_comes_down_too_far_is_named_by_its_own_article():
    (found,) = says("drop-clears-at-its-worst", feeder(f"{HUNG}, lowest_over_ground_ft = 12.05"))
    assert found.section.startswith("225.18")


def test_mast_bears_the_pull_passes():
    mast = f'{HUNG}, lowest_over_ground_ft = 13, mast_trade_size = "2-1/2"'
    assert verdicts("mast-bears-the-pull", drop(f"{mast}, mast_above_roof_in = 12")) == []
    assert verdicts("mast-bears-the-pull", drop(f"{mast}, mast_above_roof_in = 90, mast_guyed = true")) == []
    assert verdicts("mast-bears-the-pull", drop(f'{HUNG}, lowest_over_ground_ft = 13, mast_trade_size = "none"')) == []


def test_mast_bears_the_pull_fails():
    mast = f'{HUNG}, lowest_over_ground_ft = 15, mast_trade_size = "1-1/4", mast_above_roof_in = 60'
    assert verdicts("mast-bears-the-pull", drop(mast)) == [ASK]
