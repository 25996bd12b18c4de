"""Whether a breaker lets a motor start: the generic trip band, and where the starting current comes from."""

from __future__ import annotations

import pytest

from driploop.circuits.motor_start import Start, motor_start, opening_time, rides_the_start
from driploop.editions import common_table
from driploop.installation import Load
from driploop.worksheet import Cited

from .one import NEC_2020


def starting(load: dict, full_load_a: float, volts: float = 240):
    return motor_start(Load.model_validate({"id": "m", **load}), full_load_a, volts=volts, edition=NEC_2020)


def test_where_the_starting_current_comes_from():
    # Nameplate first; code letter H, 7.09 kVA/hp x 5 / 0.24 kV = 147.7 A (Table 430.7(B)); 168 A by Table 430.251(A).
    pump = {"kind": "well pump", "hp": "5"}
    assert starting({**pump, "lra_a": 150, "code_letter": "H"}, 28).current_a == 150
    assert starting({**pump, "code_letter": "H"}, 28).current_a == pytest.approx(147.7, abs=0.1)
    assert starting(pump, 28).current_a == 168
    # Smaller than the table's first row, or of no horsepower: six times full load (common practice).
    assert starting({"kind": "ventilation fan", "hp": "1/4"}, 2.9).current_a == pytest.approx(17.4)
    assert starting({"kind": "refrigeration", "rla_a": 10}, 10).current_a == 60


def test_the_band_narrows_as_the_current_grows():
    rows = common_table("breaker_trip_band").rows
    for column in ("least_s", "most_s"):
        times = [float(row[column]) for row in rows]
        assert times == sorted(times, reverse=True)
    assert all(float(row["least_s"]) <= float(row["most_s"]) for row in rows)


def test_between_two_rows_the_worse_of_the_two_is_taken():
    assert opening_time(3.4) == (2.8, 140)
    assert opening_time(3.5) == (2.8, 90)


def start(current_a: float, seconds: float) -> Start:
    return Start(Cited(current_a, "A"), "", seconds)


@pytest.mark.parametrize(
    ("current_a", "seconds", "verdict"),
    [
        (102, 2.0, "holds"),  # 3.4 times for 2 s
        (102, 3.0, "may open"),  # slower than the fastest such breaker
        (126, 1.0, "may open"),  # 4.2 times, its first peak past 6 times the rating
        (360, 0.1, "opens"),  # 12 times: every magnetic trip
        (60, 400, "opens"),  # twice its rating for longer than the slowest takes
    ],
)
def test_a_breaker_of_30_a(current_a, seconds, verdict):
    assert rides_the_start(start(current_a, seconds), 30) == verdict


def test_a_larger_breaker_never_rides_worse():
    order = ("opens", "may open", "holds")
    for current_a in (40, 102, 168, 300):
        verdicts = [order.index(rides_the_start(start(current_a, 2), rating)) for rating in (15, 20, 30, 40, 60, 90)]
        assert verdicts == sorted(verdicts)
