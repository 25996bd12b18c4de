"""All readings of one installation in one hand, as rules and papers receive them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from driploop.circuits import Change, Duty, OldDisconnect, read_duties, read_old_disconnects
from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.results import GroundingReading
from driploop.installation import Graph, Installation, Job
from driploop.loads.results import LoadReading
from driploop.marking.results import Label
from driploop.worksheet import Assumption


@dataclass(frozen=True)
class Readings:
    """One installation with everything that was read from it, under one edition; what not all need, when asked for.

    ``found`` is the installation before the change when this one is proposed or built, else None: rules about what a
    replacement awakens compare the two.
    """

    job: Job
    edition: Edition
    installation: Installation
    graph: Graph
    loads: LoadReading
    conductors: ConductorReading
    grounding: GroundingReading
    labels: tuple[Label, ...]
    label_assumptions: tuple[Assumption, ...] = ()
    found: Installation | None = None

    @property
    def proposed(self) -> bool:
        """Whether this is the installation after the change."""
        return self.installation.state != "found"

    @cached_property
    def change(self) -> Change:
        """The change as duties look at it."""
        before = Graph(self.found) if self.found is not None else None
        return Change(self.graph, self.edition, before, self.job.town.permit_date, self.grounding.wires)

    @cached_property
    def duties(self) -> tuple[Duty, ...]:
        """The duties that the change awakens; of an installation as found, those that any change would."""
        return read_duties(self.change)

    @cached_property
    def old_disconnects(self) -> tuple[OldDisconnect, ...]:
        """What becomes of every old disconnect."""
        if self.change.found is None:
            return read_old_disconnects(self.graph, edition=self.edition)
        return read_old_disconnects(self.change.found, proposed=self.graph, edition=self.edition)
