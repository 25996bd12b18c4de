"""Faults that random jobs brought to light, each as the smallest job that shows it."""

from __future__ import annotations

import pytest

from driploop import plan, read_job_text
from driploop.conductors.cable import cable_as_made
from driploop.grounding.results import ElectrodeSystem
from driploop.installation import Circuit, Graph, GraphError, Installation, Load
from driploop.loads.unread import circuit_without_loads, is_dedicated
from driploop.planning import Plan

HOUSE = """
format = 1
town.edition = "NEC 2020"
utility.system = "120/240 V single-phase"
buildings.house = { use = "dwelling", floor_area_ft2 = 1200, garage_area_ft2 = 0 }
equipment.panel = { kind = "panel", building = "house", rating_a = 200, main = "breaker", main_a = 200 }
runs.service = { from = "utility", to = "panel", owner = "customer", line_size = "2/0 AWG", metal = "copper" }
circuits.lights = { from = "panel", purpose = "general", poles = 1, ocpd_a = 15, wire_size = "14 AWG" }
"""


def planned(more: str) -> Plan:
    return plan(read_job_text(HOUSE + more))


def house_system(more: str) -> ElectrodeSystem:
    return planned(more).final.grounding.systems["house"]


def test_a_cable_made_up_with_a_size_the_code_leaves_out_counts_as_the_next_smaller():
    """3-3-3-5 copper is made; the code's tables have no 5 AWG."""
    made = {egc: cable_as_made("SER cable", metal="copper", line="3 AWG", neutral="3 AWG", egc=egc) for egc in
            ("8 AWG", "6 AWG", "4 AWG")}  # fmt: skip
    for egc in ("8 AWG", "6 AWG"):
        assert made[egc] is not None
        assert made[egc].value == "3-3-3-5"
    assert made["4 AWG"] is None or made["4 AWG"].value != "3-3-3-5"


@pytest.mark.parametrize("order", [("small", "large"), ("large", "small")])
def test_of_two_unread_wires_to_a_shed_the_larger_counts_in_either_order(order):
    amperes = {"small": 20, "large": 200}
    circuits = "\n".join(
        f'circuits.{name} = {{ from = "panel", building = "shed", ocpd_a = {amperes[name]}, ground = "none" }}'
        for name in order
    )
    shed = """
    buildings.shed = { use = "storage" }
    electrodes.pipe = { kind = "metal water pipe", building = "shed", connected = true, earth_contact_ft = 20 }
    """
    (conductor,) = planned(shed + circuits).final.grounding.systems["shed"].conductors
    # 200 A read from the 60 C column of copper: 250 kcmil, which asks for 2 AWG (NEC 2020 Table 250.66).
    assert conductor.required_copper == "2 AWG"


def test_an_electrode_nobody_saw_joined_is_not_shown_to_be_joined_well():
    rod = 'electrodes.rod = { kind = "rod", building = "house", conductor_size = "4 AWG", conductor_metal = "copper"'
    adequate = {
        joined: house_system(f"{rod}{joined} }}").conductors[0].adequate
        for joined in ("", ", connected = true", ", connected = false")
    }
    assert adequate == {"": None, ", connected = true": True, ", connected = false": False}


def test_an_encased_electrode_that_may_be_out_of_reach_leaves_the_second_electrode_open():
    encased = 'electrodes.slab = { kind = "concrete-encased", building = "house", length_ft = 30'
    assert house_system(f"{encased} }}").needs_second_electrode is None
    assert house_system(f"{encased}, reachable_without_breaking_concrete = true }}").needs_second_electrode is False
    assert house_system(f"{encased}, reachable_without_breaking_concrete = false }}").needs_second_electrode is True


def test_an_unlisted_circuit_of_uncounted_lines_behind_a_large_device_is_no_lighting_circuit():
    unread = Circuit(id="unread", ocpd_a=50.0)
    two_lines = Circuit(id="unread", ocpd_a=50.0, poles=2)
    assert is_dedicated(unread)
    unknown, _ = circuit_without_loads(unread, building="house")
    answered, _ = circuit_without_loads(two_lines, building="house")
    assert unknown.va >= answered.va
    assert not is_dedicated(Circuit(id="plug", ocpd="plug fuse", ocpd_a=30.0))


