"""The electrode conductor: limits, limits lost, and what is found against what is needed."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from driploop.editions import NotInTable, edition_names, load_edition
from driploop.grounding import electrode_conductor
from driploop.grounding.areas import line_conductors
from driploop.grounding.electrode_conductor import Target, is_adequate, required_conductor
from driploop.installation import SIZES, rank

NEC = load_edition("2023")
LINES = SIZES[SIZES.index("8 AWG") :]
KINDS = ["metal water pipe", "concrete-encased", "ground ring", "rod", "pipe", "plate", "metal structure"]


def need(line_size, kind, *onward, metal="copper", ring_size=None):
    lines = line_conductors(line_size, metal, edition=NEC)
    return required_conductor(lines, Target(kind, ring_size), onward=onward, edition=NEC)


# NEC 250.66(A) to (C): limits for a conductor that serves only such an electrode; lines of 500 kcmil copper ask for
# 1/0 AWG copper by the table.
@pytest.mark.parametrize(
    ("kind", "copper", "aluminum"),
    [
        ("rod", "6 AWG", "4 AWG"),
        ("pipe", "6 AWG", "4 AWG"),
        ("plate", "6 AWG", "4 AWG"),
        ("concrete-encased", "4 AWG", "3/0 AWG"),
        ("metal water pipe", "1/0 AWG", "3/0 AWG"),
        ("metal structure", "1/0 AWG", "3/0 AWG"),
    ],
)
def test_limits_by_electrode(kind, copper, aluminum):
    found = need("500 kcmil", kind)
    assert (found.copper.value, found.aluminum.value) == (copper, aluminum)


def test_a_ring_asks_for_its_own_size_and_never_for_aluminum():
    assert need("500 kcmil", "ground ring", ring_size="2 AWG").copper.value == "2 AWG"
    assert need("500 kcmil", "ground ring").copper.value == "1/0 AWG"
    assert need("500 kcmil", "ground ring", ring_size="2 AWG").aluminum is None


def test_small_lines_ask_for_less_than_the_limit():
    # Table 250.66: lines to 2 AWG copper take 8 AWG.
    assert need("4 AWG", "rod").copper.value == "8 AWG"


def test_the_limit_is_lost_when_the_conductor_runs_on_to_an_electrode_that_needs_more():
    onward = need("2/0 AWG", "rod", Target("metal water pipe"))
    assert onward.copper.value == "4 AWG"
    assert "limit for the rod is lost" in onward.why
    assert need("2/0 AWG", "rod", Target("rod")).copper.value == "6 AWG"


@pytest.mark.parametrize(
    ("size", "metal", "serves"),
    [
        ("6 AWG", "copper", True),
        ("8 AWG", "copper", False),
        ("6 AWG", "aluminum", False),
        ("4 AWG", "aluminum", True),
        ("6 AWG", None, None),
        ("4 AWG", None, True),
        ("8 AWG", None, False),
        (None, "copper", None),
    ],
)
def test_what_is_found_serves_or_not(size, metal, serves):
    assert is_adequate(size, metal, need("2/0 AWG", "rod")) is serves


def test_the_worksheet_holds_the_answer_with_its_section():
    found = electrode_conductor("3/0 AWG", "copper", sets=2, to="rod", edition=NEC)
    assert found.worksheet.line("lines").result.number == 335_600
    assert found.worksheet.line("conductor").result.value == found.copper
    assert found.section == "250.66(A)"


def test_a_size_that_is_none_is_refused_in_words():
    with pytest.raises(NotInTable, match="conductor_properties"):
        electrode_conductor("5 AWG", "copper", to="rod", edition=NEC)


@given(
    st.sampled_from(LINES), st.sampled_from(LINES), st.sampled_from(["copper", "aluminum"]), st.sampled_from(KINDS),
    st.sampled_from(edition_names()),
)  # fmt: skip
def test_larger_lines_never_ask_for_a_smaller_electrode_conductor(first, second, metal, kind, edition):
    small, large = sorted((first, second), key=rank)
    edition = load_edition(edition)
    less, more = (electrode_conductor(size, metal, to=kind, edition=edition) for size in (small, large))
    assert rank(less.copper) <= rank(more.copper)
    if less.aluminum is not None:
        assert rank(less.aluminum) <= rank(more.aluminum)
        assert rank(less.aluminum) > rank(less.copper)


@given(st.sampled_from(LINES), st.sampled_from(["copper", "aluminum"]), st.sampled_from(KINDS))
def test_a_limit_never_asks_for_more_than_the_table(size, metal, kind):
    table = electrode_conductor(size, metal, to="metal water pipe", edition=NEC)
    assert rank(electrode_conductor(size, metal, to=kind, edition=NEC).copper) <= rank(table.copper)
