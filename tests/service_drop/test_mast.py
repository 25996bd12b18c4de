"""Masts against published properties of pipe and textbook bending."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from driploop.editions import NotInTable
from driploop.service_drop.mast import (
    allowed_stress_psi,
    bending_psi,
    guy_pull_lb,
    lean_in,
    longest_unguyed_in,
    pipe_of,
    pipes,
)


def test_conduit_is_a_little_weaker_than_the_pipe_of_its_name() -> None:
    for size, section in (("2", 0.561), ("2-1/2", 1.06), ("3", 1.72), ("4", 3.21)):
        assert 0.9 * section < pipe_of(size).section_in3 < section


def test_a_mast_worked_by_hand() -> None:
    """2 in conduit, S 0.537 in3, 400 lb at 24 in: 9,600 / 0.537 = 17,880 psi of 0.66 x 30,000 = 19,800 psi; it could be
    19,800 x 0.537 / 400 = 26.6 in long."""
    pipe = pipe_of("2")
    assert bending_psi(pipe, pull_lb=400, lever_in=24) == pytest.approx(17_880, rel=2e-3)
    assert allowed_stress_psi() == pytest.approx(19_800)
    assert longest_unguyed_in(pipe, pull_lb=400) == pytest.approx(26.6, abs=0.1)


def test_the_lean_is_the_slope_summed_up() -> None:
    """Second witness: curvature M / EI added up twice along the mast, E 29,000,000 psi."""
    pipe, pull, lever, steps = pipe_of("2-1/2"), 300.0, 48.0, 4000
    ei, slope, lean, dx = 29e6 * pipe.inertia_in4, 0.0, 0.0, 48.0 / 4000
    for n in range(steps):
        slope += pull * (lever - (n + 0.5) * dx) / ei * dx
        lean += slope * dx
    assert lean_in(pipe, pull_lb=pull, lever_in=lever) == pytest.approx(lean, rel=1e-3)


def test_a_guy_at_forty_five_degrees_carries_root_two() -> None:
    assert guy_pull_lb(pull_lb=500, lever_in=40, held_at_in=40, angle_degrees=45) == pytest.approx(500 * math.sqrt(2))


@given(pull=st.floats(20, 4000), lever=st.floats(1, 120))
def test_a_thicker_mast_never_bends_more(pull: float, lever: float) -> None:
    for measure in (bending_psi, lean_in):
        seen = [measure(pipe, pull_lb=pull, lever_in=lever) for pipe in pipes()]
        assert seen == sorted(seen, reverse=True)


def test_a_size_that_is_not_there_lists_those_that_are() -> None:
    with pytest.raises(NotInTable, match="2-1/2"):
        pipe_of("7")
