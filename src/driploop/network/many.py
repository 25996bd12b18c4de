"""Thousands of ways to load one network at once: by numpy where it is there, else one after the other."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from importlib.util import find_spec

from driploop.network.model import Draw
from driploop.network.solve import CLOSE_V, MOST_ROUNDS, Solver, Voltages

#: So many scenarios are held at once: enough to be worth a product of matrices, few enough to stay in the cache.
_AT_ONCE = 256


def voltages_of_many(
    solver: Solver, draws: Sequence[Draw], shares: Sequence[Sequence[float]], *, plain: bool = False
) -> Iterator[Voltages]:
    """Every node's voltage in each of many scenarios, in their order; loads take their rated amperes.

    Args:
        solver: one network, factored.
        draws: the loads.
        shares: a scenario a row: what part of its full load each of the draws runs at.
        plain: without numpy even where it is there. The answers are the same to rounding.
    """
    if plain or not draws or find_spec("numpy") is None:
        for row in shares:
            yield solver.voltages([replace(d, va=d.va * share) for d, share in zip(draws, row, strict=True)])
        return
    yield from _by_numpy(solver, draws, shares)


def _by_numpy(solver: Solver, draws: Sequence[Draw], shares: Sequence[Sequence[float]]) -> Iterator[Voltages]:
    import numpy as np

    first, second = [solver.index[d.positive] for d in draws], [solver.index[d.negative] for d in draws]
    idle = np.array(solver.voltages().all)
    lowers = np.array([solver.transfer(d.positive, d.negative) for d in draws])
    rated = np.array([d.va.conjugate() / d.rated_v for d in draws])
    # Only what the loads stand between is followed while their angles settle.
    idle_across, lowers_across = idle[first] - idle[second], lowers[:, first] - lowers[:, second]
    for start in range(0, len(shares), _AT_ONCE):
        scaled = np.array(shares[start : start + _AT_ONCE]) * rated
        across = np.broadcast_to(idle_across, scaled.shape)
        for _ in range(MOST_ROUNDS):
            current = scaled * (across / np.maximum(np.abs(across), 1e-300))
            after = idle_across - current @ lowers_across
            settled = np.abs(after - across).max(axis=1) < CLOSE_V
            across = after
            if settled.all():
                break
        for row, (volts, calm) in enumerate(zip((idle - current @ lowers).tolist(), settled, strict=True), start):
            yield Voltages(solver, volts) if calm else next(voltages_of_many(solver, draws, [shares[row]], plain=True))
