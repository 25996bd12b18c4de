"""Loads that can never run together: of such a set only the largest sum that can run at once is kept."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from math import fsum

from driploop.loads.nameplate import Nameplate

#: Above this many loads that exclude each other in a web, all are kept: in full is never less.
WEB_AT_MOST = 12


def coincident(
    loads: Sequence[Nameplate], *, same: Callable[[Nameplate], Hashable] = lambda load: None
) -> list[Nameplate]:
    """The loads without those that larger ones exclude.

    Args:
        loads: the loads of one place.
        same: loads are weighed against each other only within one answer of this; elsewhere demand factors differ
            and both are kept.
    """
    barred = {load.id: set(load.load.never_with or ()) for load in loads}
    if not any(barred.values()):
        return list(loads)
    kinds = {load.id: same(load) for load in loads}
    edges: dict[str, set[str]] = {id: set() for id in barred}
    for one, others in barred.items():
        for other in others:
            if other in edges and other != one and kinds[one] == kinds[other]:
                edges[one].add(other)
                edges[other].add(one)
    weights: dict[str, float] = {}
    for load in loads:
        weights[load.id] = weights.get(load.id, 0.0) + load.va
    kept = {id for web in _webs(edges) for id in _heaviest(web, edges, weights)}
    return [load for load in loads if load.id in kept]


def _webs(edges: dict[str, set[str]]) -> list[list[str]]:
    webs, seen = [], set()
    for start in edges:
        if start in seen:
            continue
        web, stack = [], [start]
        seen.add(start)
        while stack:
            here = stack.pop()
            web.append(here)
            fresh = edges[here] - seen
            seen |= fresh
            stack.extend(sorted(fresh))
        webs.append(sorted(web))
    return webs


def _heaviest(web: list[str], edges: dict[str, set[str]], weights: dict[str, float]) -> set[str]:
    """The heaviest set of loads of one web in which none excludes another."""
    if len(web) == 1 or len(web) > WEB_AT_MOST:
        return set(web)
    best: set[str] = set()
    for mask in range(1, 1 << len(web)):
        chosen = {id for place, id in enumerate(web) if mask >> place & 1}
        if any(edges[id] & chosen for id in chosen):
            continue
        if fsum(weights[id] for id in chosen) > fsum(weights[id] for id in best):
            best = chosen
    return best
