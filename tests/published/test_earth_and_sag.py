"""Published rods, four pins, falls of potential, sags, loads and pipes, each through what answers for it."""

from __future__ import annotations

import math

import pytest

from driploop.earth.chance import second_rod_percent
from driploop.earth.formulas import in_line, in_ring, rod_ohm, rods_ohm
from driploop.earth.measured import four_pin_ohm_cm, read_fall
from driploop.service_drop.catenary import Hang, Spring, hang_by_sag
from driploop.service_drop.loads import (
    Cable,
    Weather,
    ice_lb_per_ft,
    load_lb_per_ft,
    pull_weather,
    wind_lb_per_ft,
)
from driploop.service_drop.mast import pipe_of, section_modulus_in3

# --- electrodes in soil ----------------------------------------------------------------------------------------------


def test_the_rod_of_the_military_handbook() -> None:
    """MIL-HDBK-419A volume II, 1.2.2.2: 10 ft by 3/4 in in 10,000 ohm-cm, read as 32 ohm from a nomograph;
    http://navalfacilities.tpub.com/hdbk419a_vol2/hdbk419a_vol20027.htm"""
    assert rod_ohm(10_000, length_ft=10, diameter_in=0.75) == pytest.approx(32, rel=0.03)


def test_twenty_six_rods_round_a_building_against_the_handbooks_curve() -> None:
    """MIL-HDBK-419A volume II, 1.2.2.2: 26 rods 20 ft apart round 100 ft by 160 ft, 5.5 percent of one, read from a
    curve that leaves out much of the mutual effect over a distance;
    equal potentials give more."""
    one = rod_ohm(10_000, length_ft=10, diameter_in=0.75)
    share = rods_ohm(10_000, in_ring(26, spacing_ft=20, length_ft=10, diameter_in=0.75)) / one
    assert 0.055 <= share < 0.11


def test_two_rods_are_dwights_pair() -> None:
    """H. B. Dwight 1936, two rods farther apart than long: the printed series, to its own accuracy."""
    rho, length, radius, s = 10_000.0, 304.8, 0.9525, 914.4
    series = 1 - length**2 / (3 * s**2) + 2 * length**4 / (5 * s**4)
    pair = rho / (4 * math.pi * length) * (math.log(4 * length / radius) - 1) + rho / (4 * math.pi * s) * series
    assert rods_ohm(rho, in_line(2, spacing_ft=30, length_ft=10, diameter_in=0.75)) == pytest.approx(pair, rel=2e-3)


def test_two_rods_stand_against_the_common_table_of_multipliers() -> None:
    """IEEE Std 142, adders of parallel rods, from memory: two rods one length apart are 1.16 / 2 of one rod."""
    for share, percent in ((1.0, 58.0),):
        assert second_rod_percent(share, length_ft=10, diameter_in=0.625) == pytest.approx(percent, abs=2.0)


def test_the_four_pins_of_the_military_handbook() -> None:
    """MIL-HDBK-419A volume II, 1.1.2: 20 ft apart, 2 ohm: 7,662 ohm-cm (with 30.5 cm to the foot);
    http://navalfacilities.tpub.com/hdbk419a_vol2/hdbk419a_vol20021.htm."""
    assert four_pin_ohm_cm(spacing_ft=20, resistance_ohm=2, probe_depth_in=None) == pytest.approx(7662, rel=1e-3)


def test_where_the_potential_probe_reads_true() -> None:
    """Getting Down to Earth, page 29 (voltimum.se/content/getting-down-earth?flippage=30): with the current probe
    120 ft away, the value is read at 0.62 x 120, 74 ft."""
    fall = read_fall([(40, 6.0), (60, 9.0), (74, 10.0), (90, 10.8), (110, 15.0)], current_probe_ft=120)
    assert fall.value_ohm == pytest.approx(10.0, abs=0.05)


# --- drop and mast ---------------------------------------------------------------------------------------------------


def test_the_textbook_span_of_500_metres() -> None:
    """scienceaq.com, transmission line sag: 1 kg/m, 10,000 kg, 500 m: 3.125 m by the parabola; the catenary is within
    a part in ten thousand."""
    hang = Hang(500, 0, 10_000, 1.0)
    assert hang.sag_ft == pytest.approx(3.125, rel=3e-4)


def test_the_tight_wire_of_a_hundred_feet() -> None:
    """millwrightmasters.com, tight-wire sag chart: 0.0007 lb/ft, 30 lb, 100 ft: 0.0292 ft in the middle, three quarters
    of it a quarter of the way in."""
    hang = Hang(100, 0, 30 / 0.0007, 0.0007)
    assert hang.sag_ft == pytest.approx(0.02917, abs=1e-5)
    assert -hang.height_ft(25) == pytest.approx(0.75 * 0.02917, abs=1e-5)


