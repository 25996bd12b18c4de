"""What a short circuit draws at every enclosure, what can interrupt it, and whether the smallest one still trips.

Public: ``read_fault_currents`` gives a ``FaultReading``; its parts ``FaultCurrents``, ``RatingCheck``, ``TripCheck``;
the hand method by itself, ``fault_at_transformer`` and ``fault_after``.
"""

from driploop.fault_current.hand import fault_after, fault_at_transformer
from driploop.fault_current.reading import FaultReading, read_fault_currents
from driploop.fault_current.results import FaultCurrents, RatingCheck, TripCheck

__all__ = [
    "FaultCurrents", "FaultReading", "RatingCheck", "TripCheck", "fault_after", "fault_at_transformer",
    "read_fault_currents",
]  # fmt: skip
