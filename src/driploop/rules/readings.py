"""All readings of one installation in one hand, as rules and papers receive them."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.results import GroundingReading
from driploop.installation import Graph, Installation, Job
from driploop.loads.results import LoadReading
from driploop.marking.results import Label
from driploop.worksheet import Assumption


@dataclass(frozen=True, slots=True)
class Readings:
    """One installation with everything that was read from it, under one edition.

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
