"""Conductor sizes: one spelling inside, many accepted."""

import pytest

from driploop.installation import SIZES, canonical_size, larger, rank


@pytest.mark.parametrize(
    ("read", "kept"),
    [("8", "8 AWG"), ("#8", "8 AWG"), ("8 awg", "8 AWG"), ("2/0", "2/0 AWG"), ("# 2/0 AWG", "2/0 AWG"),
     ("250", "250 kcmil"), ("250 MCM", "250 kcmil"), ("500 kcmil", "500 kcmil"), (" 4/0 Awg ", "4/0 AWG")],
)  # fmt: skip
def test_a_size_written_in_the_trades_ways_is_one_size(read: str, kept: str) -> None:
    assert canonical_size(read) == kept


@pytest.mark.parametrize("wrong", ["9", "5/0", "0", "", "big", "8 mm2", "260 kcmil", "1/0/0"])
def test_what_is_no_size_is_refused_with_the_way_to_write_it(wrong: str) -> None:
    with pytest.raises(ValueError, match="2/0 AWG or 250 kcmil"):
        canonical_size(wrong)


def test_sizes_grow_from_18_awg_to_2000_kcmil() -> None:
    assert SIZES[0] == "18 AWG"
    assert SIZES[-1] == "2000 kcmil"
    assert rank("1 AWG") < rank("1/0 AWG") < rank("4/0 AWG") < rank("250 kcmil")
    assert larger("4 AWG", "2 AWG") == "2 AWG"
