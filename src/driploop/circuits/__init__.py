"""Each old circuit: what may protect its wire, the duties that the change awakens, what becomes of its old disconnect.

Public: ``read_protections`` with its ``Protection``; ``read_duties`` with its ``Change``, ``Duty`` and ``Need``;
``read_old_disconnects`` with its ``OldDisconnect``; ``wire_limit`` from plain numbers, as ``protect.protect``.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from driploop.circuits.change import Change
    from driploop.circuits.duties import read_duties
    from driploop.circuits.duties_results import Duty, Need
    from driploop.circuits.old_disconnects import read_old_disconnects, takes_down
    from driploop.circuits.old_disconnects_results import OldDisconnect
    from driploop.circuits.protection_results import GroundFound, NamedException, ProposedDevice, Protection, Remark
    from driploop.circuits.reading import read_protections
    from driploop.circuits.wire import Wire, WireLimit, wire_limit

__all__ = [
    "Change",
    "Duty",
    "GroundFound",
    "NamedException",
    "Need",
    "OldDisconnect",
    "ProposedDevice",
    "Protection",
    "Remark",
    "Wire",
    "WireLimit",
    "read_duties",
    "read_old_disconnects",
    "read_protections",
    "takes_down",
    "wire_limit",
]

_HOMES = {
    "Change": "change",
    "Duty": "duties_results",
    "GroundFound": "protection_results",
    "NamedException": "protection_results",
    "Need": "duties_results",
    "OldDisconnect": "old_disconnects_results",
    "ProposedDevice": "protection_results",
    "Protection": "protection_results",
    "Remark": "protection_results",
    "Wire": "wire",
    "WireLimit": "wire",
    "read_duties": "duties",
    "read_old_disconnects": "old_disconnects",
    "read_protections": "reading",
    "takes_down": "old_disconnects",
    "wire_limit": "wire",
}


def __getattr__(name: str) -> Any:
    # Loaded on first use: who weighs a wire against its load needs no duties.
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)
