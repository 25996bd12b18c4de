"""A feeder to another building: four wires, and the conditions under which an old three-wire one may stay."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.equipment_ground import table_egc
from driploop.conductors.results import RunSizing
from driploop.editions import Edition, NotInTable
from driploop.installation.kinds import METAL_RACEWAYS
from driploop.installation.model import Run
from driploop.installation.sizes import rank
from driploop.worksheet import Assumption


@dataclass(frozen=True, slots=True)
class ThreeWireAnswer:
    """Whether an old three-wire feeder may stay. ``against`` are the reasons why not."""

    may_stay: bool
    against: tuple[str, ...]
    section: str
    assumptions: tuple[Assumption, ...] = ()

    @property
    def why(self) -> str:
        """One line for a schedule."""
        if self.may_stay:
            return "existing three-wire feeder: each condition of the exception is shown"
        return "; ".join(self.against)


def three_wire_feeder(
    run: Run,
    *,
    neutral_load_a: float | None,
    ocpd_a: float | None,
    neutral_ampacity_a: float | None,
    was_feeder: bool = True,
    edition: Edition,
) -> ThreeWireAnswer:
    """Whether the neutral of an old three-wire feeder to another building may go on grounding it.

    Args:
        run: the feeder.
        neutral_load_a: calculated neutral load at the building. [A] None = not known.
        ocpd_a: overcurrent device ahead of the feeder. [A] None = not known.
        neutral_ampacity_a: what the feeder's neutral may carry. [A] None = not known.
        was_feeder: False where it was a service conductor before the change; that is not an existing feeder.
        edition: the code edition to ask.

    Returns:
        The answer with every condition that fails or is not shown; an unknown never lets the feeder stay.

    Source:
        The edition's exception for existing three-wire building feeders.
    """
    against: list[str] = []
    asked: list[Assumption] = []
    if run.is_new:
        against.append("new work needs four wires")
    if not was_feeder:
        against.append("it was a service conductor before: as a feeder it is new")
    _equipment_ground(run, against, asked)
    _metal_paths(run, against, asked)
    if run.gfpe_upstream:
        against.append("ground-fault protection of equipment stands ahead of it")
    elif run.gfpe_upstream is None:
        against.append("not shown that no ground-fault protection of equipment stands ahead")
        asked.append(_ask(run, "gfpe_upstream", "ground-fault protection ahead", "none ahead"))
    _neutral(run, neutral_load_a, ocpd_a, neutral_ampacity_a, against, asked, edition)
    return ThreeWireAnswer(not against, tuple(against), edition.section("three-wire-feeder-existing"), tuple(asked))


def neutral_ampacity(run: Run, sizing: RunSizing | None, *, edition: Edition) -> float | None:
    """What a feeder's neutral may carry: the lines' ampacity where it is as large, else the lowest column.

    Returns:
        The ampacity [A], None where size or metal is not known.
    """
    if run.neutral_size is None or run.metal is None:
        return None
    if sizing is not None and sizing.ampacity_a is not None and run.neutral_size == run.line_size:
        return sizing.ampacity_a
    try:
        return edition.table("conductor_ampacity").cell(f"{run.metal}_60c", size=run.neutral_size).number
    except NotInTable:
        return None


def _equipment_ground(run: Run, against: list[str], asked: list[Assumption]) -> None:
    if run.egc in ("wire", "raceway", "armor"):
        against.append(f"an equipment ground ({run.egc}) runs with it")
    elif run.egc is None and run.method in METAL_RACEWAYS:
        against.append("its metal raceway joins both ends")
    elif run.egc is None and run.wires != 3:
        against.append("not shown that no equipment ground runs with it")
        asked.append(_ask(run, "egc", "an equipment ground in the run", "none"))


def _metal_paths(run: Run, against: list[str], asked: list[Assumption]) -> None:
    if run.metal_paths is None:
        against.append("not shown that no metal path joins the buildings")
        asked.append(_ask(run, "metal_paths", "a metal path between the buildings", "none"))
    elif run.metal_paths:
        against.append(f"metal joins the buildings: {', '.join(run.metal_paths)}")


def _neutral(
    run: Run,
    load_a: float | None,
    ocpd_a: float | None,
    ampacity_a: float | None,
    against: list[str],
    asked: list[Assumption],
    edition: Edition,
) -> None:
    for name, known in (("ocpd_a", ocpd_a), ("neutral_size", run.neutral_size), ("metal", run.metal)):
        if known is None:
            against.append(f"not shown that the neutral is large enough: {name} is not known")
            asked.append(_ask(run, name, "a neutral too small to ground the building", "the answer"))
    if run.neutral_size is None or run.metal is None or ocpd_a is None:
        return
    least = str(table_egc(ocpd_a, run.metal, edition=edition).value)
    if rank(run.neutral_size) < rank(least):
        against.append(f"its neutral, {run.neutral_size}, is smaller than the equipment ground it stands for, {least}")
    if load_a is None or ampacity_a is None:
        against.append("not shown that the neutral carries its load")
    elif ampacity_a < load_a:
        against.append(f"its neutral carries {ampacity_a:g} A, its load is {load_a:.0f} A")


def _ask(run: Run, field: str, assumed: str, answer: str) -> Assumption:
    why = "the old three wires are not allowed to stay on an answer that nobody gave"
    return Assumption(f"runs.{run.id}.{field}", assumed, why, f"{answer}: then this does not stand against keeping it")
