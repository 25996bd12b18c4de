"""Many scenarios at once: by numpy and one after the other alike."""

from __future__ import annotations

import random

import pytest

from driploop.network import Draw, Node, Solver, voltages_of_many
from driploop.voltage.draws import listed

from .places import EXAMPLES, SEEDS, example, made


def loaded(place) -> tuple[Solver, list[Draw]]:
    r = made(place) if isinstance(place, int) else example(place)
    v = r.voltages
    return v.solver, [each.draw for each in listed(r.graph, v.built.network, v.across_v, [], edition=r.edition)]


@pytest.mark.parametrize("place", [*EXAMPLES, *SEEDS[:8]], ids=lambda place: getattr(place, "stem", place))
def test_both_ways_come_to_the_same(place) -> None:
    solver, draws = loaded(place)
    pick = random.Random(7)
    shares = [[pick.choice((0.0, pick.random(), 1.0)) for _ in draws] for _ in range(300)]  # more than are held at once
    quick = list(voltages_of_many(solver, draws, shares))
    plain = list(voltages_of_many(solver, draws, shares, plain=True))
    assert len(quick) == len(plain) == 300
    apart = max(abs(a - b) for one, other in zip(quick, plain, strict=True)
                for a, b in zip(one.all, other.all, strict=True))  # fmt: skip
    assert apart < 1e-6
    far = Node(next(iter(solver.network.buses)), "A")
    assert len({abs(volts.at(far)) for volts in quick}) > 250  # each scenario is one of its own


def test_loads_beyond_the_supply_come_to_the_same_too() -> None:
    solver, draws = loaded(0)
    shares = [[1.0] * len(draws), [400.0] * len(draws)]
    quick, plain = (list(voltages_of_many(solver, draws, shares, plain=way)) for way in (False, True))
    for one, other in zip(quick, plain, strict=True):
        assert one.all == pytest.approx(other.all, abs=1e-5)


def test_without_loads_every_scenario_is_idle() -> None:
    solver, _ = loaded(0)
    assert [volts.all for volts in voltages_of_many(solver, [], [[], []])] == [solver.idle.all] * 2
