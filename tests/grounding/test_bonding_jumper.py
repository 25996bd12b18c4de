"""Jumpers from plain numbers."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from driploop.editions import load_edition
from driploop.grounding import main_bonding_jumper, water_piping_bond
from driploop.installation import SIZES, rank

NEC = load_edition("2023")
LINES = SIZES[SIZES.index("8 AWG") :]


@pytest.mark.parametrize(
    ("size", "sets", "metal", "copper", "aluminum"),
    [
        # Table 250.102(C)(1) rows.
        ("2/0 AWG", 1, "copper", "4 AWG", "2 AWG"),
        ("4/0 AWG", 1, "aluminum", "4 AWG", "2 AWG"),
        ("400 kcmil", 1, "copper", "1/0 AWG", "3/0 AWG"),
        # 12.5 percent: 2 x 600 kcmil = 1,200,000 cmil; 150,000 cmil -> 3/0 AWG (167,800); in aluminum
        # 1,200,000 x 1750 / 1100 x 0.125 = 238,636 cmil -> 250 kcmil.
        ("600 kcmil", 2, "copper", "3/0 AWG", "250 kcmil"),
    ],
)
def test_main_bonding_jumper(size, sets, metal, copper, aluminum):
    found = main_bonding_jumper(size, metal, sets=sets, edition=NEC)
    assert (found.size, found.other_metal_size) == (copper, aluminum)
    turned = main_bonding_jumper(size, metal, sets=sets, metal="aluminum", edition=NEC)
    assert (turned.size, turned.other_metal_size) == (aluminum, copper)
    assert turned.worksheet.line("jumper").result.value == aluminum


def test_a_water_piping_bond_stops_at_3_0_copper_or_250_aluminum():
    # NEC 250.104(A)(1): not required larger than 3/0 copper or 250 kcmil aluminum (2023).
    large = water_piping_bond("1000 kcmil", "copper", sets=2, edition=NEC)
    assert (large.size, large.other_metal_size) == ("3/0 AWG", "250 kcmil")
    assert water_piping_bond("2/0 AWG", "copper", edition=NEC).size == "4 AWG"
    # 3 x 700 kcmil aluminum: 12.5 percent is 262.5 kcmil, above the limit in aluminum though not in copper.
    three = water_piping_bond("700 kcmil", "aluminum", sets=3, metal="aluminum", edition=NEC)
    assert three.size == "250 kcmil"


@given(
    st.sampled_from(LINES), st.sampled_from(LINES), st.sampled_from(["copper", "aluminum"]),
    st.sampled_from(["copper", "aluminum"]), st.integers(1, 4),
)  # fmt: skip
def test_larger_lines_never_ask_for_a_smaller_jumper(first, second, line_metal, metal, sets):
    small, large = sorted((first, second), key=rank)
    for size_of in (main_bonding_jumper, water_piping_bond):
        less, more = (size_of(s, line_metal, sets=sets, metal=metal, edition=NEC) for s in (small, large))
        assert rank(less.size) <= rank(more.size)
