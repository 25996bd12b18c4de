"""Facts of the trade on grounding: common practice, no page named."""

import pytest

from driploop.editions import edition_names, load_edition
from driploop.grounding import electrode_conductor
from grounding.places import INSIDE_MAIN, OUTDOOR_DEVICE, jumper, place, read

everywhere = pytest.mark.parametrize("edition", edition_names())


def one_rod(fields: str) -> str:
    """The house of INSIDE_MAIN with one rod as its only electrode."""
    house = "\n".join(line for line in INSIDE_MAIN.splitlines() if not line.startswith("electrodes"))
    return (
        house + f'\nelectrodes.rod = {{ kind = "rod", building = "house", length_ft = 8, diameter_in = 0.625{fields} }}'
    )


@everywhere
@pytest.mark.parametrize(
    ("resistance", "needs"), [("", True), (", resistance_ohm = 26", True), (", resistance_ohm = 25", False)]
)
def test_a_second_rod_unless_one_is_shown_to_be_25_ohm_or_less(resistance, needs, edition):
    assert read(place(one_rod(resistance)), edition=edition).systems["house"].needs_second_electrode is needs


@everywhere
@pytest.mark.parametrize(("spacing_ft", "needs"), [(5.9, True), (6, False), (8, False)])
def test_rods_stand_six_feet_apart_or_more(spacing_ft, needs, edition):
    second = f'electrodes.rod-2 = {{ kind = "rod", length_ft = 8, diameter_in = 0.625, spacing_ft = {spacing_ft} }}'
    text = one_rod(f", spacing_ft = {spacing_ft}") + "\n" + second
    assert read(place(text), edition=edition).systems["house"].needs_second_electrode is needs


@everywhere
def test_six_awg_copper_to_rods_of_a_200_a_service(edition):
    for size, metal in (("2/0 AWG", "copper"), ("4/0 AWG", "aluminum")):
        assert electrode_conductor(size, metal, to="rod", edition=load_edition(edition)).copper == "6 AWG"


@everywhere
def test_an_intersystem_termination_at_the_service(edition):
    reading = read(place(OUTDOOR_DEVICE.format(role="service disconnect")), edition=edition)
    termination = jumper(reading, "intersystem-bonding-conductor/house")
    assert (termination.where, termination.size, termination.metal) == ("outdoor", "6 AWG", "copper")


@everywhere
def test_new_work_never_bonds_the_neutral_at_the_inside_panel_of_an_outdoor_main(edition):
    reading = read(place(OUTDOOR_DEVICE.format(role="service disconnect")), edition=edition)
    assert reading.bonds["panel"].required == "isolated"
    assert {j.where for j in reading.jumpers if j.kind == "main bonding jumper"} == {"outdoor"}
