import pytest
from conductor_jobs import NEC_2020, NEC_2023

from driploop.conductors import (
    drop_by_constant,
    drop_by_resistance,
    metal_constant,
    motor_branch_device,
    motor_feeder_current,
    motor_full_load_current,
    resistance,
)
from driploop.conductors.area import circular_mils
from driploop.conductors.motor import NoMotorColumnError
from driploop.editions import NotInTable


def test_system_voltage_reads_the_motors_own_column():
    # 3 hp, 230 V, single phase: 17 A.
    assert motor_full_load_current("3", volts=240, edition=NEC_2020).value == 17
    assert motor_full_load_current("3", volts=230, edition=NEC_2020).value == 17


def test_a_voltage_or_horsepower_that_is_not_there_is_refused_in_words():
    with pytest.raises(NoMotorColumnError, match="115v"):
        motor_full_load_current("3", volts=460, edition=NEC_2020)
    with pytest.raises(NotInTable, match="7-1/2"):
        motor_full_load_current("4", volts=230, edition=NEC_2020)


@pytest.mark.parametrize(
    ("kind", "device_a"),
    # 17 A: fuses 300 % = 51 -> 60, 175 % = 29.75 -> 30; breakers 250 % = 42.5 -> 45, instantaneous 800 % as it is.
    [("nontime_delay_fuse", 60), ("dual_element_fuse", 30), ("inverse_time_breaker", 45),
     ("instantaneous_trip_breaker", 136)],
)  # fmt: skip
def test_largest_motor_device(kind, device_a):
    assert motor_branch_device(17, kind=kind, edition=NEC_2023).value == device_a


def test_motors_with_other_load():
    # 1.25 x 28 + 17 + 20 = 72 A.
    assert motor_feeder_current([17, 28], other_a=20, edition=NEC_2020).value == pytest.approx(72)


@pytest.mark.parametrize("size", ["6 AWG", "2/0 AWG", "4/0 AWG"])
@pytest.mark.parametrize("metal", ["copper", "aluminum"])
def test_two_ways_to_one_voltage_drop(size, metal):
    by_table = drop_by_resistance(100, 150, ohm_per_kft=resistance(size, metal, edition=NEC_2020).number)
    by_constant = drop_by_constant(
        100, 150, k_ohm_cmil_per_ft=metal_constant(size, metal, edition=NEC_2020),
        circular_mils=circular_mils(size, edition=NEC_2020).number,
    )  # fmt: skip
    assert by_table == pytest.approx(by_constant)
    # Common practice: K is about 12.9 for copper and 21.2 for aluminum.
    expected = {"copper": 12.9, "aluminum": 21.2}[metal]
    assert metal_constant(size, metal, edition=NEC_2020) == pytest.approx(expected, rel=0.01)
