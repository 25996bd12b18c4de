"""How much load a service, feeder or panel carries: every method that applies, its worksheet, and which governs.

Public: read_loads and read_headroom for an installation; the methods as plain functions of numbers; service_rating.
"""

from driploop.loads.connected import connected_building
from driploop.loads.existing import existing_dwelling
from driploop.loads.farm import building_load, farm_building, farm_total
from driploop.loads.headroom import read_headroom, with_wish
from driploop.loads.inputs import (
    Appliance,
    BuildingInputs,
    ConnectedLoad,
    CookingUnit,
    CoolingUnit,
    DwellingInputs,
    HeatPump,
    HeatUnit,
    MeteredRecord,
    Motor,
    NewLoad,
    OtherLoad,
)
from driploop.loads.metered import metered_existing
from driploop.loads.motors import locked_rotor_current, motor_current, motor_va, motors_current
from driploop.loads.multifamily import multifamily
from driploop.loads.neutral import neutral_of_building, neutral_of_dwelling
from driploop.loads.optional import optional_dwelling
from driploop.loads.rating import ServiceRating, service_rating
from driploop.loads.reading import read_loads
from driploop.loads.results import Headroom, LoadReading, LoadResult, NeutralLoad, NodeLoad, WishStep
from driploop.loads.standard import standard_dwelling
from driploop.loads.two_dwellings import two_dwellings

__all__ = [
    "Appliance",
    "BuildingInputs",
    "ConnectedLoad",
    "CookingUnit",
    "CoolingUnit",
    "DwellingInputs",
    "Headroom",
    "HeatPump",
    "HeatUnit",
    "LoadReading",
    "LoadResult",
    "MeteredRecord",
    "Motor",
    "NeutralLoad",
    "NewLoad",
    "NodeLoad",
    "OtherLoad",
    "ServiceRating",
    "WishStep",
    "building_load",
    "connected_building",
    "existing_dwelling",
    "farm_building",
    "farm_total",
    "locked_rotor_current",
    "metered_existing",
    "motor_current",
    "motor_va",
    "motors_current",
    "multifamily",
    "neutral_of_building",
    "neutral_of_dwelling",
    "optional_dwelling",
    "read_headroom",
    "read_loads",
    "service_rating",
    "standard_dwelling",
    "two_dwellings",
    "with_wish",
]
