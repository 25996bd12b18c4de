"""Motor tables: cells typed from paigewire.com (430-148, 430-150) and buildmyowncabin.com (nec2011_table430.52)."""

import pytest

from driploop.editions import edition_names, load_edition


@pytest.mark.parametrize("name", edition_names())
@pytest.mark.parametrize(
    ("hp", "at_115_v", "at_230_v"),
    [("1/2", 9.8, 4.9), ("1", 16, 8), ("1-1/2", 20, 10), ("2", 24, 12), ("3", 34, 17), ("5", 56, 28), ("10", 100, 50)],
)
def test_single_phase_motors(name, hp, at_115_v, at_230_v):
    row = load_edition(name).table("motor_single_phase").row(hp=hp)
    assert (row["a_115v"], row["a_230v"]) == (at_115_v, at_230_v)


@pytest.mark.parametrize("name", edition_names())
@pytest.mark.parametrize(("hp", "at_230_v"), [("5", 15.2), ("10", 28), ("25", 68), ("50", 130), ("100", 248)])
def test_three_phase_motors(name, hp, at_230_v):
    assert load_edition(name).table("motor_three_phase").cell("a_230v", hp=hp).value == at_230_v


@pytest.mark.parametrize("name", edition_names())
def test_motor_protection(name):
    row = load_edition(name).table("motor_protection_percent").row(motor_type="single-phase")
    columns = ("nontime_delay_fuse", "dual_element_fuse", "instantaneous_trip_breaker", "inverse_time_breaker")
    assert [row[column] for column in columns] == [300, 175, 800, 250]
