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


def test_on_one_line_it_carries_the_sum_and_the_layout_is_refused() -> None:
    # forums.mikeholt.com, thread 44780: 10 A and 10 A of the same phase put 20 A on the neutral.
    posed = problem(box(4), single("one", 10, partner="two"), single("two", 10, partner="one"))
    layout = (Place("one", (1,)), Place("two", (2,)))
    ((a, b),) = legs_a(posed, layout)
    assert abs(a - b) == 20
    assert illegal(posed, layout)
