"""Less than a whole service: the panel, the cable or the meter alone."""

import pytest

from alternatives.houses import HOUSE, WALL_OF_SWITCHES, build, changed, refusal

EMERGENCY_AHEAD = changed(HOUSE, "runs.entrance", **{"from": "outdoor"}) + (
    """
equipment.outdoor = { kind = "disconnect", building = "house", outdoors = true, rating_a = 100, main = "none", \
role = "emergency disconnect", fate = "keep" }
runs.nipple = { from = "meter", to = "outdoor", owner = "customer", wires = 3, fate = "keep" }
"""
)


def scope(words: str, **more: object) -> str:
    return f'proposal = {{ scope = "{words}"' + "".join(f", {key} = {value}" for key, value in more.items()) + " }\n"


def test_a_new_panel_alone_gets_its_bond_and_leaves_the_rest():
    built = build(HOUSE, scope("panel only", rating_a=100))
    box = built.graph.equipment("box")
    assert (box.is_new, box.main, box.main_a, box.neutral_bonded) == (True, "breaker", 100, True)
    assert built.installation.runs["entrance"].line_size == "6 AWG"
    assert built.installation.electrodes["water"].conductor_size == "8 AWG"
    assert not built.graph.equipment("meter").is_new


def test_a_new_panel_alone_leaves_an_emergency_disconnect_what_it_is():
    graph = build(EMERGENCY_AHEAD, scope("panel only", rating_a=100)).graph
    assert (graph.roles["outdoor"], graph.roles["box"]) == ("emergency disconnect", "service disconnect")
    assert graph.equipment("box").neutral_bonded


def test_a_new_main_of_unknown_rating_is_refused():
    unrated = changed(HOUSE, "equipment.box", rating_a=None, main_a=None)
    assert refusal(unrated, scope("panel only")).where == "proposal.rating_a"


def test_a_panel_that_is_kept_is_not_replaced_alone():
    assert refusal(changed(HOUSE, "equipment.box", fate="keep"), scope("panel only")).where == "equipment.box.fate"


def test_the_cable_alone_is_renewed_up_to_the_service_disconnect_and_never_past_it():
    pullout = changed(HOUSE, "runs.entrance", **{"from": "pullout"}, fate=None) + (
        """
equipment.pullout = { kind = "disconnect", building = "house", rating_a = 60, main = "fuses", main_a = 60 }
runs.down = { from = "meter", to = "pullout", owner = "customer", wires = 3, length_ft = 12 }
"""
    )
    built = build(pullout, scope("service cable only", metal='"copper"', method='"SE cable"'))
    down, entrance = built.installation.runs["down"], built.installation.runs["entrance"]
    assert (down.is_new, down.method, down.metal, down.wires, down.length_ft) == (True, "SE cable", "copper", 3, 12)
    assert tuple(built.graph.path_up("box")) == ("pullout", "meter", "utility")
    assert (entrance.is_new, built.installation.runs["drop"].is_new) == (False, False)


def test_the_cable_alone_is_renewed_in_every_piece():
    runs = build(WALL_OF_SWITCHES, scope("service cable only")).installation.runs
    assert {id for id, run in runs.items() if run.is_new} == {"entrance", *(f"tap-{n}" for n in range(1, 6))}


def test_only_the_cable_marked_for_it_is_renewed():
    marked = changed(WALL_OF_SWITCHES, "runs.entrance", fate="replace")
    runs = build(marked, scope("service cable only")).installation.runs
    assert {id for id, run in runs.items() if run.is_new} == {"entrance"}


@pytest.mark.parametrize(("fates", "new"), [((None, None), {"meter", "second"}), (("replace", None), {"meter"})])
def test_the_meters_marked_for_it_are_renewed_or_all(fates: tuple[str | None, str | None], new: set[str]):
    two = changed(HOUSE, "equipment.meter", fate=fates[0]) + (
        """
equipment.second = { kind = "meter", building = "house", knockouts = "concentric" }
runs.second-drop = { from = "utility", to = "second", owner = "utility" }
"""
    )
    built = build(two, scope("meter only"))
    assert {id for id, each in built.installation.equipment.items() if each.is_new} == new


def test_a_new_meter_brings_no_old_marks():
    marked = changed(HOUSE, "equipment.meter", knockouts="concentric", condition="cracked", directory=None)
    meter = build(marked, scope("meter only")).graph.equipment("meter")
    assert (meter.knockouts, meter.condition, meter.directory, meter.suitable_as_service_equipment) == (None,) * 4


def test_moves_count_in_every_scope():
    shelf = """
equipment.kitchen = { kind = "panel", building = "house", rating_a = 60, branch_protection = "breakers" }
runs.to-kitchen = { from = "box", to = "kitchen", wires = 3 }
"""
    moved = build(HOUSE + shelf, scope("panel only", panel='"box"', moves='{ rooms = "kitchen" }'))
    assert moved.installation.circuits["rooms"].from_ == "kitchen"
