"""How an overhead run hangs and pulls: sag and tension, clearances at the worst, attachment, drip loop, mast.

Public: ``read_drops`` (reading), ``read_sag`` (sag), ``Hang`` and ``changed`` (catenary), the mast's bending (mast),
which runs are overhead and their clearances (clearances), the results (results).
"""

from driploop.service_drop.catenary import Hang, Spring, changed, hang_by_lowest, hang_by_sag
from driploop.service_drop.clearances import ground_clearances, is_service, overhead_runs
from driploop.service_drop.reading import read_drops
from driploop.service_drop.results import Clearance, DropReading, MastReading
from driploop.service_drop.sag import Condition, SagReading, read_sag

__all__ = [
    "Clearance",
    "Condition",
    "DropReading",
    "Hang",
    "MastReading",
    "SagReading",
    "Spring",
    "changed",
    "ground_clearances",
    "hang_by_lowest",
    "hang_by_sag",
    "is_service",
    "overhead_runs",
    "read_drops",
    "read_sag",
]
