"""What instruments read of the earth: four pins in a row, and the points of a fall-of-potential test."""

from typing import Annotated

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from driploop.installation.kinds import NotNegative, Positive, words_none_to_empty


class FourPin(BaseModel):
    """One reading of four pins in a row."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)

    spacing_ft: Positive | None = Field(None, description="from pin to pin")
    resistance_ohm: Positive | None = Field(None, description="as the instrument read it")
    probe_depth_in: Positive | None = Field(None, description="how deep the pins stood")


class FallPoint(BaseModel):
    """One point of a fall-of-potential test."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, defer_build=True)

    distance_ft: Positive | None = Field(None, description="of the potential probe from the electrode")
    resistance_ohm: NotNegative | None = Field(None, description="read there")


FourPins = Annotated[tuple[FourPin, ...], BeforeValidator(words_none_to_empty)]
FallPoints = Annotated[tuple[FallPoint, ...], BeforeValidator(words_none_to_empty)]
