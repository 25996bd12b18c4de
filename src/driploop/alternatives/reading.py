"""Every reading of one installation, from its loads to its labels."""

from __future__ import annotations

from driploop.alternatives.build import with_sizes
from driploop.conductors import read_conductors
from driploop.editions import Edition
from driploop.grounding import read_grounding
from driploop.installation import Graph, Installation, Job
from driploop.loads import read_loads
from driploop.rules import Readings


def read_installation(
    job: Job, installation: Installation, *, edition: Edition, found: Installation | None = None
) -> Readings:
    """Every reading of one installation. New runs come back with the sizes chosen for them."""
    graph = Graph(installation)
    loads = read_loads(graph, edition=edition, by_building=True)
    conductors = read_conductors(graph, loads, edition=edition)
    if found is not None:
        installation = with_sizes(installation, conductors)
        graph = Graph(installation)
    before = Graph(found) if found is not None else None
    grounding = read_grounding(graph, loads, conductors, found=before, edition=edition)
    return Readings(
        job=job,
        edition=edition,
        installation=installation,
        graph=graph,
        loads=loads,
        conductors=conductors,
        grounding=grounding,
        found=found,
    )
