"""Columns wide enough for their words, empty ones left out, unknowns said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from driploop.documents.columns import CELL_ROOM, CELL_SIZE, PAGE_WIDTH, column_widths
from driploop.documents.tables import known, stated, table
from driploop.documents.text import breakable, for_paper, one_line
from driploop.drawings.display import text_width

WORDS = st.text(st.sampled_from("abcdefgh mnw-/."), min_size=0, max_size=60)


@given(st.integers(1, 9).flatmap(lambda n: st.lists(st.lists(WORDS, min_size=n, max_size=n), min_size=1, max_size=6)))
def test_columns_fill_the_page_whatever_they_hold(rows: list[list[str]]) -> None:
    count = len(rows[0])
    widths = column_widths(["head"] * count, [False] * count, [[[cell] for cell in row] for row in rows])
    assert sum(widths) == pytest.approx(PAGE_WIDTH)
    assert all(width > 0 for width in widths)


def test_no_word_is_wider_than_its_column() -> None:
    rows = [
        [["Outdoor service disconnect"], ["302 A"], ["a feeder to another building brings its own ground " * 6]],
        [["Kitchen panel"], ["1,074 A"], ["not known"]],
    ]
    widths = column_widths(["Enclosure", "Current", "Why"], [False, True, False], rows)
    for words, width in zip(["disconnect", "1,074 A", "building"], widths, strict=True):
        assert text_width(words, CELL_SIZE) + CELL_ROOM <= width + 0.01


def test_long_text_gets_more_room_than_short_text() -> None:
    short, long = column_widths(["A", "B"], [False, False], [[["new"], ["a long sentence about a run " * 9]]])
    assert long > short * 3


def test_a_column_that_says_nothing_is_left_out() -> None:
    made = table("T", ["Part", "Spacing", ("Size", True)], [1, 2], lambda n: (f"part {n}", "–", str(n)))
    assert [column.head for column in made.columns] == ["Part", "Size"]
    assert made.rows == (("part 1", "1"), ("part 2", "2"))


def test_a_column_with_one_answer_stays() -> None:
    made = table("T", ["Part", "Spacing"], [1, 2], lambda n: (f"part {n}", "6 ft" if n == 2 else "–"))
    assert [column.head for column in made.columns] == ["Part", "Spacing"]


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (None, "A", "not known"),
        (True, "", "yes"),
        (1450.0, "ft²", "1,450 ft²"),
        (11.5, "ft", "11.5 ft"),
        ((), "", "none"),
    ],
)
def test_a_fact_of_the_survey_in_words(value: object, unit: str, words: str) -> None:
    assert known(value, unit) == words


def test_an_empty_place_that_is_no_question_is_a_dash() -> None:
    assert stated(None, "A") == "–"


def test_text_comes_on_one_line_with_numbers_kept_by_their_units() -> None:
    assert one_line("  two\nlines\tof 200 A and  4/0 AWG\x07 ") == "two lines of 200\u00a0A and 4/0\u00a0AWG"
    assert one_line("fixed 2 Inches") == "fixed 2 Inches"


def test_text_cannot_turn_its_direction() -> None:
    assert one_line("abc\u202edef\u200b") == "abcdef"


@given(st.text(st.sampled_from("abc._/- "), max_size=120))
def test_places_to_break_change_no_letter(words: str) -> None:
    assert breakable(words).replace("\u200b", "") == words


def test_a_path_may_break_after_its_dots() -> None:
    assert "\u200b" in breakable("equipment.house-fuse-box.terminal_temperature_c")
    assert max(len(piece) for piece in breakable("x" * 90).split("\u200b")) <= 18


def test_keys_numbers_and_truth_pass_unchanged() -> None:
    assert for_paper({"a b": [1, True, None, "x\ny"]}) == {"a b": [1, True, None, "x y"]}
