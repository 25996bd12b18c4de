"""How well the electrodes reach the earth: the soil's resistivity, the resistance of each electrode system as a band.

Public: ``read_earth`` (reading), the formulas (formulas), ``four_pin_ohm_cm`` and ``read_fall`` (measured),
``electrode_bands`` (bands), ``chance_of`` and ``second_rod_percent`` (chance), the results (results).
"""

from driploop.earth.bands import ElectrodeBand, electrode_bands
from driploop.earth.chance import SPACINGS, chance_of, second_rod_percent
from driploop.earth.formulas import PlacedRod
from driploop.earth.measured import Fall, four_pin_ohm_cm, read_fall
from driploop.earth.reading import read_earth
from driploop.earth.results import EarthReading, EarthSystem, SoilBand
from driploop.earth.soil import read_soil

__all__ = [
    "SPACINGS",
    "EarthReading",
    "EarthSystem",
    "ElectrodeBand",
    "Fall",
    "PlacedRod",
    "SoilBand",
    "chance_of",
    "electrode_bands",
    "four_pin_ohm_cm",
    "read_earth",
    "read_fall",
    "read_soil",
    "second_rod_percent",
]
