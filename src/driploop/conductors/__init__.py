"""Which conductor, overcurrent device and raceway serve, and whether those that are there will do.

Public: ``read_conductors`` for an installation; from plain numbers ``ampacity``, ``terminal_temperature``,
``conductor_for_rating``, ``dwelling_service_conductor``, ``grounded_conductor``, ``equipment_grounding_conductor``,
``raceway_for``, ``box_fill``, the standard ratings, motors and voltage drop.
"""

from driploop.conductors.ampacity import CableLimit, ampacity
from driploop.conductors.area import circular_mils, equal_in_other_metal, size_of_area
from driploop.conductors.box import BoxFill, box_fill, box_volume
from driploop.conductors.choice import SizeChoice
from driploop.conductors.dwelling import dwelling_service_conductor, required_ampacity
from driploop.conductors.equipment_ground import equipment_grounding_conductor
from driploop.conductors.heat import hottest_place
from driploop.conductors.insulation import insulation_class
from driploop.conductors.motor import (
    locked_rotor_current,
    motor_branch_device,
    motor_conductor_current,
    motor_feeder_current,
    motor_feeder_device,
    motor_full_load_current,
)
from driploop.conductors.neutral import grounded_conductor, grounded_minimum
from driploop.conductors.overcurrent import (
    device_for_conductor,
    largest_device,
    next_standard_down,
    next_standard_rating,
    next_standard_up,
    small_conductor_limit,
)
from driploop.conductors.raceway import NoRacewayError, RacewayConductors, raceway_for
from driploop.conductors.reading import read_conductors
from driploop.conductors.results import Ampacity, ConductorChoice, ConductorReading, RacewayChoice, RunSizing
from driploop.conductors.sizing import NoConductorError, conductor_for_load, conductor_for_rating
from driploop.conductors.terminals import Terminal, TerminalLimit, terminal_temperature
from driploop.conductors.voltage_drop import (
    drop_by_constant,
    drop_by_resistance,
    drop_percent,
    impedance,
    metal_constant,
    resistance,
    share_of_longest,
)

__all__ = [
    "Ampacity",
    "BoxFill",
    "CableLimit",
    "ConductorChoice",
    "ConductorReading",
    "NoConductorError",
    "NoRacewayError",
    "RacewayChoice",
    "RacewayConductors",
    "RunSizing",
    "SizeChoice",
    "Terminal",
    "TerminalLimit",
    "ampacity",
    "box_fill",
    "box_volume",
    "circular_mils",
    "conductor_for_load",
    "conductor_for_rating",
    "device_for_conductor",
    "drop_by_constant",
    "drop_by_resistance",
    "drop_percent",
    "dwelling_service_conductor",
    "equal_in_other_metal",
    "equipment_grounding_conductor",
    "grounded_conductor",
    "grounded_minimum",
    "hottest_place",
    "impedance",
    "insulation_class",
    "largest_device",
    "locked_rotor_current",
    "metal_constant",
    "motor_branch_device",
    "motor_conductor_current",
    "motor_feeder_current",
    "motor_feeder_device",
    "motor_full_load_current",
    "next_standard_down",
    "next_standard_rating",
    "next_standard_up",
    "raceway_for",
    "read_conductors",
    "required_ampacity",
    "resistance",
    "share_of_longest",
    "size_of_area",
    "small_conductor_limit",
    "terminal_temperature",
]
