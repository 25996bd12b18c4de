"""The circuit of a motor: full-load current, what its wire must carry, and the largest device by the device's kind."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from driploop.conductors import motor_branch_device, next_standard_down
from driploop.conductors.motor import DeviceKind
from driploop.editions import Edition, NotInTable
from driploop.loads.motors import MotorNotInTable, motor_current
from driploop.worksheet import Cited

SINGLE_PHASE, THREE_PHASE = "single-phase", "squirrel cage other than Design B energy-efficient"
_FOUND_KINDS: dict[str, DeviceKind] = {
    "breaker": "inverse_time_breaker",
    "time-delay fuse": "dual_element_fuse",
    "plug fuse": "nontime_delay_fuse",
    "cartridge fuse": "nontime_delay_fuse",
}


@dataclass(frozen=True, slots=True)
class MotorDevice:
    """Largest short-circuit device of a motor. ``usual``: percentage of the table, next size up; ``ceiling``: where
    the motor does not start on that. [A]"""

    usual: Cited
    ceiling: Cited


def full_load_current(hp: str, *, volts: float, phase: int = 1, edition: Edition) -> Cited | None:
    """Full-load current by the code's table; between two rows the larger. [A] None where the table has no such motor.

    Source: the edition's tables of motor full-load currents.
    """
    return _full_load(hp, int(volts), phase, edition)


@lru_cache(maxsize=512)
def _full_load(hp: str, volts: int, phase: int, edition: Edition) -> Cited | None:
    try:
        return motor_current(hp, volts=volts, phase=phase, edition=edition)
    except (MotorNotInTable, NotInTable):
        return None


def device_kind(ocpd: str | None) -> DeviceKind:
    """The column of the motor table for a device as found; one nobody could tell is taken as a breaker."""
    return _FOUND_KINDS.get(ocpd or "breaker", "inverse_time_breaker")


def motor_device(
    full_load_a: float, *, kind: DeviceKind = "inverse_time_breaker", three_phase: bool = False, edition: Edition
) -> MotorDevice:
    """Largest short-circuit and ground-fault device of one motor.

    Args:
        full_load_a: by the table. [A]
        kind: which device; see ``device_kind``.
        three_phase: whether it is a three-phase motor; taken as squirrel cage.
        edition: the code edition to ask.

    Source: the edition's table of motor protection, its exception for standard sizes and the ceiling of the second.
    """
    return _motor_device(full_load_a, kind, three_phase, edition)


@lru_cache(maxsize=1024)
def _motor_device(full_load_a: float, kind: DeviceKind, three_phase: bool, edition: Edition) -> MotorDevice:
    motor_type = THREE_PHASE if three_phase else SINGLE_PHASE
    usual = motor_branch_device(full_load_a, kind=kind, motor_type=motor_type, edition=edition)
    percent = _ceiling_percent(full_load_a, kind, edition)
    if percent is None:
        return MotorDevice(usual, usual)
    most_a = full_load_a * percent.number / 100
    try:
        down = next_standard_down(most_a, edition=edition, fuse=kind.endswith("fuse"))
    except NotInTable:
        return MotorDevice(usual, usual)
    # The usual device may already be rounded up past the ceiling; what the first exception allows stays allowed.
    ceiling = Cited(max(down.number, usual.number), "A", percent.section, percent.confirmed)
    return MotorDevice(usual, ceiling)


def _ceiling_percent(full_load_a: float, kind: DeviceKind, edition: Edition) -> Cited | None:
    if kind == "dual_element_fuse":
        return edition.value("motor_ceiling_time_delay_percent")
    if kind == "nontime_delay_fuse":
        return edition.value("motor_ceiling_plain_fuse_percent")
    if kind == "inverse_time_breaker":
        small = full_load_a <= edition.number("motor_ceiling_breaker_to_a")
        return edition.value("motor_ceiling_breaker_percent" if small else "motor_ceiling_large_breaker_percent")
    return None


def group_device(largest_device_a: float, other_currents_a: float, *, edition: Edition) -> Cited:
    """Largest device of several motors on one circuit: the largest motor's own and the other currents, rounded down.

    Args:
        largest_device_a: largest device that the motor with the largest may have alone. [A]
        other_currents_a: every other motor and load. [A]
        edition: the code edition to ask.

    Source: the edition's rule on several motors on one branch circuit.
    """
    down = next_standard_down(largest_device_a + other_currents_a, edition=edition)
    return Cited(down.value, "A", edition.section("motor-group"), down.confirmed)
