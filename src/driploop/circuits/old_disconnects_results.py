"""What becomes of an old switch, fuse box or pull-out, with the rule that decides."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from driploop.worksheet import Assumption, Worksheet

#: What may be wrong with what the survey or the proposal makes of an enclosure.
Fault = Literal["", "takes away a required disconnect", "left hanging", "no room", "overload not known"]
#: In the order of the paper: what stays first, what comes down last.
Outcome = Literal[
    "keep as the disconnect in sight",
    "keep as the building's disconnect",
    "keep",
    "convert to unfused",
    "convert to junction box",
    "replace",
    "replace by a breaker that locks open",
    "remove",
]
STAYING: frozenset[str] = frozenset({
    "keep as the disconnect in sight", "keep as the building's disconnect", "keep", "convert to unfused",
    "convert to junction box", "replace",
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Requirement:
    """Why the next inspection asks for a disconnect here.

    ``of`` is the path of the load or building; ``sure`` is False where the survey does not say that this is the
    switch. A breaker which locks open ``breaker_will_do`` in its place, or ``breaker_may_do`` where a switch in sight
    cannot be had.
    """

    of: str
    words: str
    section: str
    sure: bool
    breaker_will_do: bool = False
    breaker_may_do: bool = False

    @property
    def of_building(self) -> bool:
        """Whether a building asks for it, and not a load."""
        return not self.of.startswith("loads.")


@dataclass(frozen=True, slots=True)
class Room:
    """Whether what is spliced in an enclosure has room; ``enough`` is None where that could not be worked out."""

    enough: bool | None
    worksheet: Worksheet
    section: str
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class OldDisconnect:
    """One old enclosure and its fate.

    ``stated`` is the fate the survey had decided. ``fault`` and ``wrong`` say what is wrong with that or with what is
    proposed, empty where nothing is; ``must_mend`` whether it is so for sure. ``instead`` is another
    lawful way.
    """

    where: str
    title: str
    outcome: Outcome
    reason: str
    section: str
    do: str
    stated: str | None = None
    wrong: str = ""
    fault: Fault = ""
    must_mend: bool = False
    instead: str = ""
    required_for: tuple[Requirement, ...] = ()
    rooms: tuple[Room, ...] = ()
    readings: tuple[str, ...] = ()
    assumptions: tuple[Assumption, ...] = ()

    @property
    def id(self) -> str:
        """The id of the enclosure."""
        return self.where.split(".")[1]
