"""Every panel of an installation laid out: from the far ends up, for a feeder draws what its panel was balanced to."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from driploop.conductors.overcurrent import next_standard_rating
from driploop.editions import Edition
from driploop.installation import Equipment, Graph
from driploop.installation.model import Proposal, Wish
from driploop.loads.results import LoadReading
from driploop.panel.as_good import as_good
from driploop.panel.before import neutral_before
from driploop.panel.candidates import load_panels
from driploop.panel.choice import PanelNeed, choose_panel, share_out
from driploop.panel.cost import legs_a
from driploop.panel.directory import directory_of, steps_of, traces_of
from driploop.panel.exact import solve_exact
from driploop.panel.habits import further_panel_a
from driploop.panel.held import unknown_places, with_places
from driploop.panel.hours import ALL, Currents, calculated_share, hours_of, scaled
from driploop.panel.inputs import Breakers, Gathered, Legs, gather, surveyed_box
from driploop.panel.plain import solve_plain
from driploop.panel.results import (
    AsGood,
    DirectoryLine,
    HourBalance,
    LandingStep,
    PanelBox,
    PanelChoice,
    PanelCircuit,
    PanelProblem,
    PanelReading,
    Solved,
    Solver,
    Trace,
)
from driploop.panel.units import units_of
from driploop.panel.writing import panel_sheet
from driploop.worksheet import Assumption, unique

if TYPE_CHECKING:
    from driploop.circuits import Protection
    from driploop.panel.hours import Hour

GONE = frozenset({"remove", "abandon"})
#: How many further layouts, exactly as good, are looked for.
OTHERS = 2


def read_panels(
    graph: Graph,
    loads: LoadReading,
    *,
    found: Graph | None,
    breakers: Breakers,
    edition: Edition,
    boxes: Sequence[PanelBox] = (),
    wishes: Iterable[Wish] = (),
    proposal: Proposal | None = None,
    solver: Solver = "plain",
) -> tuple[PanelReading, ...]:
    """Every panel that will stand: its box, its layout, its balance and its papers, in the order of supply.

    Args:
        graph: the installation that is laid out.
        loads: its calculated loads.
        found: the installation as found, None where this is it.
        breakers: by circuit id, poles and rating [A] of the breaker to put in; None in either where it asks.
        edition: the code edition to ask.
        boxes: what the shop can buy; left out, the generic list.
        wishes: of the customer; those for later keep spaces.
        proposal: what the shop has decided.
        solver: "plain" needs nothing; "exact" proves, and needs OR-tools.

    Raises:
        NoSolverError: the exact solver is asked for and not installed.
    """
    hours, said = hours_of(graph)
    wall = _Wall(graph, loads, found, breakers, edition, tuple(boxes) or load_panels(), tuple(wishes), proposal, solver)
    readings = {}
    for id in reversed(graph.order):
        equipment = graph.equipment(id)
        if equipment.kind == "panel" and equipment.fate not in GONE:
            for reading in wall.read(equipment, hours):
                readings[reading.equipment] = replace(reading, assumptions=unique((*said, *reading.assumptions)))
    landed = [circuit.id for each in readings.values() if each.problem for circuit in each.problem.circuits]
    if (nowhere := tuple(unknown_places(proposal, landed))) and readings:
        first, reading = next(reversed(readings.items()))
        readings[first] = replace(reading, assumptions=unique((*reading.assumptions, *nowhere)))
    places = {id: number for number, id in enumerate(graph.order)}

    def order(each: PanelReading) -> tuple[int, int]:
        id, _, part = each.equipment.partition("/")
        return places[id], int(part or 1)

    return tuple(sorted(readings.values(), key=order))


@dataclass(slots=True)
class _Wall:
    """What all panels of an installation share; ``legs`` grows from the far ends up."""

    graph: Graph
    loads: LoadReading
    found: Graph | None
    breakers: Breakers
    edition: Edition
    boxes: tuple[PanelBox, ...]
    wishes: tuple[Wish, ...]
    proposal: Proposal | None
    solver: Solver
    legs: dict[str, Legs] | None = None

    def read(self, equipment: Equipment, hours: Sequence[Hour]) -> list[PanelReading]:
        """The readings of one panel: one, or several where no box is large enough."""
        if self.legs is None:
            self.legs = {}
        currents = Currents(self.graph, hours, edition=self.edition)
        feeders = {run: self._legs_of(self.graph.installation.runs[run].to or "", currents)
                   for run in self.graph.runs_out.get(equipment.id, ())}  # fmt: skip
        made = gather(
            equipment, self.graph, currents, breakers=self.breakers, feeders=feeders, wishes=self.wishes
        )  # fmt: skip
        made.assumptions += currents.said
        share = self._share(equipment, made, hours)
        circuits = tuple(replace(c, amperes=scaled(c.amperes, share)) for c in made.circuits)
        parts = self._parts(equipment, circuits)
        readings: list[PanelReading] = []
        feeder: list[PanelCircuit] = []
        for number in range(len(parts), 0, -1):
            own = (*parts[number - 1], *(feeder if number == 1 else ()))
            id = equipment.id if number == 1 else f"{equipment.id}/{number}"
            title = equipment.title if number == 1 else f"{equipment.title}, panel {number}"
            reading = self._laid(equipment, id, title, own, hours, made, whole=len(parts) == 1)
            readings.append(reading)
            if number > 1:
                feeder.append(self._feeder(reading, own))
                made.assumptions.append(_feeder_unsized(id, feeder[-1]))
        main = readings[-1]
        if main.problem is not None and main.solved is not None:
            lines = legs_a(main.problem, main.solved.layout)
        else:
            lines = _lines_of(circuits, len(hours))
        self.legs[equipment.id] = (tuple(a / share for a, _ in lines), tuple(b / share for _, b in lines))
        return readings

    # --- what is drawn -----------------------------------------------------------------------------------------------

    def _share(self, equipment: Equipment, made: Gathered, hours: Sequence[Hour]) -> float:
        if [hour.id for hour in hours] != [ALL]:
            return 1.0
        node = self.loads.nodes.get(equipment.id)
        full = sum(leg[0] for circuit in made.circuits for leg in circuit.amperes)
        return calculated_share(full, node.load_va if node is not None else None) or 1.0

    def _legs_of(self, id: str, currents: Currents) -> Legs:
        """Both lines of what hangs at an enclosure and below it, at full nameplate. [A]"""
        assert self.legs is not None
        if id in self.legs:
            return self.legs[id]
        own = [self.graph.installation.loads[load] for load in self.graph.loads_at.get(id, ())]
        for circuit in self.graph.circuits_at.get(id, ()):
            own += [self.graph.installation.loads[load] for load in self.graph.loads_on.get(circuit, ())]
        below = [self._legs_of(self.graph.installation.runs[run].to or "", currents)
                 for run in self.graph.runs_out.get(id, ())]  # fmt: skip
        every = [currents.of_loads(own), *below]
        first, second = ([sum(hour) for hour in zip(*(legs[line] for legs in every), strict=True)] for line in (0, 1))
        return tuple(first), tuple(second)

    # --- box and layout ----------------------------------------------------------------------------------------------

    def _need(self, equipment: Equipment, circuits: Sequence[PanelCircuit]) -> PanelNeed:
        run = self.graph.feeding_run(equipment.id)
        stated = equipment.spaces
        if self.proposal is not None and self.proposal.panel == equipment.id:
            stated = stated or self.proposal.panel_spaces
        return PanelNeed(
            poles=sum(c.poles for c in circuits if c.kind != "reserved"),
            reserved=sum(c.poles for c in circuits if c.kind == "reserved"),
            rating_a=equipment.rating_a,
            main="breaker" if equipment.main == "breaker" else "none" if equipment.main == "none" else None,
            main_a=equipment.main_a if equipment.main == "breaker" else None,
            outdoors=equipment.outdoors,
            spaces=stated,
            line_size=run.line_size if run is not None and run.sets == 1 else None,
            line_metal=run.metal if run is not None else None,
            interlock=any(c.interlocked for c in circuits),
            tandem_pairs=sum(c.tandem for c in circuits) // 2,
            largest_a=max((c.rating_a for c in circuits), default=0.0),
            feed_through=any(
                self.graph.installation.runs[id].ocpd == "none" and self.graph.installation.runs[id].fate not in GONE
                for id in self.graph.runs_out.get(equipment.id, ())
            ),
            arc_or_ground_fault=any(
                part.afci or part.gfci for part in self.graph.circuits_of(equipment.id)
            ),
        )  # fmt: skip

    def _parts(self, equipment: Equipment, circuits: tuple[PanelCircuit, ...]) -> tuple[tuple[PanelCircuit, ...], ...]:
        """The circuits of each box that hangs here: all in one, unless no box that serves here is large enough."""
        need = self._need(equipment, circuits)
        stated = need.spaces is not None and need.spaces >= need.poles + need.reserved
        if not equipment.is_new or stated or choose_panel(need, self.boxes) is not None:
            return (circuits,)
        bare = replace(self._need(equipment, ()), spaces=None)
        serve = [box for box in self.boxes if choose_panel(bare, [box]) is not None]
        return share_out(circuits, serve) if serve else (circuits,)

    def _feeder(self, reading: PanelReading, circuits: Sequence[PanelCircuit]) -> PanelCircuit:
        if reading.problem is not None and reading.solved is not None:
            lines = legs_a(reading.problem, reading.solved.layout)
        else:
            lines = _lines_of(circuits, len(circuits[0].amperes[0]))
        worst = max((max(pair) for pair in lines), default=0.0)
        rating = next_standard_rating(max(worst, further_panel_a()), edition=self.edition)
        words = f"Feeder to {reading.title[:1].lower()}{reading.title[1:]}"
        legs = (tuple(a for a, _ in lines), tuple(b for _, b in lines))
        return PanelCircuit(reading.equipment, words, 2, float(rating), legs, kind="feeder")

    def _laid(
        self, equipment: Equipment, id: str, title: str, circuits: Sequence[PanelCircuit], hours: Sequence[Hour],
        made: Gathered, *, whole: bool,
    ) -> PanelReading:  # fmt: skip
        said: list[Assumption] = list(made.assumptions)
        need = self._need(equipment, circuits)
        choice: PanelChoice | None = None
        refused = list(made.refused)
        box: PanelBox | None = None
        if equipment.is_new:
            choice = choose_panel(need if whole else replace(need, spaces=None), self.boxes)
            choice = choice or (_as_stated(equipment, need, said) if whole else None)
            if choice is None:
                refused.append(f"no panel of the list fits: {_reasons(need, self.boxes)}")
            else:
                box = choice.box
        elif equipment.branch_protection not in ("breakers", None):
            holds = equipment.branch_protection if equipment.branch_protection != "none" else "no branch breakers"
            refused.append(f"it holds {holds}: there are no breaker spaces to lay out")
        else:
            box = surveyed_box(equipment, said, circuits)
            if box is None:
                refused.append("its spaces were not counted: count them, and read its label")
        problem = PanelProblem(box, tuple(circuits), tuple(hour.id for hour in hours)) if box is not None else None
        solved = None
        if problem is not None and not made.refused:
            for tried in with_places(problem, self.proposal, said):
                problem, solved = tried, self._solved(tried)
                if solved is not None:
                    break
            else:
                refused += why_not(problem)
        return self._finished(equipment, id, title, choice, problem, solved, refused, need, hours, said)

    def _solved(self, problem: PanelProblem) -> Solved | None:
        if not problem.circuits or sum(c.poles for c in problem.circuits) > problem.box.circuits_max:
            return None
        plain = solve_plain(problem)
        return solve_exact(problem, hint=plain, others=OTHERS) if self.solver == "exact" else plain

    def _finished(
        self, equipment: Equipment, id: str, title: str, choice: PanelChoice | None, problem: PanelProblem | None,
        solved: Solved | None, refused: list[str], need: PanelNeed, hours: Sequence[Hour], said: list[Assumption],
    ) -> PanelReading:  # fmt: skip
        unrated = frozenset(i for i, (_, rating) in self.breakers.items() if rating is None)
        balance: tuple[HourBalance, ...] = ()
        directory: tuple[DirectoryLine, ...] = ()
        traces: tuple[Trace, ...] = ()
        steps: tuple[LandingStep, ...] = ()
        alike: tuple[AsGood, ...] = ()
        if problem is not None and solved is not None:
            before = neutral_before(problem, self.found or self.graph, said)
            lines = legs_a(problem, solved.layout)
            balance = tuple(
                HourBalance(hour.id, hour.title, a, b, abs(a - b), was)
                for hour, (a, b), was in zip(hours, lines, before, strict=True)
            )
            alike = as_good(problem, solved)
            directory = directory_of(problem, solved.layout, unrated=unrated)
            old = self.found.installation if self.found is not None else None
            traces = traces_of(problem, solved.layout, title=title, found=old, unrated=unrated)
            steps = steps_of(problem, solved.layout, graph=self.graph, unrated=unrated, edition=self.edition)
        sheet = panel_sheet(
            id, title, need, choice, problem, solved, balance, edition=self.edition
        )  # fmt: skip
        return PanelReading(
            id, title, choice, problem, solved, tuple(refused), balance, directory, traces, steps, sheet, unique(said),
            alike,
        )  # fmt: skip


def _feeder_unsized(id: str, feeder: PanelCircuit) -> Assumption:
    return Assumption(
        f"equipment.{id.partition('/')[0]}.spaces",
        f"no one panel holds all that lands here: {feeder.words[:1].lower()}{feeder.words[1:]}, {feeder.rating_a:g} A",
        "two spaces are kept for it, and its breaker carries what runs there",
        "listing the further panel and its run, so that its conductors are sized",
    )


def _as_stated(equipment: Equipment, need: PanelNeed, said: list[Assumption]) -> PanelChoice | None:
    """The panel that the proposal states, where the list has none like it; None where it states no spaces."""
    if need.spaces is None:
        return None
    box = surveyed_box(equipment.model_copy(update={"spaces": need.spaces}), said)
    if box is None:
        return None
    title = " ".join(filter(None, (f"{box.bus_a:g} A," if box.bus_a else "", f"{box.spaces} spaces, as stated")))
    return PanelChoice(replace(box, title=title), ("the proposal states it; the list has none like it",))


def why_not(problem: PanelProblem) -> list[str]:
    """Why no layout was found, in words for whoever must change something."""
    box = problem.box
    poles = sum(circuit.poles for circuit in problem.circuits)
    if not problem.circuits:
        return ["nothing is listed that lands here: enter its circuits, or the feeders that leave it"]
    pairs = sum(circuit.tandem for circuit in problem.circuits) // 2
    most = min(box.circuits_max, box.spaces + min(len(box.tandem_spaces), pairs))
    if poles > most:
        over = poles - most
        return [f"{poles} poles want a place and it takes {most}: move {over} to another panel, or hang a larger one"]
    reasons = list(_against_any(problem))
    reasons += [
        f"{unit.circuits[0].words}: no space is within reach of its wire; lengthen it, or hang the panel closer"
        for unit in units_of(problem)
        if not unit.anywhere and not any(circuit.interlocked for circuit in unit.circuits)
    ]
    return reasons or ["no lawful layout was found: ease a short wire or a stab limit, or hang a larger panel"]


def _against_any(problem: PanelProblem) -> Iterator[str]:
    """What bars every layout, whatever else moves."""
    box = problem.box
    for circuit in problem.circuits:
        if box.stab_limit_a is not None and circuit.rating_a > box.stab_limit_a:
            limit = f"{box.stab_limit_a:g} A"
            yield f"{circuit.words}: {circuit.rating_a:g} A is more than the {limit} that one stab takes"
    held = [circuit.words for circuit in problem.circuits if circuit.interlocked]
    if held and box.interlock_space is None:
        yield f"{held[0]}: it has no place for a breaker that is interlocked with its main"
    elif len(held) > 1:
        yield f"{' and '.join(held)}: only one breaker can be interlocked with the main"


def _reasons(need: PanelNeed, boxes: Sequence[PanelBox]) -> str:
    wanted = [f"{need.poles + need.reserved} poles"]
    if need.rating_a is not None:
        wanted.append(f"{need.rating_a:g} A")
    if need.main == "breaker":
        wanted.append(f"main breaker {need.main_a:g} A" if need.main_a is not None else "main breaker")
    if need.outdoors:
        wanted.append("outdoors")
    if need.feed_through:
        wanted.append("feed-through lugs")
    if need.spaces is not None:
        wanted.append(f"{need.spaces} spaces stated")
    if need.line_size is not None:
        wanted.append(f"lugs for {need.line_size}")
    return f"{', '.join(wanted)} are asked, and {len(boxes)} are listed; add one to the shop's own list"


def _lines_of(circuits: Sequence[PanelCircuit], hours: int) -> tuple[tuple[float, float], ...]:
    """Both lines where no layout tells them apart: single circuits half on each. [A]"""
    found = []
    for hour in range(hours):
        both = sum(leg[hour] for circuit in circuits for leg in circuit.amperes) / 2
        found.append((both, both))
    return tuple(found)


def breakers_of(protections: Mapping[str, Protection]) -> dict[str, tuple[int | None, float | None]]:
    """Poles and rating of every breaker to put in, from the protection of each circuit. [A]"""
    return {id: (each.poles, each.device.in_the_panel_a) for id, each in protections.items()}
