"""Motor circuits: table current, conductors, the largest short-circuit device, and feeders of several motors."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from driploop.conductors.overcurrent import next_standard_down, next_standard_up
from driploop.editions import Edition
from driploop.worksheet import Cited, DriploopError

DeviceKind = Literal["inverse_time_breaker", "dual_element_fuse", "nontime_delay_fuse", "instantaneous_trip_breaker"]


class NoMotorColumnError(DriploopError):
    """The motor table has no column for this voltage."""


def motor_full_load_current(hp: str, *, volts: int, phase: Literal[1, 3] = 1, edition: Edition) -> Cited:
    """Full-load current of a motor by the code's table; the nameplate serves only for the overload device. [A]

    Args:
        hp: as the table writes it: "1/2", "3", "7-1/2".
        volts: 115, 200, 208, 230 and so on; 120 and 240 V systems read the motor's own 115 and 230.
        phase: 1 or 3.
        edition: the code edition to ask.

    Raises:
        NotInTable: no such horsepower; the message lists the rows.
        NoMotorColumnError: no such voltage; the message lists the columns.

    Source: the edition's tables of motor full-load currents.
    """
    table = edition.table("motor_single_phase" if phase == 1 else "motor_three_phase")
    motor_volts = {120: 115, 240: 230, 480: 460}.get(volts, volts)
    columns = [column for column in table.columns if column.startswith("a_")]
    column = next((c for c in columns if c.split("_")[1] == f"{motor_volts}v"), None)
    if column is None:
        listed = ", ".join(c.removeprefix("a_") for c in columns)
        raise NoMotorColumnError(f"{table.title} ({table.section}, {edition.name}) has no {volts} V; it has: {listed}.")
    return table.cell(column, hp=hp)


def motor_conductor_current(full_load_a: float, *, edition: Edition) -> Cited:
    """What the conductors of one motor must carry. [A] Source: the edition's rule on a single motor's conductors."""
    percent = edition.value("motor_conductor_percent")
    return Cited(full_load_a * percent.number / 100, "A", percent.section, percent.confirmed)


def motor_feeder_current(full_loads_a: Sequence[float], *, other_a: float = 0.0, edition: Edition) -> Cited:
    """What conductors of several motors must carry: the largest at its percentage, the rest and other load in full.

    Args:
        full_loads_a: table current of each motor [A]; at least one.
        other_a: load that is no motor, continuous load already at its percentage. [A]
        edition: the code edition to ask.

    Source: the edition's rule on conductors of several motors.
    """
    percent = edition.value("motor_feeder_largest_percent")
    largest = max(full_loads_a)
    total = largest * percent.number / 100 + sum(full_loads_a) - largest + other_a
    return Cited(total, "A", percent.section, percent.confirmed)


def motor_branch_device(
    full_load_a: float,
    *,
    kind: DeviceKind = "inverse_time_breaker",
    motor_type: str = "single-phase",
    edition: Edition,
) -> Cited:
    """Largest short-circuit device of one motor: its percentage, then the next standard size up. [A]

    Args:
        full_load_a: table current. [A]
        kind: which device; the columns of the table.
        motor_type: as the table writes it; NotInTable lists them.
        edition: the code edition to ask.

    Source: the edition's table of motor protection and its exception for standard sizes.
    """
    percent = edition.table("motor_protection_percent").cell(kind, motor_type=motor_type)
    calculated_a = full_load_a * percent.number / 100
    if kind == "instantaneous_trip_breaker":
        # Set, not chosen by standard size: no rounding up.
        return Cited(calculated_a, "A", percent.section, percent.confirmed)
    up = next_standard_up(calculated_a, edition=edition, fuse=kind.endswith("fuse"))
    return Cited(up.value, "A", percent.section, percent.confirmed)


def motor_feeder_device(
    largest_branch_device_a: float, other_full_loads_a: Sequence[float], *, fuse: bool = False, edition: Edition
) -> Cited:
    """Largest device of a feeder of motors: the largest branch device plus the other currents, rounded down. [A]

    Args:
        largest_branch_device_a: of the one motor that has the largest. [A]
        other_full_loads_a: table current of every other motor. [A]
        fuse: whether the sizes made only as fuses count.
        edition: the code edition to ask.

    Source: the edition's rule on the feeder device of several motors.
    """
    down = next_standard_down(largest_branch_device_a + sum(other_full_loads_a), edition=edition, fuse=fuse)
    return Cited(down.value, "A", edition.section("motor-feeder"), down.confirmed)


def locked_rotor_current(hp: float, code_letter: str, *, volts: float, phase: Literal[1, 3], edition: Edition) -> Cited:
    """Largest current of a motor that stands still under voltage, by its code letter. [A]

    Raises NotInTable for a letter the table does not have, or one with no upper end.
    Source: the edition's table of locked-rotor code letters.
    """
    per_hp = edition.table("motor_code_letters").cell("kva_per_hp_to", letter=code_letter)
    current = hp * per_hp.number * 1000 / (volts * (math.sqrt(3) if phase == 3 else 1))
    return Cited(current, "A", per_hp.section, per_hp.confirmed)
