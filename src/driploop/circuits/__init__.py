"""Each old circuit: what may protect its wire, the duties that the change awakens, what becomes of its old disconnect.

Public: ``read_protections`` with its ``Protection``; ``read_duties`` with its ``Change``, ``Duty`` and ``Need``;
``read_old_disconnects`` with its ``OldDisconnect``; ``protect`` and ``wire_limit`` from plain numbers.
"""

from driploop.circuits.change import Change
from driploop.circuits.duties import read_duties
from driploop.circuits.duties_results import Duty, Need
from driploop.circuits.old_disconnects import read_old_disconnects, takes_down
from driploop.circuits.old_disconnects_results import OldDisconnect
from driploop.circuits.protect import protect
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
    "protect",
    "read_duties",
    "read_old_disconnects",
    "read_protections",
    "takes_down",
    "wire_limit",
]
