"""Panels: space, light, damage, what sits in them, who reaches them, what they say."""

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"


def panel(fields="", more=""):
    return (
        'buildings.house = { use = "dwelling", other_sources = "none" }\n'
        'runs.drop = { from = "utility", to = "panel" }\n'
        'equipment.panel = { kind = "panel", building = "house", outdoors = false, '
        f'branch_protection = "breakers", {fields} }}\n{more}'
    )


FOUND = installation(panel())
#: rule, the fact that passes, the fact that fails.
FACTS = [
    ("dedicated-space-kept-clear", "dedicated_space_clear = true", "dedicated_space_clear = false"),
    ("light-to-work-by", "lit = true", "lit = false"),
    ("not-exposed-to-damage", "exposed_to_damage = false", "exposed_to_damage = true"),
]


@pytest.mark.parametrize(("rule", "good", "bad"), FACTS)
def test_a_new_panel_must_be_right_and_an_old_one_is_told(rule, good, bad):
    assert verdicts(rule, panel(good)) == []
    assert verdicts(rule, panel(bad)) == [KNOW]
    assert verdicts(rule, panel(f"{bad}, is_new = true"), found=FOUND) == [MEND]
    # The place of a new panel is asked for as a whole.
    assert verdicts(rule, panel("is_new = true"), found=FOUND) == []


@pytest.mark.parametrize("rule", [rule for rule, _, _ in FACTS])
def test_what_was_not_noted_is_asked_once_for_all_panels(rule):
    two = panel(more='equipment.second = { kind = "panel", building = "house", outdoors = false }\n')
    [asked] = says(rule, two)
    assert asked.verdict.value == ASK
    assert "panel, second" in asked.wrong


def test_dedicated_space_kept_clear_passes():
    assert verdicts("dedicated-space-kept-clear", panel("dedicated_space_clear = true")) == []
    outdoors = panel("dedicated_space_clear = false").replace("outdoors = false", "outdoors = true")
    assert verdicts("dedicated-space-kept-clear", outdoors) == []


def test_dedicated_space_kept_clear_fails():
    assert verdicts("dedicated-space-kept-clear", panel("dedicated_space_clear = false")) == [KNOW]


def test_light_to_work_by_passes():
    assert verdicts("light-to-work-by", panel("lit = true")) == []


def test_light_to_work_by_fails():
    assert verdicts("light-to-work-by", panel("lit = false")) == [KNOW]


def test_not_exposed_to_damage_passes():
    assert verdicts("not-exposed-to-damage", panel("exposed_to_damage = false")) == []


def test_not_exposed_to_damage_fails():
    assert verdicts("not-exposed-to-damage", panel("exposed_to_damage = true")) == [KNOW]


def test_breakers_listed_for_the_panel_passes():
    assert verdicts("breakers-listed-for-the-panel", panel("foreign_breakers = false")) == []
    fuses = panel().replace('"breakers"', '"plug fuses"')
    assert verdicts("breakers-listed-for-the-panel", fuses) == []


def test_breakers_listed_for_the_panel_fails():
    assert verdicts("breakers-listed-for-the-panel", panel("foreign_breakers = true")) == [MEND]
    assert verdicts("breakers-listed-for-the-panel", panel()) == [ASK]


def test_series_rating_marked_passes():
    for fact in ('"none"', '"marked"', '"unknown"'):
        assert verdicts("series-rating-marked", panel(f"series_rating = {fact}")) == []


def test_series_rating_marked_fails():
    bad = 'series_rating = "not marked"'
    assert verdicts("series-rating-marked", panel(bad)) == [KNOW]
    assert verdicts("series-rating-marked", panel(f"{bad}, is_new = true"), found=FOUND) == [MEND]


def duplex(hangs, new=False):
    return f"""
buildings.duplex = {{ use = "two-family dwelling" }}
buildings.down = {{ use = "dwelling unit", part_of = "duplex" }}
buildings.up = {{ use = "dwelling unit", part_of = "duplex" }}
equipment.panel = {{ kind = "panel", building = "{hangs}", outdoors = false, is_new = {str(new).lower()} }}
runs.drop = {{ from = "utility", to = "panel" }}
circuits.rooms = {{ from = "panel", building = "up" }}
loads.rooms = {{ kind = "lighting", circuit = "rooms", building = "up" }}
"""


