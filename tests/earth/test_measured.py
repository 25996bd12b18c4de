"""Four pins and the fall of potential, against the handbook and by hand."""

from __future__ import annotations

import math

import pytest

from driploop.earth.measured import four_pin_ohm_cm, read_fall


def test_deep_pins_take_the_full_formula() -> None:
    """By hand, a = b = 5 ft: 4 pi a R / (1 + 2/sqrt 5 - 1/sqrt 2) = 4 pi x 152.4 x 10 / 1.18732 = 16,130 ohm-cm."""
    assert four_pin_ohm_cm(spacing_ft=5, resistance_ohm=10, probe_depth_in=60) == pytest.approx(16_130, abs=5)


def test_pins_of_no_depth_are_the_limit_of_the_full_formula() -> None:
    shallow, plain = (four_pin_ohm_cm(spacing_ft=10, resistance_ohm=3, probe_depth_in=b) for b in (6.1, None))
    assert shallow == pytest.approx(plain, rel=0.01)


def hemisphere(distance: float, *, radius: float, probe: float, rho: float) -> float:
    """Reading over uniform soil between two hemispheres: MIL-HDBK-419A volume I, 2.7, its equation of the reading."""
    return rho / (2 * math.pi) * (1 / radius - 1 / distance - 1 / probe + 1 / (probe - distance))


def test_sixty_two_percent_reads_the_true_value_of_a_hemisphere() -> None:
    points = [(d, hemisphere(d, radius=0.5, probe=100, rho=100)) for d in range(10, 100, 4)]
    fall = read_fall(points, current_probe_ft=100)
    assert fall.value_ohm == pytest.approx(100 / (2 * math.pi * 0.5), rel=2e-3)
    assert fall.plateau
    assert fall.warning == ""


def test_a_probe_too_near_has_no_plateau_and_says_so() -> None:
    points = [(d, hemisphere(d, radius=4, probe=20, rho=100)) for d in range(6, 17)]
    fall = read_fall(points, current_probe_ft=20)
    assert fall.plateau is False
    assert "no plateau" in fall.warning


def test_points_that_stop_early_show_nothing() -> None:
    fall = read_fall([(10, 5.0), (30, 6.0)], current_probe_ft=100)
    assert fall.value_ohm is None
    assert "shows nothing" in fall.warning


def test_the_value_between_two_points_is_on_the_straight_line() -> None:
    """By hand: 60 ft 10 ohm, 70 ft 12 ohm, at 61.8 ft: 10.36 ohm."""
    fall = read_fall([(50, 10.0), (60, 10.0), (70, 12.0), (80, 12.0)], current_probe_ft=100)
    assert fall.value_ohm == pytest.approx(10.36)
