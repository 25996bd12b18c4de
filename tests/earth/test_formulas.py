"""Rods, plates, rings and footings: published values, the integral worked out in numbers, what must hold always."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from driploop.earth.chance import chance_of
from driploop.earth.formulas import (
    concrete_encased_ohm,
    in_line,
    in_ring,
    mutual_ohm,
    plate_ohm,
    ring_ohm,
    rod_ohm,
    rods_ohm,
    wire_ohm,
)


@pytest.mark.parametrize(("first", "second", "spacing"), [(8, 8, 6), (10, 8, 2.5), (4, 20, 30)])
def test_the_mutual_resistance_is_the_double_integral(first: float, second: float, spacing: float) -> None:
    """Second witness: the mean potential summed up in small steps, image included."""
    steps = 240
    total = 0.0
    for i in range(steps):
        z = (i + 0.5) / steps * second
        for j in range(steps):
            w = (j + 0.5) / steps * first
            total += 1 / math.hypot(spacing, z - w) + 1 / math.hypot(spacing, z + w)
    by_steps = 10_000 / 30.48 * total / steps**2 / (4 * math.pi)
    assert mutual_ohm(10_000, first_ft=first, second_ft=second, spacing_ft=spacing) == pytest.approx(by_steps, rel=1e-4)


def test_a_mutual_resistance_at_the_rods_own_skin_is_the_rods_resistance() -> None:
    own = mutual_ohm(10_000, first_ft=10, second_ft=10, spacing_ft=0.3125 / 12)
    assert own == pytest.approx(rod_ohm(10_000, length_ft=10, diameter_in=0.625), rel=2e-3)


def test_a_disc_deep_down_and_a_disc_far_up() -> None:
    """Dwight 1936: rho / 8a far from the surface; worked by hand for a = 1 ft at 100 ft, 10,000 ohm-cm: 41.01 ohm, and
    the image adds rho / (4 pi 200 ft) = 0.13 ohm."""
    assert plate_ohm(10_000, surface_ft2=2 * math.pi, depth_in=1200) == pytest.approx(41.01 + 0.13, abs=0.01)


def test_a_ring_worked_by_hand() -> None:
    """Dwight 1936. D = 10 ft = 304.8 cm, wire 0.292 in = 0.7417 cm, depth 30 in, s = 152.4 cm:
    10,000 / (19.739 x 304.8) = 1.6621; ln(3287.6) + ln(8) = 8.0979 + 2.0794; 16.92 ohm."""
    found = ring_ohm(10_000, length_ft=10 * math.pi, wire_diameter_in=0.292, depth_in=30)
    assert found == pytest.approx(16.92, abs=0.01)


def test_a_level_wire_worked_by_hand() -> None:
    """Dwight 1936. 20 ft, so L = 304.8 cm; 8 in thick, a = 10.16 cm; depth 24 in, s = 121.92 cm:
    10,000 / 3830.2 = 2.6108; ln 120 + ln 10 - 2 + 0.2 - 0.01 + 0.00005 = 5.2801; 13.785 ohm."""
    assert wire_ohm(10_000, length_ft=20, diameter_in=8, depth_in=24) == pytest.approx(13.785, abs=0.005)


def test_concrete_adds_its_shell() -> None:
    """Worked by hand: 3,000 / (2 pi 609.6) x ln 16 = 2.172 ohm, on the level wire above."""
    found = concrete_encased_ohm(
        10_000, concrete_ohm_cm=3_000, length_ft=20, bar_diameter_in=0.5, concrete_diameter_in=8, depth_in=24
    )
    assert found == pytest.approx(13.785 + 2.172, abs=0.01)


def test_a_stout_rod_is_refused() -> None:
    with pytest.raises(ValueError, match="too stout"):
        rod_ohm(10_000, length_ft=1, diameter_in=6)


def test_two_rods_at_one_spot_are_refused() -> None:
    with pytest.raises(ValueError, match="one spot"):
        rods_ohm(10_000, in_line(2, spacing_ft=0.01, length_ft=8, diameter_in=0.625))


SPACING = st.floats(0.5, 60)
LENGTH = st.sampled_from([5.0, 8.0, 10.0, 16.0, 20.0])


@settings(deadline=None, max_examples=60)
@given(count=st.integers(1, 9), spacing=SPACING, length=LENGTH, ring=st.booleans())
def test_more_rods_never_raise_the_resistance(count: int, spacing: float, length: float, ring: bool) -> None:
    rods = (in_ring if ring else in_line)(count + 1, spacing_ft=spacing, length_ft=length, diameter_in=0.625)
    assert rods_ohm(10_000, rods) <= rods_ohm(10_000, rods[:-1]) * (1 + 1e-9)


@settings(deadline=None, max_examples=60)
@given(count=st.integers(2, 9), spacing=SPACING, wider=st.floats(1, 4), length=LENGTH)
def test_wider_spacing_never_raises_the_resistance(count: int, spacing: float, wider: float, length: float) -> None:
    near, far = (
        rods_ohm(10_000, in_line(count, spacing_ft=s, length_ft=length, diameter_in=0.625))
        for s in (spacing, spacing * wider)
    )
    assert far <= near * (1 + 1e-9)


def test_the_chance_is_that_of_a_range_spread_evenly_by_its_logarithm() -> None:
    """By hand: 100 to 10,000, limit at 1,000: half of the decades."""
    assert chance_of(25, ohm_per_ohm_cm=0.025, low_ohm_cm=100, high_ohm_cm=10_000) == pytest.approx(0.5)
    assert chance_of(25, ohm_per_ohm_cm=1.0, low_ohm_cm=100, high_ohm_cm=10_000) == 0
    assert chance_of(25, ohm_per_ohm_cm=1e-4, low_ohm_cm=100, high_ohm_cm=10_000) == 1
