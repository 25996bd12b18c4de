"""Text in columns."""

from __future__ import annotations

import io

import pytest
from rich.console import Console

from driploop.cli.columns import put, put_rows

ROWS = [("Size", "What it carries in still air"), ("4/0 AWG", "180 A, where nothing else heats it")]


def _console(width: int) -> tuple[Console, io.StringIO]:
    out = io.StringIO()
    return Console(file=out, width=width, highlight=False), out


@pytest.mark.parametrize("width", [29, 40, 80])
def test_cells_are_folded_and_never_cut(width: int) -> None:
    console, out = _console(width)
    assert put_rows(console, ROWS, 2)
    lines = out.getvalue().splitlines()
    assert max(map(len, lines)) <= width
    assert sorted(out.getvalue().split()) == sorted(" ".join(cell for row in ROWS for cell in row).split())


def test_columns_that_cannot_fit_print_nothing() -> None:
    console, out = _console(20)
    assert not put_rows(console, ROWS, 2)
    assert out.getvalue() == ""


def test_numbers_stand_to_the_right_and_heads_are_folded() -> None:
    console, out = _console(24)
    assert put_rows(
        console, [("size", "minimum ampacity, A"), ("1 AWG", "83"), ("4 AWG", "1,000")], right=(1,), heads=True
    )
    assert out.getvalue().splitlines() == [
        "size   minimum ampacity,",
        "                       A",
        "1 AWG                 83",
        "4 AWG              1,000",
    ]


def test_a_paragraph_hangs() -> None:
    console, out = _console(24)
    put(console, "- one two three four five", 2, hang=2)
    assert out.getvalue() == "  - one two three four\n    five\n"
