"""Invented panels and circuits for tests."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import Any

from driploop.panel import PanelBox, PanelCircuit, PanelProblem

ROOMS = ("kitchen", "cellar", "upstairs", "barn", "workshop", "yard")


def box(spaces: int = 8, **said: Any) -> PanelBox:
    """A panel with as many circuits as spaces unless told otherwise."""
    facts: dict[str, Any] = {"id": "box", "circuits_max": spaces, "bus_a": 200, "main": "breaker", "main_a": 200}
    return PanelBox(title="Test panel", spaces=spaces, **(facts | said))


def single(id: str, *amperes: float, **said: Any) -> PanelCircuit:
    """A one-pole circuit with its current in each hour. [A]"""
    facts: dict[str, Any] = {"words": f"circuit {id}", "rating_a": 20, "poles": 1}
    return PanelCircuit(id=id, amperes=(amperes or (0.0,),), **(facts | said))


def double(id: str, *amperes: float, second: Sequence[float] | None = None, **said: Any) -> PanelCircuit:
    """A two-pole circuit with the current of its poles in each hour, of both alike unless told otherwise. [A]"""
    facts: dict[str, Any] = {"words": f"circuit {id}", "rating_a": 30, "poles": 2}
    first = amperes or (0.0,)
    return PanelCircuit(id=id, amperes=(first, tuple(second or first)), **(facts | said))


def problem(box: PanelBox, *circuits: PanelCircuit) -> PanelProblem:
    """The circuits in the box, their hours named by number."""
    hours = len(circuits[0].amperes[0]) if circuits else 1
    return PanelProblem(box, circuits, tuple(f"hour-{number}" for number in range(1, hours + 1)))


def random_problem(seed: int, *, spaces: int, doubles: int, singles: int, hours: int = 4, **said: Any) -> PanelProblem:
    """A panel of a place that lives: rooms of unequal size, loads that come and go with the hours."""
    rng = Random(seed)
    circuits = []
    for number in range(doubles + singles):
        poles = 2 if number < doubles else 1
        full = rng.choice((8.3, 14.2, 18.8, 25.0, 33.3) if poles == 2 else (1.5, 3.3, 6.0, 7.5, 9.2, 12.5, 15.0))
        amperes = [round(full * rng.choice((0, 0, 0.5, 0.8, 1, 1)), 1) for _ in range(hours)]
        make = double if poles == 2 else single
        rating = rng.choice((30, 40, 50) if poles == 2 else (15, 20))
        circuits.append(make(f"c{number}", *amperes, room=rng.choice(ROOMS), rating_a=rating))
    rng.shuffle(circuits)
    return problem(box(spaces, **said), *circuits)
