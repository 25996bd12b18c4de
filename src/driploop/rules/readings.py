"""All readings of one installation in one hand, as rules and papers receive them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.results import GroundingReading
from driploop.installation import Circuit, Equipment, Graph, Installation, Job, Load
from driploop.loads.results import LoadReading
from driploop.worksheet import Assumption

if TYPE_CHECKING:
    from driploop.circuits import Change, Duty, OldDisconnect
    from driploop.circuits.decision import Decision
    from driploop.circuits.motor_feeders import MotorFeeder
    from driploop.fault_current import FaultReading
    from driploop.marking import Label
    from driploop.voltage import VoltageReading

# What is read when it is asked for is imported there too: who prints loads needs no network of impedances.


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
    found: Installation | None = None

    @property
    def proposed(self) -> bool:
        """Whether this is the installation after the change."""
        return self.installation.state != "found"

    @cached_property
    def weighed(self) -> dict[str, tuple[Circuit, Equipment | None, tuple[Load, ...], Decision]]:
        """What was weighed of a circuit so far, with the parts it was weighed of."""
        return {}

    @cached_property
    def allowed_a(self) -> dict[tuple[str, bool, str], tuple[Circuit, Equipment | None, float | None]]:
        """The largest device that a circuit's wire allows, read hopefully or not and by how hot a way, so far, with
        the parts it was read of. [A]"""
        return {}

    def take_over(self, known: Readings, *late: str) -> None:
        """Take late readings over from an installation of which they would be read just the same."""
        for name in late:
            self.__dict__[name] = getattr(known, name)

    @cached_property
    def change(self) -> Change:
        """The change as duties look at it."""
        from driploop.circuits import Change

        before = Graph(self.found) if self.found is not None else None
        return Change(self.graph, self.edition, before, self.job.town.permit_date, self.grounding.wires)

    @cached_property
    def duties(self) -> tuple[Duty, ...]:
        """The duties that the change awakens; of an installation as found, those that any change would."""
        from driploop.circuits import read_duties

        return read_duties(self.change)

    @cached_property
    def motor_feeders(self) -> Mapping[str, MotorFeeder]:
        """Feeders of two motors or more, by the id of their run."""
        from driploop.circuits.motor_feeders import read_motor_feeders

        return read_motor_feeders(self.graph, self.conductors, self.loads, edition=self.edition)

    @cached_property
    def old_disconnects(self) -> tuple[OldDisconnect, ...]:
        """What becomes of every old disconnect."""
        from driploop.circuits import read_old_disconnects

        if self.change.found is None:
            return read_old_disconnects(self.graph, edition=self.edition)
        return read_old_disconnects(self.change.found, proposed=self.graph, edition=self.edition)

    @cached_property
    def faults(self) -> FaultReading:
        """Fault currents at every enclosure."""
        from driploop.fault_current import read_fault_currents

        return read_fault_currents(self.graph, self.loads, self.conductors, self.grounding.bonds, edition=self.edition)

    @cached_property
    def voltages(self) -> VoltageReading:
        """Voltages at every enclosure."""
        from driploop.voltage import read_voltages

        return read_voltages(self.graph, self.loads, self.conductors, self.grounding.bonds, edition=self.edition)

    @cached_property
    def marking(self) -> tuple[tuple[Label, ...], tuple[Assumption, ...]]:
        """Every label, and what was assumed for them."""
        from driploop.marking import read_labels

        return read_labels(
            self.graph, fault_a=self._marked_fault_a, date=self.job.header.date or "", edition=self.edition
        )

    def _marked_fault_a(self, equipment: str) -> float | None:
        """What a mark may say: nothing while not even the transformer's size is known."""
        if not self.faults.transformer_known or equipment not in self.faults.largest:
            return None
        return self.faults.available_a(equipment)

    @property
    def labels(self) -> tuple[Label, ...]:
        """Every label, in the order of supply."""
        return self.marking[0]

    @property
    def label_assumptions(self) -> tuple[Assumption, ...]:
        """What was assumed for the labels."""
        return self.marking[1]
