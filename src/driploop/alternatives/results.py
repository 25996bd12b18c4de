"""What the search for ways to build answers: the ways, their figures, the choices within each, and the comparison."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from driploop.installation import Change, Job, Proposal
from driploop.rules import Readings
from driploop.worksheet import Assumption, Finding, Worksheet

Standing = Literal["lawful", "needs an answer", "refused"]


@dataclass(frozen=True, slots=True)
class MethodRoom:
    """Room left under one load method. ``headroom_a`` is None where the method cannot be computed. [A]

    ``permitted`` is the load stage's own word: a method that is not permitted decides nothing.
    """

    method: str
    title: str
    permitted: str
    load_a: float | None
    headroom_a: float | None


@dataclass(frozen=True, slots=True)
class WishRoom:
    """Room left when one more wish is added to all before it. [A]"""

    wish: str
    title: str
    when: str
    headroom_a: float
    fits: bool


@dataclass(frozen=True, slots=True)
class Figures:
    """What alternatives are compared by; every figure is a line of ``worksheet``.

    ``rating_a`` is that of the service: of several disconnects, of the one left with the least room. [A]
    ``headroom_a`` is what the governing permitted method leaves, ``by_method`` what each leaves. [A]
    ``wish_steps`` are the wishes for later, one after another.
    ``circuits_extended`` counts old circuits that must be led on to a new place; ``circuits_touched`` all old circuits
    that end in another place or behind another breaker.
    ``three_wire_lost`` are ranges and dryers whose grounding by the neutral this alternative ends; each needs a new
    circuit.
    ``conductor_ft`` is new conductor by size and metal, all of it. [ft]
    ``power_off_share`` is the part of the steps of work that need the supply off, from 0 to 1, and
    ``power_off_steps`` / ``steps`` name them.
    """

    service: str
    rating_a: float
    headroom_a: float
    by_method: tuple[MethodRoom, ...]
    wish_steps: tuple[WishRoom, ...]
    circuits_touched: tuple[str, ...]
    circuits_extended: tuple[str, ...]
    three_wire_lost: tuple[str, ...]
    conductor_ft: Mapping[str, float]
    enclosures_new: int
    enclosures_total: int
    power_off_share: float
    power_off_steps: tuple[str, ...]
    steps: tuple[str, ...]
    worksheet: Worksheet
    length_unknown: tuple[str, ...] = ()

    @property
    def conductor_total_ft(self) -> float:
        """New conductor of every size and metal together. [ft]"""
        return sum(self.conductor_ft.values())


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to build the runs within an alternative: method and metal, and what sizes they come to.

    ``sizes`` are in trade words, by run id. ``why_not`` is empty where the choice may be taken; ``chosen`` marks the
    one that the alternative's readings are made with.
    """

    id: str
    title: str
    method: str | None
    metal: str | None
    sizes: Mapping[str, str]
    raceways: Mapping[str, str]
    conductor_ft: Mapping[str, float]
    why_not: tuple[str, ...] = ()
    chosen: bool = False
    worksheets: tuple[Worksheet, ...] = ()


@dataclass(frozen=True, slots=True)
class Alternative:
    """One way to build the new service, with its whole consequence.

    ``findings`` are those of the readings, with the stated ``mendings`` taken into the proposal. ``needs_answers`` are
    places in the job file that must be known before this alternative is sure to be lawful. ``shared`` are faults of
    old parts that must be mended whichever alternative is chosen. ``consequences`` are sentences about this job, each
    from its readings. ``job`` is the survey with ``proposal`` in it: a plan of it gives these findings again. The
    ``figures`` of a way held by load management are those that hold once the system's conditions are answered.
    """

    id: str
    title: str
    kind: str
    scope: str
    proposal: Proposal
    job: Job
    readings: Readings
    findings: tuple[Finding, ...]
    standing: Standing
    why: tuple[str, ...]
    why_not: tuple[str, ...]
    needs_answers: tuple[str, ...]
    consequences: tuple[str, ...]
    mendings: tuple[str, ...]
    shared: tuple[Finding, ...]
    figures: Figures
    choices: tuple[Choice, ...]
    assumptions: tuple[Assumption, ...] = ()

    @property
    def chosen(self) -> Choice | None:
        """The choice of method and metal that the readings are made with."""
        return next((choice for choice in self.choices if choice.chosen), None)


@dataclass(frozen=True, slots=True)
class Refused:
    """A way that is not offered. ``findings`` are what speaks against it; empty where it was never built."""

    id: str
    title: str
    kind: str
    reasons: tuple[str, ...]
    sections: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    readings: Readings | None = None


@dataclass(frozen=True, slots=True)
class Folded:
    """An alternative that another one beats: not better in any figure, worse in one. ``worse`` tells in which."""

    alternative: Alternative
    by: str
    worse: str
    reason: str


@dataclass(frozen=True, slots=True)
class Step:
    """What changes from one offered alternative to the next in rank, in words and as the parts that differ."""

    before: str
    after: str
    words: tuple[str, ...]
    changes: tuple[Change, ...]


@dataclass(frozen=True, slots=True)
class Comparison:
    """The lawful ways, best first by ``order``; what was folded away and refused, each with its reason.

    ``shared`` are faults of what was found that must be mended whichever alternative is chosen.
    """

    offered: tuple[Alternative, ...]
    folded: tuple[Folded, ...]
    refused: tuple[Refused, ...]
    steps: tuple[Step, ...]
    order: tuple[str, ...]
    shared: tuple[Finding, ...]
    assumptions: tuple[Assumption, ...] = ()

    def alternative(self, id: str) -> Alternative:
        """One alternative, offered or folded. Raises KeyError naming those there are."""
        every = {each.id: each for each in (*self.offered, *(folded.alternative for folded in self.folded))}
        if id not in every:
            raise KeyError(f"no alternative {id!r}; there are: {', '.join(every)}")
        return every[id]


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of staged work: what stands when it is done, and whether that is lawful in itself."""

    number: int
    title: str
    work: tuple[str, ...]
    proposal: Proposal
    readings: Readings
    findings: tuple[Finding, ...]
    lawful: bool
    why_not: tuple[str, ...]
    needs_answers: tuple[str, ...]
    stays: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Staging:
    """The stages of a farm's work in order. ``refused`` says why the work cannot be staged; empty where it can."""

    stages: tuple[Stage, ...]
    refused: tuple[str, ...]
