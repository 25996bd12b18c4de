"""What the fault stage answers for one enclosure and for one run."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class FaultCurrents:
    """Bolted fault currents at one enclosure. [A]

    ``line_to_neutral_a`` is None where no neutral arrives, ``line_to_ground_a`` where the enclosure has no ground.
    """

    equipment: str
    line_to_line_a: float
    line_to_neutral_a: float | None
    line_to_ground_a: float | None

    @property
    def known(self) -> tuple[float, ...]:
        """Those that there are."""
        kinds = (self.line_to_line_a, self.line_to_neutral_a, self.line_to_ground_a)
        return tuple(current for current in kinds if current is not None)

    @property
    def largest_a(self) -> float:
        """The largest of the kinds."""
        return max(self.known)

    @property
    def smallest_a(self) -> float:
        """The smallest of the kinds."""
        return min(self.known)


RatingVerdict = Literal["enough", "short", "open", "not known"]
ServedBy = Literal["its own rating", "a tested series combination", ""]


@dataclass(frozen=True, slots=True)
class RatingCheck:
    """Whether an enclosure can interrupt and withstand what may flow at its line terminals. [A]

    ``most_a`` is with every unknown at its strongest and the motors' share; ``least_a`` with every unknown at its
    weakest. A rating between the two is "open": an answer decides. ``by`` says which rating serves.
    """

    equipment: str
    rating_a: float | None
    most_a: float
    least_a: float
    verdict: RatingVerdict
    by: ServedBy


Region = Literal["at once", "perhaps at once", "slowly", "hardly", "not at all"]


@dataclass(frozen=True, slots=True)
class TripCheck:
    """What the device ahead of a run does with the smallest fault at the run's far end.

    ``minutes`` is the longest its kind may take where heat alone opens it. ``mend`` is "" where it opens at once.
    """

    run: str
    device: str
    device_a: float
    fault_a: float
    kind: Literal["line to neutral", "line to ground", "line to line"]
    must_open_at_a: float
    region: Region
    minutes: float | None
    mend: str
