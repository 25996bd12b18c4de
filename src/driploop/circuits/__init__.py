"""Every old circuit: what may protect its wire, and what follows from that for the new panel."""

from driploop.circuits.protect import protect
from driploop.circuits.protection_results import (
    GroundFound,
    NamedException,
    ProposedDevice,
    Protection,
    Remark,
)
from driploop.circuits.reading import read_protections
from driploop.circuits.wire import Wire, WireLimit, wire_limit

__all__ = [
    "GroundFound",
    "NamedException",
    "ProposedDevice",
    "Protection",
    "Remark",
    "Wire",
    "WireLimit",
    "protect",
    "read_protections",
    "wire_limit",
]