def test_occupant_reaches_own_devices_passes():
    assert verdicts("occupant-reaches-own-devices", duplex("up")) == []
    # In the common hall both may reach it.
    assert verdicts("occupant-reaches-own-devices", duplex("duplex")) == []


def test_occupant_reaches_own_devices_fails():
    assert verdicts("occupant-reaches-own-devices", duplex("down")) == [KNOW]
    told = says("occupant-reaches-own-devices", duplex("down", new=True), found=installation(duplex("down")))
    assert [finding.verdict.value for finding in told] == [MEND]
    assert told[0].section == "240.24(B), 230.72(C)"


def barn(box):
    return (
        'buildings.barn = { use = "agricultural" }\nequipment.main = { kind = "disconnect", main = "breaker" }\n'
        'runs.drop = { from = "utility", to = "main" }\nruns.feeder = { from = "main", to = "box" }\n'
        f'equipment.main2 = {{ kind = "meter" }}\nequipment.box = {{ kind = "panel", building = "barn", {box} }}\n'
    )


def test_panel_names_its_source_passes():
    assert verdicts("panel-names-its-source", barn('marked = "BARN, fed from MAIN"')) == []
    assert verdicts("panel-names-its-source", barn("is_new = true")) == []
    house = barn('marked = "BARN"').replace('"agricultural"', '"dwelling"')
    assert verdicts("panel-names-its-source", house) == []


def test_panel_names_its_source_fails():
    assert verdicts("panel-names-its-source", barn('marked = "BARN"')) == [KNOW]
    silent = barn('marked = "BARN"')
    assert verdicts("panel-names-its-source", silent, found=installation(silent)) == [MEND]
    assert verdicts("panel-names-its-source", barn('branch_protection = "breakers"')) == [ASK]


def sourced(sources, fields=""):
    return panel(fields).replace('"none"', sources)


def test_other_sources_named_passes():
    assert verdicts("other-sources-named", panel()) == []
    named = sourced('["generator"]', 'marked = "MAIN, generator in the barn"')
    assert verdicts("other-sources-named", named) == []
    # A new disconnect gets its plaque among the labels.
    assert verdicts("other-sources-named", sourced('["generator"]', "is_new = true"), found=FOUND) == []


def test_other_sources_named_fails():
    silent = sourced('["generator"]', 'marked = "MAIN"')
    assert verdicts("other-sources-named", silent) == [KNOW]
    assert verdicts("other-sources-named", silent, found=installation(silent)) == [MEND]
    assert verdicts("other-sources-named", sourced('["generator"]')) == [ASK]
    assert verdicts("other-sources-named", panel(more='circuits.one = { from = "panel" }\n').replace(
        ', other_sources = "none"', "")) == [ASK]  # fmt: skip


# 6 AWG copper allows a 60 A device by the 60 C column and 70 A by the 75 C one (NEC Table 310.16): behind 100 A it is a
# tap. Source of the rule: captaincode2023.leviton.com node 317 (NEC 2023, 215.15).
def tapped(device_a, fields):
    return panel(more=(
        'buildings.shed = { use = "storage" }\n'
        f'equipment.shed = {{ kind = "panel", building = "shed", main = "fuses", main_a = 60, {fields} }}\n'
        'runs.feeder = { from = "panel", to = "shed", method = "PVC 40", wires = 4, line_size = "6", '
        'neutral_size = "6", egc_size = "8", metal = "copper", insulation = "THWN", '
        f'ocpd = "breaker", ocpd_a = {device_a}, ambient_c = 30, current_carrying = 3 }}\n'
    ))  # fmt: skip


def test_feeder_tap_barriers_passes():
    assert verdicts("feeder-tap-barriers", tapped(100, "line_terminals_covered = true")) == []
    assert verdicts("feeder-tap-barriers", tapped(60, "line_terminals_covered = false")) == []
    assert verdicts("feeder-tap-barriers", tapped(100, "line_terminals_covered = false"), "NEC 2020") == []


def test_feeder_tap_barriers_fails():
    [told] = says("feeder-tap-barriers", tapped(100, "line_terminals_covered = false"))
    assert (told.verdict.value, told.section) == (KNOW, "215.15")
    new = tapped(100, "line_terminals_covered = false, is_new = true")
    assert verdicts("feeder-tap-barriers", new, found=FOUND) == [MEND]
    assert verdicts("feeder-tap-barriers", tapped(100, "is_new = true"), found=FOUND) == [ASK]
