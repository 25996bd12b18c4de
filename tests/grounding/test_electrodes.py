"""Which electrodes count, and the electrode system of a place."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from driploop.editions import load_edition
from driploop.grounding.electrodes import enough_electrodes, standing
from driploop.installation import Electrode
from grounding.places import INSIDE_MAIN, SHED, asked, place, read
from grounding.test_bond import DUPLEX, FARM

NEC = load_edition("2023")
ROD = {"kind": "rod", "length_ft": 8, "diameter_in": 0.625, "spacing_ft": 8}


def electrode(**fields):
    return Electrode(id="it", **fields)


def enough(*electrodes):
    return enough_electrodes([standing(electrode(**e), edition=NEC) for e in electrodes], edition=NEC).needs_another


@pytest.mark.parametrize(
    ("fields", "counts"),
    [
        (ROD, True),
        ({**ROD, "length_ft": 7.9}, False),
        ({**ROD, "length_ft": None}, None),
        ({**ROD, "diameter_in": 0.5}, None),  # only with its listing mark
        ({**ROD, "diameter_in": 0.4}, False),
        ({"kind": "rod", "is_new": True}, True),
        ({"kind": "metal water pipe", "earth_contact_ft": 10}, True),
        ({"kind": "metal water pipe", "earth_contact_ft": 9}, False),
        ({"kind": "metal water pipe"}, None),
        ({"kind": "concrete-encased", "length_ft": 20}, True),
        ({"kind": "concrete-encased", "length_ft": 19}, False),
        ({"kind": "ground ring", "length_ft": 20, "ring_size": "2 AWG"}, True),
        ({"kind": "ground ring", "length_ft": 20, "ring_size": "4 AWG"}, False),
        ({"kind": "ground ring", "length_ft": 20}, None),
        ({"kind": "metal structure", "earth_contact_ft": 10}, True),
        ({"kind": "metal structure"}, None),
        ({"kind": "plate"}, True),
        ({}, None),
    ],
)
def test_what_counts_as_an_electrode(fields, counts):
    answer = standing(electrode(**fields), edition=NEC)
    assert answer.counts is counts
    assert bool(answer.assumptions) is (counts is None)


WATER = {"kind": "metal water pipe", "earth_contact_ft": 30}
ENCASED = {"kind": "concrete-encased", "length_ft": 20}


@pytest.mark.parametrize(
    ("present", "needs"),
    [
        ([], True),
        ([ROD], True),
        ([{**ROD, "resistance_ohm": 25}], False),
        ([{**ROD, "resistance_ohm": 80}], True),
        ([ROD, ROD], False),
        ([{**ROD, "spacing_ft": 5}, {**ROD, "spacing_ft": 5}], True),
        ([{**ROD, "spacing_ft": None}, {**ROD, "spacing_ft": None}], None),
        ([{**ROD, "length_ft": None}, {**ROD, "length_ft": None}], None),
        ([WATER], True),
        ([WATER, ROD], True),
        ([WATER, {**ROD, "resistance_ohm": 20}], False),
        ([WATER, ROD, ROD], False),
        ([WATER, ENCASED], False),
        ([ENCASED], False),
        ([ROD, ENCASED], False),
        ([ROD, {"kind": "metal structure"}], None),
        ([{**ROD, "length_ft": 4}], True),
    ],
)
def test_whether_another_electrode_is_needed(present, needs):
    assert enough(*present) is needs


def test_a_house_of_200_a_with_water_pipe_and_two_rods():
    system = read(place(INSIDE_MAIN)).systems["house"]
    sizes = {c.electrode: (c.required_copper, c.required_aluminum) for c in system.conductors}
    # 4/0 AWG aluminum, Table 250.66: 4 AWG copper, 2 AWG aluminum; rods 6 and 4 by 250.66(A).
    assert sizes == {"rod-1": ("6 AWG", "4 AWG"), "rod-2": ("6 AWG", "4 AWG"), "water": ("4 AWG", "2 AWG")}
    assert (system.required, system.lands_at, system.needs_second_electrode) == (True, "panel", False)
    for conductor in system.conductors:
        assert system.worksheet.line(conductor.key).result.value == conductor.required_copper
        assert conductor.worksheet == system.worksheet.id


def test_a_rod_on_the_way_to_the_water_pipe_takes_the_larger_conductor():
    text = INSIDE_MAIN.replace(
        'electrodes.rod-1 = { kind = "rod",', 'electrodes.rod-1 = { continues_to = "water", kind = "rod",'
    )
    conductors = {c.electrode: c for c in read(place(text)).systems["house"].conductors}
    assert conductors["rod-1"].required_copper == "4 AWG"


def test_electrodes_that_lead_to_each_other_do_not_run_for_ever():
    text = INSIDE_MAIN.replace("rod-1 = { kind", 'rod-1 = { continues_to = "rod-2", kind')
    text = text.replace("rod-2 = { kind", 'rod-2 = { continues_to = "rod-1", kind')
    assert len(read(place(text)).systems["house"].conductors) == 3


def test_a_conductor_that_lands_on_an_isolated_neutral_is_told_of():
    sub = """
    equipment.sub = { kind = "panel", building = "house" }
    runs.sub = { from = "panel", to = "sub", wires = 4 }
    electrodes.old-rod = { kind = "rod", building = "house", conductor_to = "sub" }
    """
    conductors = {c.electrode: c for c in read(place(INSIDE_MAIN + sub)).systems["house"].conductors}
    assert "must land at panel" in conductors["old-rod"].why
    assert conductors["old-rod"].lands_at == "panel"


def test_aluminum_near_the_earth_is_told_of():
    # NEC 250.64(A): aluminum ends 18 in or more above the earth outdoors.
    for height_in, told in ((6, True), (18, False)):
        fields = f'conductor_size = "4 AWG", conductor_metal = "aluminum", conductor_above_earth_in = {height_in}'
        text = INSIDE_MAIN.replace("rod-1 = { kind", f"rod-1 = {{ {fields}, kind")
        conductors = {c.electrode: c for c in read(place(text)).systems["house"].conductors}
        assert ("from the earth" in conductors["rod-1"].why) is told


def test_an_electrode_that_is_not_connected_is_not_adequate():
    text = INSIDE_MAIN.replace("water = { kind", 'water = { connected = false, conductor_size = "4 AWG", kind')
    conductors = {c.electrode: c for c in read(place(text)).systems["house"].conductors}
    assert conductors["water"].adequate is False


def test_a_concrete_encased_electrode_behind_concrete_may_be_left_out_and_an_unknown_one_is_asked_about():
    for reachable, joined, question in (("true", True, False), ("false", False, False), ('"unknown"', True, True)):
        line = f"""
        electrodes.footing = {{ kind = "concrete-encased", building = "house", length_ft = 20, \
reachable_without_breaking_concrete = {reachable} }}"""
        reading = read(place(INSIDE_MAIN + line))
        assert ("footing" in reading.systems["house"].electrodes) is joined
        assert ("electrodes.footing.reachable_without_breaking_concrete" in asked(reading)) is question


def test_a_place_without_electrodes_needs_two_rods_and_knows_their_conductor():
    system = read(place(SHED.format(extra=""))).systems["shed"]
    assert (system.electrodes, system.needs_second_electrode, system.lands_at) == ((), True, "shed-panel")
    assert "two rods" in system.why
    # 4 AWG aluminum lines, Table 250.66: 8 AWG copper.
    assert system.worksheet.line("new rods").result.value == "8 AWG"


def test_one_branch_circuit_with_an_equipment_ground_needs_no_electrode():
    def shed(*circuits):
        lines = [f'circuits.c{n} = {{ from = "panel", building = "hut", {c} }}' for n, c in enumerate(circuits)]
        return read(place("\n".join([INSIDE_MAIN, 'buildings.hut = { use = "storage" }', *lines])))

    assert not shed('ground = "wire"').systems["hut"].required
    assert shed('ground = "none"').systems["hut"].needs_second_electrode
    assert "circuits.c0.ground" in asked(shed('ground = "unknown"'))
    assert shed('ground = "unknown"').systems["hut"].required
    assert shed('ground = "wire"', 'ground = "wire"').systems["hut"].required
    assert not shed('ground = "wire", multiwire_with = "c1"', 'ground = "wire"').systems["hut"].required


def test_a_duplex_adds_up_the_lines_of_both_services():
    system = read(place(DUPLEX)).systems["house"]
    # 2 x 4 AWG copper = 83,480 cmil: more than 2 AWG (66,360), so 6 AWG copper to the water pipe.
    assert system.worksheet.line("lines").result.number == 83_480
    assert system.conductors[0].required_copper == "6 AWG"
    assert system.lands_at == "main-a"


def test_the_pole_and_the_barn_of_a_farm_have_a_system_each():
    systems = read(place(FARM, site_kind="farm")).systems
    assert {id: system.lands_at for id, system in systems.items()} == {"pole": "isolator", "barn": "barn-panel"}
    assert systems["barn"].section == "250.32(A)"


def test_lines_of_unknown_size_are_taken_upward_and_told_of():
    text = INSIDE_MAIN.replace('line_size = "4/0 AWG"', 'line_size = "unknown"')
    reading = read(place(text))
    water = next(c for c in reading.systems["house"].conductors if c.electrode == "water")
    # 200 A in the 60 C column of Table 310.16 is 250 kcmil copper (215 A; 4/0 AWG carries 195): 2 AWG copper.
    assert water.required_copper == "2 AWG"
    assert "runs.service.line_size" in asked(reading)


def test_lines_of_unknown_metal_are_taken_as_copper():
    reading = read(place(INSIDE_MAIN.replace('metal = "aluminum"', 'metal = "unknown"')))
    water = next(c for c in reading.systems["house"].conductors if c.electrode == "water")
    assert water.required_copper == "2 AWG"  # 4/0 AWG copper, Table 250.66
    assert "runs.service.metal" in asked(reading)


ANSWERS = {
    "kind": ["rod", "pipe", "plate", "metal water pipe", "concrete-encased", "ground ring", "metal structure"],
    "length_ft": [4, 8, 20],
    "diameter_in": [0.4, 0.5, 0.625],
    "spacing_ft": [3, 6],
    "resistance_ohm": [10, 80],
    "earth_contact_ft": [5, 10],
    "ring_size": ["4 AWG", "2 AWG"],
}
answered = st.fixed_dictionaries({name: st.sampled_from(values) for name, values in ANSWERS.items()})
blanked = st.sets(st.sampled_from(list(ANSWERS)))


@given(st.lists(st.tuples(answered, blanked), max_size=4))
def test_an_unknown_never_spares_an_electrode_that_some_answer_would_ask_for(electrodes):
    known = enough(*(fields for fields, _ in electrodes))
    unknown = enough(
        *({name: None if name in blank else v for name, v in fields.items()} for fields, blank in electrodes)
    )
    if unknown is False:
        assert known is False


def test_a_footing_out_of_reach_is_left_out_unless_it_is_joined_already():
    footing = (
        'electrodes.footing = {{ kind = "concrete-encased", building = "house", length_ft = 20, '
        "reachable_without_breaking_concrete = false, connected = {joined} }}\n"
    )
    apart, joined = (place(INSIDE_MAIN + footing.format(joined=known)) for known in ("false", "true"))
    assert "footing" not in read(apart).systems["house"].electrodes
    system = read(joined).systems["house"]
    assert "footing" in system.electrodes
    # Its conductor: 4 AWG copper at most, NEC 250.66(B).
    assert next(c for c in system.conductors if c.electrode == "footing").required_copper == "4 AWG"
    # A change that calls everything joined does not make it so.
    assert "footing" not in read(joined, found=apart).systems["house"].electrodes
