"""Widths of words, and breaking them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from driploop.drawings.display import Box, Circle, Group, Polyline, Text, bounds, shortened, text_width, wrap


def test_a_width_is_the_font_s_own_with_five_percent_to_spare() -> None:
    # Advance widths of Source Sans 3.052 regular, read from the font file: M 727, digits 497 thousandths of the size.
    assert text_width("M", 10) == pytest.approx(7.27 * 1.05)
    assert text_width("200", 10) == pytest.approx(3 * 4.97 * 1.05)


def test_bold_is_wider_and_an_unknown_letter_counts_as_wide_as_an_m() -> None:
    assert text_width("Main panel", 7, bold=True) > text_width("Main panel", 7)
    assert text_width("\u4e00", 7) == text_width("M", 7)


@given(st.text(st.characters(categories=["L", "N", "Zs"], include_characters=" "), max_size=80), st.floats(20, 200))
def test_no_line_is_wider_than_it_may_be_and_no_letter_is_lost(words: str, width: float) -> None:
    lines = wrap(words, width)
    assert all(text_width(line, 7) <= width for line in lines)
    assert "".join(lines).replace(" ", "") == words.replace(" ", "").replace("\u00a0", "")


def test_a_number_keeps_its_unit() -> None:
    assert wrap("feeder of 100\u00a0A", text_width("feeder of 100", 7)) == ("feeder of", "100 A")


@given(st.text("abcdefg hij", max_size=60), st.floats(15, 120))
def test_shortened_words_fit(words: str, width: float) -> None:
    assert text_width(shortened(words, width), 7) <= width
    assert shortened("short", 100) == "short"


def test_bounds_reach_round_everything_in_groups_too() -> None:
    inner = Group("a", "a", (Circle(10, 10, 5),))
    assert bounds([Polyline(((0, 0), (3, 2))), inner]) == Box(0, 0, 15, 15)
    with pytest.raises(ValueError, match="nothing is drawn"):
        bounds([])


def test_words_end_where_their_anchor_says() -> None:
    box = bounds([Text(50, 20, "end", anchor="end")])
    assert box.x1 == 50
    assert box.y0 < 20 < box.y1