def test_the_lowest_point_between_unequal_supports() -> None:
    """Textbook example 2.5.2, page 198 (mechanical design of overhead lines): 250 m, 10 m apart in height, resultant
    2.773 kg/m, 4,503 kg: 60.05 m from the lower support by the parabola."""
    load = math.hypot(2.5, 1.2)
    pull = 4300 / 3 * math.pi
    hang = Hang(250, 10, pull / load, load)
    assert hang.lowest_at_ft == pytest.approx(60.05, abs=0.3)


def test_the_length_of_the_textbook_wire() -> None:
    """Textbook example 2.5.1, page 198: 2 m of sag in 250 m: weight 184.29 kg at 0.737 kg/m."""
    load = 2.0 * 8 * (5758 / 2) / 250**2
    hang = hang_by_sag(span_ft=250, rise_ft=0, sag_ft=2, load_lb_per_ft=load)
    assert hang.length_ft * load == pytest.approx(184.29, abs=0.01)


def test_ice_and_wind_of_the_textbook() -> None:
    """National Electrical Safety Code, Rule 251, as handbooks write it: ice weighs 1.2435 t (d + t) lb/ft; wind of 4 lb
    on 2 in is 0.667 lb/ft."""
    assert ice_lb_per_ft(diameter_in=1, ice_in=0.5) == pytest.approx(1.2435 * 0.5 * 1.5, rel=1e-3)
    assert wind_lb_per_ft(diameter_in=1, ice_in=0.5, wind_psf=4) == pytest.approx(4 * 2 / 12)


def test_the_districts_are_those_of_the_safety_code() -> None:
    """National Electrical Safety Code, Table 250-1, from memory: ice, wind, temperature, and what is added."""
    seen = {d: pull_weather(d) for d in ("heavy", "medium", "light")}
    assert [(w.ice_in, w.wind_psf, w.temperature_f, w.added_lb_per_ft) for w in seen.values()] == [
        (0.5, 4, 0, 0.30), (0.25, 4, 15, 0.20), (0, 9, 30, 0.05),
    ]  # fmt: skip


#: Sag and tension of 795 kcmil ACSR, 26/7, over 1,000 ft, final: 1.094 lb/ft, 1.108 in thick. By ice, wind and what the
#: district adds: load [lb/ft], sag [ft], tension [lb]. Aluminum Company of America, sag and tension data, appendix G4
#: (scribd.com/document/12741635).
DRAKE = [
    (1.5, 0, 0.0, 5.961, 41.11, 18_287),
    (0.5, 4, 0.3, 2.509, 34.86, 9_054),
    (0.5, 0, 0.0, 2.094, 35.47, 7_429),
    (0.0, 0, 0.0, 1.094, 33.63, 4_091),
]


@pytest.mark.parametrize(("ice", "wind", "added", "load", "sag", "tension"), DRAKE)
def test_load_and_sag_of_the_aluminum_companys_table(ice, wind, added, load, sag, tension) -> None:
    cable = Cable("drake", 1.094, 1.108, 31_500, Spring(11.5e6, 0.7264, 1.05e-5), "page")
    weather = Weather("table", 0, ice, wind, added)
    assert load_lb_per_ft(cable, weather) == pytest.approx(load, rel=1e-3)
    # Where it stands is not printed; read as the mean along the cable, a third of the sag above the lowest point.
    hang = Hang(1000, 0, (tension - load * sag / 3) / load, load)
    assert hang.sag_ft == pytest.approx(sag, rel=4e-3)
    assert hang.mean_pull_lb == pytest.approx(tension, rel=1e-3)


# AISC Manual of Steel Construction, ninth edition, dimensions of standard weight pipe, from memory: S in in3.
@pytest.mark.parametrize(
    ("outside", "wall", "section"),
    [(2.375, 0.154, 0.561), (2.875, 0.203, 1.06), (3.5, 0.216, 1.72), (4.5, 0.237, 3.21)],
)
def test_section_moduli_are_those_of_the_steel_manual(outside: float, wall: float, section: float) -> None:
    assert section_modulus_in3(outside_in=outside, wall_in=wall) == pytest.approx(section, rel=4e-3)


def test_outside_diameters_are_those_of_the_public_chart() -> None:
    """Public conduit size chart: 2 in 2.375, 2-1/2 in 2.875, 3 in 3.500."""
    assert [pipe_of(size).outside_in for size in ("2", "2-1/2", "3")] == [2.375, 2.875, 3.5]
