"""Which of two line conductors of unlike metals asks for the larger grounding parts: Table 250.66, from memory."""

from __future__ import annotations

import pytest

from driploop.editions import load_edition
from driploop.grounding.areas import asks_for_more, line_conductors

EDITION = load_edition("NEC 2020")


@pytest.mark.parametrize(
    ("one", "other", "more"),
    [
        # 1500 kcmil aluminum: a 2/0 copper conductor; 6 AWG copper: 8 AWG.
        (("1500 kcmil", "aluminum"), ("6 AWG", "copper"), True),
        # 4/0 aluminum and 2/0 copper both ask for 4 AWG.
        (("4/0 AWG", "aluminum"), ("2/0 AWG", "copper"), False),
        # 1/0 aluminum asks for 8 AWG, 1/0 copper for 6 AWG.
        (("1/0 AWG", "aluminum"), ("1/0 AWG", "copper"), False),
        (("1/0 AWG", "copper"), ("1/0 AWG", "aluminum"), True),
        # Past the last sizes 1500 / 1100 of copper is more than 2000 / 1750 of aluminum.
        (("1500 kcmil", "copper"), ("2000 kcmil", "aluminum"), True),
        (("2/0 AWG", "copper"), ("1/0 AWG", "copper"), True),
    ],
)
def test_the_lines_that_ask_for_more(one, other, more):
    first, second = (line_conductors(size, metal, edition=EDITION) for size, metal in (one, other))
    assert asks_for_more(first, second, edition=EDITION) is more
