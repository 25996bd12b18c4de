"""What voltage arrives: at calculated load, in each working hour, when a motor starts, when the neutral opens.

Public: ``read_voltages`` gives a ``VoltageReading``; its parts ``Scenario``, ``VoltageAt``, ``RunDrop``,
``MotorStart``, ``OpenNeutral``, ``EarthVoltage``, ``DropAdvice``, ``WireChoice``.
"""

from driploop.voltage.reading import VoltageReading, read_voltages
from driploop.voltage.results import (
    DropAdvice,
    EarthVoltage,
    LoadOnOpenNeutral,
    MotorStart,
    OpenNeutral,
    RunDrop,
    Scenario,
    VoltageAt,
    WireChoice,
)

__all__ = [
    "DropAdvice", "EarthVoltage", "LoadOnOpenNeutral", "MotorStart", "OpenNeutral", "RunDrop", "Scenario", "VoltageAt",
    "VoltageReading", "WireChoice", "read_voltages",
]  # fmt: skip
