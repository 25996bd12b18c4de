"""Where equipment hangs, and the room in front of it."""

import pytest

from .build import installation, says, verdicts

MEND, ASK, KNOW = "must be mended", "must be asked", "worth knowing"


def panel(fields, use="dwelling"):
    return (
        f'buildings.house = {{ use = "{use}" }}\nruns.service = {{ from = "utility", to = "panel" }}\n'
        f'equipment.panel = {{ kind = "panel", building = "house", {fields} }}\n'
    )


def test_no_panel_in_a_bathroom_passes():
    assert verdicts("no-panel-in-a-bathroom", panel('room = "cellar"')) == []
    assert verdicts("no-panel-in-a-bathroom", panel("outdoors = true")) == []


def test_no_panel_in_a_bathroom_fails():
    assert verdicts("no-panel-in-a-bathroom", panel('room = "bathroom", is_new = true')) == [MEND]
    assert verdicts("no-panel-in-a-bathroom", panel('room = "bathroom"')) == [KNOW]
    assert verdicts("no-panel-in-a-bathroom", panel("outdoors = false")) == [ASK]


def test_the_room_is_asked_about_only_where_it_matters():
    found = installation(panel("outdoors = false"))
    assert verdicts("no-panel-in-a-bathroom", panel("outdoors = false"), found=found) == []
    assert verdicts("no-panel-in-a-bathroom", panel("outdoors = false", "storage")) == []
    assert verdicts("no-panel-in-a-bathroom", panel("outdoors = false, is_new = true"), found=found) == [ASK]


def test_no_panel_in_a_clothes_closet_passes():
    assert verdicts("no-panel-in-a-clothes-closet", panel('room = "hall", is_new = true')) == []


def test_no_panel_in_a_clothes_closet_fails():
    assert verdicts("no-panel-in-a-clothes-closet", panel('room = "clothes closet", is_new = true')) == [MEND]


def test_no_panel_over_steps_passes():
    assert verdicts("no-panel-over-steps", panel('room = "cellar", is_new = true')) == []


def test_no_panel_over_steps_fails():
    assert verdicts("no-panel-over-steps", panel('room = "over steps", is_new = true')) == [MEND]


# 36 in deep, 30 in wide, 6 ft 6 in high: NEC 110.26(A), common practice.
def test_working_space_depth_passes():
    assert verdicts("working-space-depth", panel("working_depth_in = 36, is_new = true")) == []


def test_working_space_depth_fails():
    assert verdicts("working-space-depth", panel("working_depth_in = 35, is_new = true")) == [MEND]
    assert verdicts("working-space-depth", panel("working_depth_in = 35")) == [KNOW]


def test_a_panel_renewed_in_a_tight_place_is_for_the_inspector_to_judge():
    found = installation(panel("working_depth_in = 30"))
    assert verdicts("working-space-depth", panel("working_depth_in = 30, is_new = true"), found=found) == [ASK]


def test_working_space_width_passes():
    assert verdicts("working-space-width", panel("working_width_in = 30, is_new = true")) == []


def test_working_space_width_fails():
    assert verdicts("working-space-width", panel("working_width_in = 29, is_new = true")) == [MEND]


def test_working_space_height_passes():
    assert verdicts("working-space-height", panel("working_height_in = 78, is_new = true")) == []
    # To 200 A an existing dwelling is forgiven its low ceiling.
    assert verdicts("working-space-height", panel("working_height_in = 70, rating_a = 200, is_new = true")) == []


def test_working_space_height_fails():
    assert verdicts("working-space-height", panel("working_height_in = 70, rating_a = 400, is_new = true")) == [MEND]
    assert verdicts("working-space-height", panel("working_height_in = 70, rating_a = 100", "storage")) == [KNOW]
    assert verdicts("working-space-height", panel("working_height_in = 70")) == [ASK]


PLACE = "working_depth_in = 40, working_width_in = 40, working_height_in = 90, handle_height_in = 60"


def test_place_of_new_equipment_passes():
    assert verdicts("place-of-new-equipment", panel(f"{PLACE}, readily_accessible = true, is_new = true")) == []
    assert verdicts("place-of-new-equipment", panel("rating_a = 100")) == []


def test_place_of_new_equipment_fails():
    told = says("place-of-new-equipment", panel(f"{PLACE}, is_new = true"))
    assert [finding.verdict for finding in told] == [ASK]
    assert "readily accessible" in told[0].wrong
    assert "36 in in front, 30 in wide and 78 in high" in told[0].mend


@pytest.mark.parametrize("height", [60, 79])
def test_handle_not_too_high_passes(height):
    # 6 ft 7 in: NEC 404.8(A), common practice.
    assert verdicts("handle-not-too-high", panel(f"handle_height_in = {height}, is_new = true")) == []


def test_handle_not_too_high_fails():
    assert verdicts("handle-not-too-high", panel("handle_height_in = 80, is_new = true")) == [MEND]


def test_readily_accessible_passes():
    assert verdicts("readily-accessible", panel("readily_accessible = true")) == []


def test_readily_accessible_fails():
    assert verdicts("readily-accessible", panel("readily_accessible = false")) == [MEND]


def test_service_disconnect_near_entry_passes():
    assert verdicts("service-disconnect-near-entry", panel("outdoors = true, is_new = true")) == []
    assert verdicts("service-disconnect-near-entry", panel("outdoors = false")) == []


def test_service_disconnect_near_entry_fails():
    assert verdicts("service-disconnect-near-entry", panel("outdoors = false, is_new = true")) == [ASK]


SECOND = 'runs.more = { from = "utility", to = "second" }\nequipment.second = { kind = "panel", building = "house", '


def test_disconnects_grouped_passes():
    text = panel("outdoors = false") + SECOND + "outdoors = false }\n"
    assert verdicts("disconnects-grouped", text) == []


def test_disconnects_grouped_fails():
    text = panel("outdoors = false") + SECOND + "outdoors = true, is_new = true }\n"
    assert verdicts("disconnects-grouped", text) == [MEND]
    assert verdicts("disconnects-grouped", text.replace(", is_new = true", "")) == [ASK]


def test_outdoor_service_disconnect_passes():
    assert verdicts("outdoor-service-disconnect", panel("outdoors = true, is_new = true"), "NEC 2026") == []
    assert verdicts("outdoor-service-disconnect", panel("outdoors = false, is_new = true"), "NEC 2023") == []


def test_outdoor_service_disconnect_fails():
    found = installation(panel("outdoors = false"))
    new = panel("outdoors = false, rating_a = 200, is_new = true")
    (told,) = says("outdoor-service-disconnect", new, "NEC 2026", found=found)
    assert told.verdict.value == MEND
    assert told.wrong == "No service disconnect of this dwelling can be reached from outdoors."
    # What 230.70 of 2026 says of a replacement of the same size was not seen.
    like = panel("outdoors = false, is_new = true")
    assert verdicts("outdoor-service-disconnect", like, "NEC 2026", found=found) == [ASK]
    assert verdicts("outdoor-service-disconnect", panel("outdoors = false"), "NEC 2026") == [KNOW]
