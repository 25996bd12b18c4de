"""Which runs hang in the air, and how high the edition wants them over what lies below."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.editions import Edition
from driploop.installation import UTILITY, Graph, Run
from driploop.worksheet import Cited

_GROUND = {"pedestrian": "pedestrian", "residential drive": "residential", "street or truck or farm": "farm-and-street"}


def overhead_runs(graph: Graph) -> Iterator[Run]:
    """Every run in the air, as surveyed, or as the utility's supply and the method tell."""
    supply = graph.installation.utility.supply
    for run in graph.installation.runs.values():
        drop = run.overhead is None and run.from_ == UTILITY and supply == "overhead" and not run.buried
        by_method = run.overhead is None and run.method in ("overhead triplex", "overhead open conductors")
        if run.overhead or drop or by_method:
            yield run


def is_service(graph: Graph, run: Run) -> bool:
    """Whether a run is of the service rather than a feeder: another article of the code speaks of it."""
    return run.owner == "utility" or run.from_ == UTILITY or graph.is_service_run(run)


def ground_clearances(run: Run, *, service: bool, edition: Edition) -> dict[str, Cited]:
    """How high an overhead run must hang, by the kind of ground below it. [ft]

    Args:
        run: the run.
        service: whether it is of the service.
        edition: the code edition to ask.
    """
    kind = "ground" if service else "feeder"
    least = {ground: clearance(f"{kind}-{row}", edition=edition) for ground, row in _GROUND.items()}
    if run.method == "overhead open conductors":
        # The footway figure is for cable on a grounded messenger only.
        least["pedestrian"] = least["residential drive"]
    return least


def clearance(situation: str, *, edition: Edition) -> Cited:
    """The edition's least height or distance in one situation. [ft]"""
    return edition.table("overhead_clearances").cell("minimum_ft", situation=situation)


def roof_clearance(run: Run, *, edition: Edition) -> Cited:
    """How high a run must pass over a roof: less over a steep one, the full height over an unknown slope. [ft]"""
    steep = run.roof_slope_in_12 is not None and run.roof_slope_in_12 >= edition.number("steep_roof_rise_in")
    return clearance("roof-steep" if steep else "roof", edition=edition)
