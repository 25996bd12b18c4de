"""Rows become spaces: each breaker to the left or the right, so that none lies on another."""

from __future__ import annotations

from collections.abc import Iterable

from driploop.panel.geometry import space_at
from driploop.panel.results import Half, Layout, PanelProblem, Place, Side
from driploop.panel.units import Unit


def dealt(problem: PanelProblem, rows: Iterable[tuple[Unit, int, bool, str | None, bool]]) -> Layout:
    """The layout in the order of the circuits.

    Args:
        problem: the box and the circuits.
        rows: for each unit its upper row (from 0), whether its poles are the other way up, its side where that is
            settled, and whether it has a space to itself.
    """
    free: dict[Side, int] = {"left": 0, "right": 0}  # the first row that is free on each side
    halves: dict[int, Half] = {}
    places: dict[str, Place] = {}
    # The taller breaker first, so that the one that goes deepest takes the side that is free longest.
    for unit, row, flipped, settled, whole in sorted(rows, key=lambda each: (each[1], -each[0].size)):
        side: Side = "left" if settled == "left" else "right"
        if settled is None:
            side = "left" if free["left"] <= row else "right"
        free[side] = row + unit.size
        space = space_at(row, side)
        for place in unit.places(space, flipped=flipped):
            half: Half = place.half
            if not whole:
                half = halves[space] = "lower" if space in halves else "upper"
            places[place.circuit] = Place(place.circuit, place.spaces, half)
    return tuple(places[circuit.id] for circuit in problem.circuits)
