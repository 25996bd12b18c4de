"""What the drop stage answers: how each overhead run hangs, what it clears, what its mast bears."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.service_drop.sag import SagReading
from driploop.worksheet import Assumption, Cited, Worksheet


@dataclass(frozen=True, slots=True)
class Clearance:
    """One clearance as measured and at the worst. [ft] ``enough`` is None where what is needed is not known."""

    what: str
    measured_ft: float
    worst_ft: float
    needed: Cited
    enough: bool | None


@dataclass(frozen=True, slots=True)
class MastReading:
    """A mast under the largest pull. ``local`` holds the rules of the place in words: they govern."""

    trade_size: str
    lever_in: float
    pull_lb: float
    bending_psi: float
    allowed_psi: float
    longest_unguyed_in: float
    lean_in: float
    guyed: bool | None
    bears: bool
    guy_lb: float
    local: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DropReading:
    """One overhead run. ``attachment_needed_ft`` is None where no height of the building's end would be enough.

    ``mast`` is None where there is none; ``engineer`` says what needs a structural engineer.
    """

    run: str
    sag: SagReading
    clearances: tuple[Clearance, ...]
    attachment_needed_ft: float | None
    loop_lowest_ft: float
    head_ft: float
    tail_in: float
    mast: MastReading | None
    engineer: tuple[str, ...]
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...]
