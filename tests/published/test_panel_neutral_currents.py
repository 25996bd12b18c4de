"""Published neutral currents of circuits that share one neutral, against the lines a layout gives them."""

from __future__ import annotations

import pytest

from driploop.panel import Place, illegal, legs_a
from panel.boxes import box, problem, single


@pytest.mark.parametrize(
    ("source", "first_a", "second_a", "neutral_a"),
    [
        # lumenlabs.works, "Multiwire branch circuits: why the shared neutral can carry less current", read 2026-11-25:
        # 16 A on one leg and 10 A on the other leave 6 A; equal currents leave none.
        ("lumenlabs.works", 16, 10, 6),
        ("lumenlabs.works", 16, 16, 0),
        # forums.mikeholt.com, thread 44780, "multiwire circuit", read 2026-11-25: 5 A and 8 A leave 3 A.
        ("forums.mikeholt.com 44780", 5, 8, 3),
        # receptacle102.rssing.com chan-75415811, article 4, answer on two circuits with one neutral, read 2026-11-25:
        # 15 A and 5 A leave 10 A; 15 A on each leave none.
        ("receptacle102.rssing.com", 15, 5, 10),
        ("receptacle102.rssing.com", 15, 15, 0),
    ],
)
def test_on_both_lines_the_neutral_carries_the_difference(
    source: str, first_a: float, second_a: float, neutral_a: float
) -> None:
    posed = problem(box(4), single("one", first_a, partner="two"), single("two", second_a, partner="one"))
    layout = (Place("one", (1,)), Place("two", (3,)))
    assert illegal(posed, layout) == (), source
    ((a, b),) = legs_a(posed, layout)
    assert abs(a - b) == neutral_a


@pytest.mark.parametrize(
    ("each_a", "neutral_a"),
    [
        (10, 20),  # forums.mikeholt.com, thread 44780: two circuits of 10 A of the same phase
        (15, 30),  # receptacle102.rssing.com, as above
        (20, 40),  # lists.contesting.com, towertalk 2010-07, message 571: 40 A on a 12 AWG neutral, and nothing opens
    ],
)
def test_on_one_line_it_carries_the_sum_and_the_layout_is_refused(each_a: float, neutral_a: float) -> None:
    posed = problem(box(4), single("one", each_a, partner="two"), single("two", each_a, partner="one"))
    layout = (Place("one", (1,)), Place("two", (2,)))
    ((a, b),) = legs_a(posed, layout)
    assert abs(a - b) == neutral_a
    assert illegal(posed, layout)
