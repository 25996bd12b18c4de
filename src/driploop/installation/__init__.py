"""What is there, what is proposed, what was built: one typed graph, and the difference of two.

Public: the parts and ``Installation`` (model), ``Graph`` (graph), ``difference`` (difference), sizes (sizes).
"""

from driploop.installation.difference import Change, FieldChange, difference
from driploop.installation.graph import UTILITY, Graph, GraphError
from driploop.installation.model import (
    Bond,
    Building,
    Circuit,
    Electrode,
    Equipment,
    Installation,
    Job,
    JobHeader,
    Load,
    LoadManagement,
    MeteredDemand,
    Proposal,
    Run,
    Shop,
    Soil,
    Town,
    Utility,
    Wish,
    WorkingHours,
)
from driploop.installation.sizes import SIZES, canonical_size, larger, rank

__all__ = [
    "SIZES",
    "UTILITY",
    "Bond",
    "Building",
    "Change",
    "Circuit",
    "Electrode",
    "Equipment",
    "FieldChange",
    "Graph",
    "GraphError",
    "Installation",
    "Job",
    "JobHeader",
    "Load",
    "LoadManagement",
    "MeteredDemand",
    "Proposal",
    "Run",
    "Shop",
    "Soil",
    "Town",
    "Utility",
    "Wish",
    "WorkingHours",
    "canonical_size",
    "difference",
    "larger",
    "rank",
]