def test_an_unlisted_circuit_on_two_lines_whose_device_was_not_read_is_not_taken_for_a_small_one():
    unknown, _ = circuit_without_loads(Circuit(id="unread", poles=2), building="house")
    answered, _ = circuit_without_loads(Circuit(id="unread", poles=2, ocpd_a=50.0), building="house")
    assert unknown.va >= answered.va


def test_a_load_that_hangs_on_nothing_is_refused_and_not_left_out_of_every_sum():
    installation = Installation(loads={"dryer": Load(id="dryer", panel="gone")})
    with pytest.raises(GraphError, match=r"loads\.dryer\.panel: there is no 'gone'"):
        Graph(installation)


SHED = 'buildings.barn = { use = "storage" }\ncircuits.barn = { from = "panel", building = "barn" }\n'
HEAT = 'loads.heat = { kind = "electric heat", panel = "panel", building = "house", kw = 20, volts = 240 }\n'
DRYER = 'loads.grain = { kind = "grain dryer", panel = "panel", building = "house", kw = 12, volts = 240 }\n'


@pytest.mark.parametrize("more", [SHED + HEAT, HEAT + DRYER], ids=["another building", "a grain dryer"])
def test_a_site_that_may_be_a_farm_claims_no_reduction_a_farm_would_not_have(more):
    permitted = {
        kind: planned(f"{more}{kind}").final.loads.nodes["panel"].result("optional")
        for kind in ("", 'site.kind = "residence"')
    }
    unknown, residence = permitted.values()
    assert unknown is not None
    assert residence is not None
    assert (unknown.permitted, residence.permitted) == ("no", "yes")


def test_several_service_disconnects_are_named_in_one_order_whatever_the_survey_lists_first():
    boxes = {
        "east": 'equipment.east = { kind = "panel", building = "house" }\nruns.e = { from = "utility", to = "east" }\n',
        "west": 'equipment.west = { kind = "panel", building = "house" }\nruns.w = { from = "utility", to = "west" }\n',
    }
    one, other = planned(boxes["east"] + boxes["west"]), planned(boxes["west"] + boxes["east"])
    assert one.found.graph.service_disconnects == other.found.graph.service_disconnects == ("east", "panel", "west")
    lands = {p.found.grounding.systems["house"].lands_at for p in (one, other)}
    assert lands == {"east"}


def test_a_new_service_that_no_conductor_serves_sizes_its_jumpers_by_its_load():
    """Of some 1,200 A behind a 100 A main the jumper is not that of a 100 A service."""
    job = (
        'loads.heat = { kind = "electric heat", panel = "panel", kw = 400, volts = 240 }\n'
        '[proposal]\nkind = "service disconnect inside"\npanel = "panel"\nrating_a = 100\nmetal = "copper"\n'
    )
    final = planned(job).final
    assert final.conductors.runs["service"].line_size is None
    (main,) = (j for j in final.grounding.jumpers if j.kind == "main bonding jumper")
    # 8 AWG is what a 100 A service in copper takes (NEC 2020 Table 250.102(C)(1), lines of 2 AWG or smaller).
    assert main.size not in ("8 AWG", "6 AWG", "4 AWG")


@pytest.mark.parametrize(
    "loose",
    [
        'loads.range = { kind = "range", kw = 12, volts = 240 }',
        'circuits.range = { poles = 2 }\nloads.range = { kind = "range", kw = 12, volts = 240, circuit = "range" }',
    ],
    ids=["a load on no circuit", "a circuit from no panel"],
)
def test_what_is_fed_from_nobody_knows_where_is_counted_and_asked_about(loose):
    known = planned('loads.range = { kind = "range", kw = 12, volts = 240, panel = "panel" }')
    unknown = planned(loose)
    assert unknown.final.loads.nodes["panel"].load_va >= known.final.loads.nodes["panel"].load_va
    asked = {assumption.where for assumption in unknown.assumptions}
    assert asked & {"loads.range.panel", "circuits.range.from"}


def test_a_plan_to_join_an_electrode_that_may_lie_in_concrete_does_not_spare_the_rods():
    job = (
        'electrodes.slab = { kind = "concrete-encased", building = "house", length_ft = 30 }\n'
        '[proposal]\nkind = "service disconnect inside"\npanel = "panel"\nrating_a = 200\n'
    )
    final = planned(job).final
    assert (
        final.grounding.systems["house"].needs_second_electrode is not False
        or "new-rod-1" in final.installation.electrodes
    )
