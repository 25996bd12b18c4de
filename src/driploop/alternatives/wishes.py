"""What a service carries when wishes for later are added one after another."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.editions import Edition
from driploop.installation import Graph, Wish
from driploop.loads import with_wish
from driploop.loads.reading import LoadReader
from driploop.rules import Readings


def later_loads(readings: Readings, service: str, *, edition: Edition) -> Iterator[tuple[Wish, float]]:
    """Each wish for later that this service feeds, and what the service carries with it and all before it. [A]"""
    graph, installation = readings.graph, readings.installation
    below = set(graph.below(service))
    for wish in readings.job.wishes.values():
        if wish.when == "now":
            continue
        panel = _panel_for(readings, wish, below)
        if panel is None:
            continue
        installation = with_wish(installation, wish, panel=panel, before=readings.installation.circuits)
        node = LoadReader(Graph(installation), edition=edition).node(service)
        yield wish, node.conductor_current_a


def _panel_for(readings: Readings, wish: Wish, below: set[str]) -> str | None:
    """Where a wish is fed from, if this service feeds it: as stated, else the first panel of its building, or of all.

    None where another service feeds it.
    """
    installation = readings.installation
    circuit = installation.circuits.get(wish.circuit or "")
    stated = circuit.from_ if circuit is not None else wish.panel
    if stated in installation.equipment:
        return stated if stated in below else None
    panels = [id for id in readings.graph.order if id in below and installation.equipment[id].kind == "panel"]
    there = [id for id in panels if wish.building and installation.equipment[id].building == wish.building]
    return next(iter([*there, *panels]), None)
