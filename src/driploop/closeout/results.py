"""One line of the pre-inspection list."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Stop = Literal[
    "The drop and the mast", "The meter", "The outdoor disconnect", "The electrodes", "The panel", "Bonding",
    "The circuits", "Other buildings", "What the place asks",
]  # fmt: skip
#: The stops of the walk, in the order in which an inspector makes them: outside, inside, the other buildings.
STOPS: tuple[Stop, ...] = (
    "The drop and the mast", "The meter", "The outdoor disconnect", "The electrodes", "The panel", "Bonding",
    "The circuits", "Other buildings", "What the place asks",
)  # fmt: skip
Standing = Literal["as planned", "to be mended", "to be asked"]


@dataclass(frozen=True, slots=True)
class Check:
    """What to see at one place, with this job's value, and where to photograph it.

    ``rule`` is its id in the catalogue; ``where`` a path of the job file; ``standing`` whether a finding of that rule
    is still open there.
    """

    stop: Stop
    rule: str
    where: str
    place: str
    see: str
    section: str
    photograph: str
    standing: Standing
