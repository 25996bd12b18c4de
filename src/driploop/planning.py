"""The plan: every reading of the installation as found and as proposed, and the difference between them.

Everything a paper shows can be reached from here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import chain
from typing import TYPE_CHECKING

from driploop.alternatives.build import propose
from driploop.alternatives.reading import read_installation
from driploop.editions import Edition, load_edition
from driploop.installation import Change, Job, difference
from driploop.loads import Headroom, read_headroom
from driploop.rules import Readings, check_rules
from driploop.worksheet import Assumption, Finding, Verdict, Worksheet, carried, unique

if TYPE_CHECKING:
    from driploop.circuits import Protection
    from driploop.earth import EarthReading
    from driploop.panel import PanelBox, PanelReading, Solver
    from driploop.service_drop import DropReading

#: Used, and said aloud, when a job does not name its edition: the newest that is complete here.
FALLBACK_EDITION = "NEC 2023"


@dataclass(frozen=True)
class Plan:
    """A job with all that was read from it.

    ``proposed`` is None while nothing is proposed; ``headroom`` is None where no service equipment was listed. What not
    every paper needs is read when it is first asked for, and kept: ``assumptions`` are those of what is read at once.
    """

    job: Job
    edition: Edition
    found: Readings
    proposed: Readings | None
    headroom: Headroom | None
    difference: tuple[Change, ...]
    assumptions: tuple[Assumption, ...]
    panel_boxes: tuple[PanelBox, ...] = ()
    panel_solver: Solver = "plain"

    @cached_property
    def found_findings(self) -> tuple[Finding, ...]:
        """What the rules find in the installation as found."""
        return check_rules(self.found)

    @cached_property
    def proposed_findings(self) -> tuple[Finding, ...]:
        """What the rules find in the installation as proposed; empty while nothing is proposed."""
        return check_rules(self.proposed) if self.proposed is not None else ()

    @cached_property
    def earth(self) -> EarthReading:
        """The soil and the resistance of every electrode system that will stand."""
        from driploop.earth import read_earth

        return read_earth(self.final.graph, self.final.grounding, edition=self.edition)

    @cached_property
    def drops(self) -> Mapping[str, DropReading]:
        """How every overhead run that will stand hangs and pulls, by run id."""
        from driploop.service_drop import read_drops

        return read_drops(self.final.graph, edition=self.edition)

    @cached_property
    def protections(self) -> tuple[Mapping[str, Protection], Mapping[str, Protection] | None]:
        """What may protect every circuit, as found, and as proposed where something is proposed."""
        from driploop.circuits import read_protections

        found = read_protections(self.found.graph, edition=self.edition)
        if self.proposed is None:
            return found, None
        return found, read_protections(self.proposed.graph, edition=self.edition, found=found)

    @cached_property
    def panels(self) -> tuple[PanelReading, ...]:
        """Every panel that will stand, laid out, in the order of supply."""
        from driploop.panel import breakers_of, read_panels

        found, proposed = self.protections
        return read_panels(
            self.final.graph,
            self.final.loads,
            found=self.found.graph if self.proposed is not None else None,
            breakers=breakers_of(proposed if proposed is not None else found),
            edition=self.edition,
            boxes=self.panel_boxes,
            wishes=tuple(self.job.wishes.values()),
            proposal=self.job.proposal,
            solver=self.panel_solver,
        )

    @cached_property
    def circuit_assumptions(self) -> tuple[Assumption, ...]:
        """What the protection of the circuits, their duties and old disconnects assume besides ``assumptions``."""
        found, proposed = self.protections
        protections = (*found.values(), *(proposed or {}).values())
        return self._not_said(
            (
                *(each.assumptions for each in protections),
                *(each.assumptions for each in self.final.duties),
                *(each.assumptions for each in self.final.old_disconnects),
            )
        )

    @cached_property
    def panel_assumptions(self) -> tuple[Assumption, ...]:
        """What the layouts of the panels assume besides ``assumptions`` and ``circuit_assumptions``."""
        return self._not_said((each.assumptions for each in self.panels), self.circuit_assumptions)

    @property
    def all_assumptions(self) -> tuple[Assumption, ...]:
        """Everything assumed of the installation and its circuits and panels, each once; lays the panels out."""
        return (*self.assumptions, *self.circuit_assumptions, *self.panel_assumptions)

    def _not_said(
        self, made: Iterable[Iterable[Assumption]], said: Iterable[Assumption] = ()
    ) -> tuple[Assumption, ...]:
        known = {*self.assumptions, *said}
        return tuple(each for each in unique(chain.from_iterable(made)) if each not in known)

    @property
    def final(self) -> Readings:
        """The readings the shop will build by: as proposed, or as found while nothing is proposed."""
        return self.proposed or self.found

    @property
    def must_mend(self) -> tuple[Finding, ...]:
        """What is wrong with what will stand in the end."""
        findings = self.proposed_findings if self.proposed else self.found_findings
        return tuple(f for f in findings if f.verdict is Verdict.MEND)

    def worksheets(self) -> dict[str, Worksheet]:
        """Every worksheet by its number on paper: F1, F2 ... as found, P1, P2 ... as proposed, H1 the headroom."""
        numbered: dict[str, Worksheet] = {}
        if self.headroom is not None:
            numbered["H1"] = self.headroom.worksheet
        for letter, readings in (("F", self.found), ("P", self.proposed)):
            if readings is not None:
                sheets = unique_worksheets(worksheets_of(readings))
                numbered.update({f"{letter}{n}": sheet for n, sheet in enumerate(sheets, start=1)})
        return numbered


def plan(
    job: Job,
    *,
    edition: Edition | None = None,
    panel_boxes: tuple[PanelBox, ...] = (),
    panel_solver: Solver = "plain",
) -> Plan:
    """Read a whole job: loads, conductors, grounding, labels and findings, as found and as proposed.

    Args:
        job: what ``read_job`` returned.
        edition: the code edition with its overlays; left out, the one the job names.
        panel_boxes: panels that the shop can buy; none for the generic list.
        panel_solver: how panels are laid out, when they are asked for.

    Returns:
        The plan. The same job and edition always give the same plan.

    Raises:
        UnknownEdition: the job names an edition that is not on the shelf.
        GraphError: the runs do not form a tree.
        ProposalError: the proposal does not fit what was found.
    """
    assumptions: list[Assumption] = []
    if edition is None:
        edition = _edition_of(job, assumptions)
    assumptions += _overlays_left_out(job, edition)
    found = read_installation(job, job.found, edition=edition)
    headroom = read_headroom(found.graph, job.wishes.values(), edition=edition, loads=found.loads)
    built = propose(job, edition=edition)
    proposed = None
    if built is not None:
        installation, assumed = built
        assumptions += assumed
        proposed = read_installation(job, installation, edition=edition, found=job.found)
    for readings in (found, proposed):
        if readings is not None:
            assumptions += assumptions_of(readings)
    assumptions += headroom.assumptions if headroom else ()
    assumptions += _carried_over(edition, [s for r in (found, proposed) if r for s in worksheets_of(r)])
    return Plan(
        job=job,
        edition=edition,
        found=found,
        proposed=proposed,
        headroom=headroom,
        difference=difference(job.found, proposed.installation) if proposed else (),
        assumptions=unique(assumptions),
        panel_boxes=panel_boxes,
        panel_solver=panel_solver,
    )


def worksheets_of(readings: Readings) -> Iterator[Worksheet]:
    """Every worksheet of one installation, in the order of the paper: loads, conductors, grounding."""
    for node in (*readings.loads.buildings.values(), *readings.loads.nodes.values()):
        yield from (result.worksheet for result in node.results)
        yield node.neutral.worksheet
        yield node.worksheet
    for run in readings.conductors.runs.values():
        yield run.worksheet
        if run.raceway is not None:
            yield run.raceway.worksheet
    yield from readings.grounding.worksheets


def unique_worksheets(sheets: Iterator[Worksheet]) -> tuple[Worksheet, ...]:
    """The worksheets in their order, each id once, empty ones left out."""
    return tuple({sheet.id: sheet for sheet in sheets if sheet.lines}.values())


def assumptions_of(readings: Readings) -> Iterator[Assumption]:
    """Every assumption of one installation."""
    yield from readings.loads.assumptions
    for node in (*readings.loads.nodes.values(), *readings.loads.buildings.values()):
        for result in node.results:
            yield from result.assumptions
        yield from node.neutral.assumptions
    yield from readings.conductors.assumptions
    for run in readings.conductors.runs.values():
        yield from run.assumptions
    yield from readings.grounding.assumptions
    for system in readings.grounding.systems.values():
        yield from system.assumptions
    yield from readings.label_assumptions


def _edition_of(job: Job, assumptions: list[Assumption]) -> Edition:
    if job.town.edition is not None:
        return load_edition(job.town.edition)
    assumptions.append(
        Assumption(
            "town.edition",
            FALLBACK_EDITION,
            "the newest edition that is complete here; older ones ask for less in most places",
            "the edition in force on the permit date decides sections, outdoor disconnect, surge protection and loads",
        )
    )
    return load_edition(FALLBACK_EDITION)


def _overlays_left_out(job: Job, edition: Edition) -> Iterator[Assumption]:
    """Local rules that the job names and that were not laid over the edition it is planned under."""
    wanted = (("town", job.town.overlay, ("town", "state")), ("utility", job.found.utility.overlay, ("utility",)))
    for table, name, kinds in wanted:
        if name is not None and not any(overlay.kind in kinds for overlay in edition.overlays):
            yield Assumption(
                f"{table}.overlay",
                f"the plain edition: {name} was not laid over it",
                "said here, so that nobody takes the plain edition for all the rules of the place",
                "planning with the overlay, as the command line does",
            )


def _carried_over(edition: Edition, sheets: list[Worksheet]) -> list[Assumption]:
    sections = sorted({line.result.section for line in carried(sheets) if line.result.section})
    if not sections:
        return []
    return [
        Assumption(
            "town.edition",
            f"values of the edition before stand for {edition.name} in {', '.join(sections)}",
            "no change to them is known, but the newer print was not seen",
            "reading these sections in the adopted book",
        )
    ]
