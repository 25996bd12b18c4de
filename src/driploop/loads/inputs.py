"""What a load calculation is made from: plain numbers a person can fill in by hand, no installation needed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import chain
from typing import Literal

from driploop.worksheet import Assumption


@dataclass(frozen=True, slots=True, kw_only=True)
class Appliance:
    """An appliance that is neither cooking, drying, heating, cooling nor vehicle charging.

    ``fastened``: fastened in place, so that it may count toward the reduction for several. ``rating_known`` is False
    where the VA stand for an unread nameplate: such a one never earns a reduction.
    """

    name: str
    va: float
    line_to_neutral: bool = False
    fastened: bool = True
    motor: bool = False
    hp: float | None = None
    instantaneous_heater: bool = False
    continuous: bool = False
    rating_known: bool = True


@dataclass(frozen=True, slots=True)
class CookingUnit:
    """A household range, oven or cooktop."""

    name: str
    kw: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatUnit:
    """Electric heat. ``controls`` counts its separately controlled units; 0 where that is not known.

    ``blower`` is the fan of a furnace, fired by any fuel: a motor that runs with heating and with cooling.
    """

    name: str
    va: float
    kind: Literal["resistance", "storage", "blower"] = "resistance"
    controls: int = 1
    line_to_neutral: bool = False
    continuous: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingUnit:
    """Air conditioning. ``motor_va`` is the part that is its largest motor. [VA]"""

    name: str
    va: float
    motor_va: float = 0.0
    line_to_neutral: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatPump:
    """A heat pump: compressor with its fans, and the electric heat that helps it.

    ``locked_out``: controls keep the compressor from running together with the supplemental heat.
    """

    name: str
    compressor_va: float
    supplemental_va: float = 0.0
    locked_out: bool = False
    motor_va: float = 0.0
    line_to_neutral: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Motor:
    """A motor that is no part of the equipment named above."""

    name: str
    va: float
    line_to_neutral: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherLoad:
    """A load that is added in full, no demand factor: another building's, or one of unknown use. [VA]"""

    name: str
    va: float
    neutral_va: float = 0.0
    motor_va: float = 0.0
    continuous_va: float = 0.0
    working: str = "in full"


@dataclass(frozen=True, slots=True)
class NameplateLine:
    """How one load's VA were found, for the head of a worksheet. [VA]"""

    name: str
    working: str
    va: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DwellingInputs:
    """All load of one dwelling unit, or of several taken together.

    ``floor_area_ft2``: outside dimensions [ft2]. ``dryers_va``: nameplates [VA]. ``evse_va``: nameplates of vehicle
    chargers, None where not known, ``evse_held_va`` the load of others that a system holds together,
    ``evse_neutral_va`` the part at 120 V [VA]. ``hvac_added``: heating or cooling is
    being added. ``volts``: line to line. ``nameplates`` only show on the worksheet how the loads above were found.
    """

    floor_area_ft2: float = 0.0
    small_appliance_circuits: int = 2
    laundry_circuits: int = 1
    appliances: tuple[Appliance, ...] = ()
    cooking: tuple[CookingUnit, ...] = ()
    dryers_va: tuple[float, ...] = ()
    heating: tuple[HeatUnit, ...] = ()
    cooling: tuple[CoolingUnit, ...] = ()
    heat_pumps: tuple[HeatPump, ...] = ()
    motors: tuple[Motor, ...] = ()
    evse_va: tuple[float | None, ...] = ()
    evse_held_va: float = 0.0
    evse_neutral_va: float = 0.0
    other: tuple[OtherLoad, ...] = ()
    hvac_added: bool = False
    units: int = 1
    volts: float = 240.0
    name: str = "dwelling"
    nameplates: tuple[NameplateLine, ...] = ()
    assumptions: tuple[Assumption, ...] = ()

    @property
    def electric_heat(self) -> bool:
        """Whether any of it is heated by electricity."""
        return bool(self.heat_pumps) or any(unit.kind != "blower" for unit in self.heating)

    @property
    def heat_or_cooling(self) -> bool:
        """Whether it has electric heat or cooling."""
        return self.electric_heat or bool(self.cooling)


def together(units: Iterable[DwellingInputs], *, other: Iterable[OtherLoad] = (), name: str = "") -> DwellingInputs:
    """Several dwelling units as one, for the methods that count all ranges, dryers and appliances together."""
    all_units = tuple(units)
    return DwellingInputs(
        floor_area_ft2=sum(unit.floor_area_ft2 for unit in all_units),
        small_appliance_circuits=sum(unit.small_appliance_circuits for unit in all_units),
        laundry_circuits=sum(unit.laundry_circuits for unit in all_units),
        appliances=tuple(chain.from_iterable(unit.appliances for unit in all_units)),
        cooking=tuple(chain.from_iterable(unit.cooking for unit in all_units)),
        dryers_va=tuple(chain.from_iterable(unit.dryers_va for unit in all_units)),
        heating=tuple(chain.from_iterable(unit.heating for unit in all_units)),
        cooling=tuple(chain.from_iterable(unit.cooling for unit in all_units)),
        heat_pumps=tuple(chain.from_iterable(unit.heat_pumps for unit in all_units)),
        motors=tuple(chain.from_iterable(unit.motors for unit in all_units)),
        evse_va=tuple(chain.from_iterable(unit.evse_va for unit in all_units)),
        evse_held_va=sum(unit.evse_held_va for unit in all_units),
        evse_neutral_va=sum(unit.evse_neutral_va for unit in all_units),
        other=(*chain.from_iterable(unit.other for unit in all_units), *other),
        hvac_added=any(unit.hvac_added for unit in all_units),
        units=sum(unit.units for unit in all_units),
        volts=min((unit.volts for unit in all_units), default=240.0),
        name=name or " and ".join(unit.name for unit in all_units),
        nameplates=tuple(chain.from_iterable(unit.nameplates for unit in all_units)),
        assumptions=tuple(chain.from_iterable(unit.assumptions for unit in all_units)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ConnectedLoad:
    """One load of a building that is no dwelling.

    ``motor_va``: the part that is one motor [VA]. ``together``: may run with the others so marked (farm buildings).
    """

    name: str
    va: float
    working: str = ""
    neutral_va: float = 0.0
    motor_va: float = 0.0
    continuous: bool = False
    together: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildingInputs:
    """The load of a building that is no dwelling. ``circuits``: branch circuits that serve it."""

    loads: tuple[ConnectedLoad, ...]
    circuits: int = 2
    volts: float = 240.0
    name: str = "building"
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class MeteredRecord:
    """A peak demand from a meter, and how it was taken. None = not known.

    ``season_added_va``: heating or cooling that the record cannot show, added by measurement or by sum. [VA]
    """

    peak_kw: float | None
    interval_minutes: float | None = None
    record_months: float | None = None
    record_days: float | None = None
    highest_phase: bool | None = None
    occupied: bool | None = None
    season_added_va: float | None = None
    solar_wind_or_peak_shaving: bool | None = None
    where: str = "metered.record"


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLoad:
    """A load that joins a metered one. [VA]"""

    name: str
    va: float
    continuous: bool = False
