"""Which circuit lands in which space of which panel, how well the lines balance, and the directory.

Public: ``read_panels`` for a whole installation; ``solve_plain``, ``solve_exact``, ``illegal``, ``cost_of`` for one
panel; ``load_panels`` and ``read_panel_list`` for what a shop can buy.
"""

from driploop.panel.bound import lower_bound
from driploop.panel.candidates import load_panels, read_panel_list
from driploop.panel.choice import PanelNeed, choose_panel, share_out
from driploop.panel.cost import cost_of, legs_a
from driploop.panel.errors import NoSolverError
from driploop.panel.exact import solve_exact
from driploop.panel.geometry import leg_of
from driploop.panel.legality import illegal
from driploop.panel.plain import solve_plain
from driploop.panel.reading import breakers_of, read_panels
from driploop.panel.results import (
    HourBalance,
    PanelBox,
    PanelChoice,
    PanelCircuit,
    PanelProblem,
    PanelReading,
    Place,
    Solved,
    Solver,
)
from driploop.panel.words import depends_on_who

__all__ = [
    "HourBalance",
    "NoSolverError",
    "PanelBox",
    "PanelChoice",
    "PanelCircuit",
    "PanelNeed",
    "PanelProblem",
    "PanelReading",
    "Place",
    "Solved",
    "Solver",
    "breakers_of",
    "choose_panel",
    "cost_of",
    "depends_on_who",
    "illegal",
    "leg_of",
    "legs_a",
    "load_panels",
    "lower_bound",
    "read_panel_list",
    "read_panels",
    "share_out",
    "solve_exact",
    "solve_plain",
]
