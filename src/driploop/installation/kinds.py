"""The words and measures that fields of an installation may hold."""

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BeforeValidator, Field

from driploop.installation.sizes import canonical_size

UNKNOWN = "unknown"

Size = Annotated[str, AfterValidator(canonical_size)]
Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]
Amperes = Annotated[float, Field(gt=0, le=6000)]
HORSEPOWER = r"^[1-9]\d*(\.\d+)?$|^0?\.\d*[1-9]\d*$|^([1-9]\d*[- ])?[1-9]\d*/[1-9]\d*$"
Horsepower = Annotated[str, Field(pattern=HORSEPOWER)]
Metal = Literal["copper", "aluminum"]
Fate = Literal[
    "keep", "remove", "replace", "replace by a lockable breaker", "convert to unfused", "convert to junction box",
    "abandon",
]  # fmt: skip
#: Fates by which equipment is no longer there when the work is done, and nothing new hangs in its place.
TAKEN_DOWN: frozenset[str] = frozenset({"remove", "replace by a lockable breaker", "abandon"})

BuildingUse = Literal[
    "dwelling", "dwelling unit", "two-family dwelling", "multifamily dwelling", "garage", "workshop",
    "agricultural", "livestock", "poultry", "pump house", "storage", "yard pole", "other",
]  # fmt: skip
EquipmentKind = Literal["utility", "meter", "disconnect", "panel", "junction box", "transfer switch"]
Role = Literal[
    "service disconnect", "emergency disconnect", "meter disconnect", "site-isolating device",
    "building disconnect", "feeder panel", "subpanel", "not a disconnect",
]  # fmt: skip
Method = Literal[
    "overhead triplex", "overhead open conductors", "SE cable", "SER cable", "USE cable", "UF cable", "NM cable",
    "NMC cable", "MC cable", "armored cable", "direct-buried conductors", "knob-and-tube", "busbar or nipple",
    "EMT", "IMC", "RMC", "PVC 40", "PVC 80", "FMC", "LFMC", "LFNC",
]  # fmt: skip
RACEWAYS: frozenset[str] = frozenset({"EMT", "IMC", "RMC", "PVC 40", "PVC 80", "FMC", "LFMC", "LFNC"})
METAL_RACEWAYS: frozenset[str] = frozenset({"EMT", "IMC", "RMC", "FMC", "LFMC"})
Insulation = Literal[
    "TW", "UF", "THW", "THWN", "RHW", "XHHW", "USE", "RH", "R", "RHH", "THHN", "THWN-2", "XHHW-2", "RHW-2", "USE-2",
    "THW-2", "weatherproof covering", "bare", "rubber and cloth",
]  # fmt: skip
LoadKind = Literal[
    "lighting and receptacles", "receptacles", "lighting", "range", "oven", "cooktop", "dryer", "water heater",
    "instantaneous water heater", "dishwasher", "disposer", "microwave", "freezer", "refrigerator", "other appliance",
    "electric heat", "heat pump", "supplemental heat", "thermal storage heat", "air conditioner", "furnace blower",
    "motor", "well pump", "irrigation pump", "refrigeration", "vehicle charger", "welder", "grain dryer",
    "milking equipment", "ventilation fan", "workshop machine", "generator", "heat lamp", "spa", "other",
]  # fmt: skip
MetalPath = Literal["water pipe", "gas pipe", "communication cable", "fence", "structure", "other"]


def words_none_to_empty(value: Any) -> Any:
    """``metal_paths = "none"`` is how a person writes an empty list."""
    if value == "none":
        return ()
    return tuple(value) if isinstance(value, list) else value


Names = Annotated[tuple[str, ...], BeforeValidator(words_none_to_empty)]
Spaces = Annotated[tuple[Annotated[int, Field(ge=1, le=200)], ...], BeforeValidator(words_none_to_empty)]
MetalPaths = Annotated[tuple[MetalPath, ...], BeforeValidator(words_none_to_empty)]
