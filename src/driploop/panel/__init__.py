"""Which circuit lands in which space of which panel, how well the lines balance, and the directory.

Public: ``read_panels`` for a whole installation; ``solve_plain``, ``solve_exact``, ``illegal``, ``cost_of`` for one
panel; ``load_panels`` and ``read_panel_list`` for what a shop can buy.
"""

from driploop.panel.bound import lower_bound
from driploop.panel.cost import cost_of, legs_a
from driploop.panel.exact import solve_exact
from driploop.panel.legality import illegal
from driploop.panel.plain import solve_plain
from driploop.panel.results import PanelBox, PanelCircuit, PanelProblem, Place, Solved

__all__ = [
    "PanelBox",
    "PanelCircuit",
    "PanelProblem",
    "Place",
    "Solved",
    "cost_of",
    "illegal",
    "legs_a",
    "lower_bound",
    "solve_exact",
    "solve_plain",
]
