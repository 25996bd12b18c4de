"""Where the neutral is bonded, how many wires a run needs, and what joins everything metal to the earth.

Public: read_grounding, neutral_bonds; from plain numbers electrode_conductor, main_bonding_jumper,
supply_side_bonding_jumper, water_piping_bond, distribution_equipment_ground; three_wire_feeder, agricultural_scope.
"""

from driploop.grounding.agricultural import agricultural_scope, distribution_equipment_ground
from driploop.grounding.bond import neutral_bonds
from driploop.grounding.bonding_jumper import (
    main_bonding_jumper,
    supply_side_bonding_jumper,
    water_piping_bond,
)
from driploop.grounding.electrode_conductor import electrode_conductor
from driploop.grounding.electrodes import Standing, enough_electrodes, standing
from driploop.grounding.reading import read_grounding
from driploop.grounding.results import NeutralBond
from driploop.grounding.separate_building import three_wire_feeder
from driploop.grounding.sites import Site, sites

__all__ = [
    "NeutralBond",
    "Site",
    "Standing",
    "agricultural_scope",
    "distribution_equipment_ground",
    "electrode_conductor",
    "enough_electrodes",
    "main_bonding_jumper",
    "neutral_bonds",
    "read_grounding",
    "sites",
    "standing",
    "supply_side_bonding_jumper",
    "three_wire_feeder",
    "water_piping_bond",
]
