"""Which line conductors the grounding parts of one place are sized by, unknowns taken upward."""

from __future__ import annotations

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.areas import LineConductors, asks_for_more, line_conductors, together
from driploop.grounding.sites import is_supply_side
from driploop.installation import Graph
from driploop.installation.kinds import Metal
from driploop.installation.model import Run
from driploop.worksheet import Assumption


def lines_into(
    graph: Graph, equipment: tuple[str, ...], conductors: ConductorReading, *, edition: Edition
) -> tuple[LineConductors, tuple[Assumption, ...]]:
    """The line conductors that supply these disconnects, added up, with what had to be assumed.

    Where service conductors ahead of them that are not the utility's are larger in sum, those count.
    """
    asked: list[Assumption] = []
    parts = []
    for id in equipment:
        part, assumed = _into(graph, id, conductors, edition)
        parts.append(part)
        asked += assumed
    total = together(parts)
    for run in _shared_runs_above(graph, equipment):
        above = _known(run, conductors, edition)
        if above is not None and asks_for_more(above, total, edition=edition):
            total = above
            asked += _owner_assumed(run)
    return total, tuple(asked)


def _shared_runs_above(graph: Graph, equipment: tuple[str, ...]) -> list[Run]:
    feeding = [graph.feeding_run(id) for id in equipment]
    if not all(run is not None and is_supply_side(graph, run) for run in feeding):
        return []  # a fed building is grounded by its own feeder, not by the service it hangs on
    runs = dict.fromkeys(graph.run_into[up] for id in equipment for up in graph.path_up(id) if up in graph.run_into)
    known = (graph.installation.runs[run] for run in runs)
    return [run for run in known if run.owner != "utility" and is_supply_side(graph, run)]


def _owner_assumed(run: Run) -> list[Assumption]:
    if run.owner is not None:
        return []
    why = "the grounding parts are sized by the customer's service conductors, and these are the larger"
    return [Assumption(f"runs.{run.id}.owner", "the customer's", why, "the utility's word that it owns the run")]


def _into(
    graph: Graph, id: str, conductors: ConductorReading, edition: Edition
) -> tuple[LineConductors, list[Assumption]]:
    run = graph.feeding_run(id)
    lines = _known(run, conductors, edition) if run is not None else None
    if run is None or lines is None:
        return _assumed_size(graph, id, run, conductors, edition)
    if _metal(run, conductors) is not None:
        return lines, []
    why = "the same size in copper asks for the larger part"
    return lines, [Assumption(f"runs.{run.id}.metal", "copper lines", why, "the answer: aluminum")]


def _known(run: Run, conductors: ConductorReading, edition: Edition) -> LineConductors | None:
    sizing = conductors.runs.get(run.id)
    size = (sizing.line_size if sizing else None) or run.line_size
    if size is None and sizing is not None and not sizing.kept:
        # Too large for any single conductor of the tables: the parts are sized for the largest there is.
        size = str(edition.table("conductor_properties").rows[-1]["size"])
    if size is None:
        return None
    sets = sizing.sets if sizing else run.sets
    return line_conductors(size, _metal(run, conductors) or "copper", sets=sets, edition=edition)


def _metal(run: Run, conductors: ConductorReading) -> Metal | None:
    sizing = conductors.runs.get(run.id)
    # A metal not found stays unknown: the stage before takes aluminum, which is the unsafe side here.
    return run.metal if sizing is None or sizing.kept else sizing.metal


def _assumed_size(
    graph: Graph, id: str, run: Run | None, conductors: ConductorReading, edition: Edition
) -> tuple[LineConductors, list[Assumption]]:
    rating = _rating(graph, id, run)
    sizing = conductors.runs.get(run.id) if run is not None else None
    if rating is not None and sizing is not None and not sizing.kept and sizing.load_a is not None:
        # A new run that no conductor of the tables serves: its load, not its device, says how large it must become.
        rating = max(rating, sizing.load_a)
    sets = run.sets if run else 1
    size = upward_size(rating / sets if rating is not None else None, edition=edition)
    basis = f"as a rating of {rating:g} A may need" if rating is not None else "the largest of the tables"
    asked = Assumption(
        where=f"runs.{run.id}.line_size" if run else f"equipment.{id}",
        assumed=f"lines of {size} copper, {basis}",
        why_safe="larger lines ask for larger electrode conductors and jumpers",
        would_change="the size on the lines as found",
    )
    return line_conductors(size, "copper", sets=sets, edition=edition), [asked]


def _rating(graph: Graph, id: str, run: Run | None) -> float | None:
    own = graph.equipment(id)
    known = [a for a in (own.rating_a, own.main_a, run.ocpd_a if run else None) if a is not None]
    if known:
        return max(known)
    above = (graph.installation.equipment.get(up) for up in graph.path_up(id))
    return next((eq.rating_a for eq in above if eq is not None and eq.rating_a is not None), None)


def upward_size(rating_a: float | None, *, edition: Edition) -> str:
    """The largest copper size that a rating may ask for, where the wire itself is not known.

    Read from the lowest ampacity column: no wire that carries the rating needs to be larger for that.

    Args:
        rating_a: of the device or enclosure. [A] None = not known either, which gives the largest of the tables.
        edition: the code edition to ask.
    """
    for row in edition.table("conductor_ampacity").rows:
        ampacity = row["copper_60c"]
        if rating_a is not None and isinstance(ampacity, (int, float)) and ampacity >= rating_a:
            return str(row["size"])
    return str(edition.table("conductor_properties").rows[-1]["size"])
