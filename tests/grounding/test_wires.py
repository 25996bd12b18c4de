"""Three or four wires, run by run."""

import pytest

from driploop.editions import edition_names
from driploop.grounding.results import WireCount
from driploop.installation import Graph
from grounding.places import INSIDE_MAIN, LAWFUL, OUTDOOR_DEVICE, SHED, asked, place, read
from grounding.test_bond import FARM


def shed(extra: str, **more) -> WireCount:
    return read(place(SHED.format(extra=extra)), neutral_a={"shed-panel": 20.0}, **more).wires["shed-feeder"]


@pytest.mark.parametrize("edition", edition_names())
def test_the_inside_panel_needs_four_wires_once_the_outdoor_device_is_the_service_disconnect(edition):
    # Common practice.
    wires = read(place(OUTDOOR_DEVICE.format(role="service disconnect")), edition=edition).wires
    assert (wires["service"].needed, wires["inside"].needed) == (3, 4)
    assert (wires["inside"].found, wires["inside"].may_stay) == (3, False)


@pytest.mark.parametrize("edition", edition_names())
@pytest.mark.parametrize("role", ["emergency disconnect", "meter disconnect"])
def test_three_wires_serve_while_it_is_only_an_emergency_disconnect(role, edition):
    # Common practice.
    count = read(place(OUTDOOR_DEVICE.format(role=role)), edition=edition).wires["inside"]
    assert (count.needed, count.found, count.may_stay) == (3, 3, True)


def test_a_lawful_old_feeder_may_stay_though_new_work_takes_four():
    count = shed(LAWFUL)
    assert (count.needed, count.found, count.may_stay) == (4, 3, True)
    assert count.section == "250.32(B)(1) Ex. 1"


@pytest.mark.parametrize(
    ("read_as", "instead", "words"),
    [
        ("metal_paths = []", 'metal_paths = ["water pipe"]', "water pipe"),
        ("metal_paths = []", 'metal_paths = ["communication cable"]', "communication cable"),
        ("metal_paths = []", 'metal_paths = "unknown"', "not shown that no metal path"),
        ("gfpe_upstream = false", "gfpe_upstream = true", "ground-fault protection"),
        ("gfpe_upstream = false", 'gfpe_upstream = "unknown"', "not shown that no ground-fault protection"),
        ('egc = "none"', 'egc = "wire"', "equipment ground"),
        ('egc = "none"', 'egc = "none", is_new = true', "new work"),
    ],
)
def test_one_condition_that_fails_or_is_not_shown_ends_the_exception(read_as, instead, words):
    count = shed(LAWFUL.replace(read_as, instead))
    assert not count.may_stay
    assert words in count.why


def test_a_neutral_smaller_than_the_equipment_ground_it_stands_for_ends_the_exception():
    # Table 250.122: 60 A takes 8 AWG aluminum; 10 AWG is too small.
    small = SHED.format(extra=LAWFUL).replace('neutral_size = "4 AWG"', 'neutral_size = "10 AWG"')
    count = read(place(small), neutral_a={"shed-panel": 5.0}).wires["shed-feeder"]
    assert not count.may_stay
    assert "8 AWG" in count.why


def test_a_neutral_that_cannot_carry_its_load_ends_the_exception():
    # Table 310.16, aluminum at 60 C: 4 AWG carries 55 A.
    for load_a, stays in ((55.0, True), (56.0, False)):
        count = read(place(SHED.format(extra=LAWFUL)), neutral_a={"shed-panel": load_a}).wires["shed-feeder"]
        assert count.may_stay is stays


def test_a_neutral_load_that_nobody_calculated_ends_the_exception():
    assert not read(place(SHED.format(extra=LAWFUL))).wires["shed-feeder"].may_stay


def test_what_was_a_service_conductor_before_is_no_existing_feeder():
    before = place(SHED.format(extra=LAWFUL).replace('from = "panel"', 'from = "utility"'))
    assert not shed(LAWFUL, found=before).may_stay
    assert shed(LAWFUL, found=place(SHED.format(extra=LAWFUL))).may_stay


def test_a_rigid_metal_raceway_counts_as_the_fourth_wire_and_a_flexible_one_does_not():
    for method, found in (("EMT", 4), ("FMC", 3)):
        text = OUTDOOR_DEVICE.format(role="service disconnect")
        text = text.replace('"SE cable", wires = 3', f'"{method}", wires = 3, egc = "raceway"')
        assert read(place(text)).wires["inside"].found == found


def test_a_run_nobody_counted_needs_four_and_is_asked_about():
    text = OUTDOOR_DEVICE.format(role="service disconnect").replace('"SE cable", wires = 3', '"SER cable"')
    reading = read(place(text))
    count = reading.wires["inside"]
    assert (count.needed, count.found, count.may_stay) == (4, None, False)
    assert "runs.inside.wires" in asked(reading)


def test_a_run_whose_start_is_not_known_is_taken_after_the_service_disconnect():
    text = """
    equipment.panel = { kind = "panel" }
    runs.lost = { to = "panel", wires = 3 }
    """
    reading = read(place(text))
    assert reading.wires["lost"].needed == 4
    assert "runs.lost.from" in asked(reading)


def test_from_a_site_isolating_device_the_ground_is_as_large_as_the_lines():
    count = read(place(FARM, site_kind="farm")).wires["barn-feeder"]
    assert "4/0 AWG" in count.why
    assert "copper" in count.why  # livestock: the buried ground is copper
    assert count.section == "547.42"


def test_the_order_of_the_survey_changes_nothing():
    text = INSIDE_MAIN.strip().splitlines()
    there, back = (read(place("\n".join(lines))) for lines in (text, text[::-1]))
    assert dict(there.wires) == dict(back.wires)
    assert dict(there.bonds) == dict(back.bonds)
    assert {j.id: j.size for j in there.jumpers} == {j.id: j.size for j in back.jumpers}


def test_graph_is_not_touched():
    graph = place(INSIDE_MAIN)
    read(graph)
    assert isinstance(graph, Graph)
    assert graph.installation == place(INSIDE_MAIN).installation
