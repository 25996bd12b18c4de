"""Each old circuit: the duties that the change awakens on it, and what becomes of its old disconnect.

Public: ``read_duties`` with its ``Change``, ``Duty`` and ``Need``; ``read_old_disconnects`` with its ``OldDisconnect``.
"""

from driploop.circuits.change import Change
from driploop.circuits.duties import read_duties
from driploop.circuits.duties_results import Duty, Need
from driploop.circuits.old_disconnects import read_old_disconnects, takes_down
from driploop.circuits.old_disconnects_results import OldDisconnect

__all__ = [
    "Change",
    "Duty",
    "Need",
    "OldDisconnect",
    "read_duties",
    "read_old_disconnects",
    "takes_down",
]
