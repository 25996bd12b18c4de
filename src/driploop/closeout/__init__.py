"""Before the inspector comes: what will be looked at on this job, in the order of the walk.

Public: ``Check`` (results), ``pre_inspection`` (pre_inspection).
"""

from driploop.closeout.pre_inspection import pre_inspection
from driploop.closeout.results import STOPS, Check

__all__ = ["STOPS", "Check", "pre_inspection"]
