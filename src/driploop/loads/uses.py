"""A building whose use nobody stated: read as a home and as no home, and what asks for more stands at each place."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations, product

from driploop.editions import Edition
from driploop.installation import Building, Installation
from driploop.installation.kinds import BuildingUse
from driploop.loads.results import LoadResult, NodeLoad
from driploop.worksheet import Assumption, WorksheetWriter, plain

#: Up to so many unknown uses every combination is read; past that, each building against all others.
_ALL_COMBINATIONS = 3
_WHY = "what the buildings are used for is not known; the larger way of counting stands"


def other_readings(installation: Installation) -> Iterator[Installation]:
    """The installation with some buildings of unknown use taken for no home; those left unknown count as homes."""
    unknown = [building for building in installation.buildings.values() if building.use is None]
    few = len(unknown) <= _ALL_COMBINATIONS
    counts = sorted({*(range(1, len(unknown) + 1) if few else (1, len(unknown) - 1, len(unknown)))})
    # At a residence a garage counts with the one home that is left.
    uses: tuple[BuildingUse, ...] = ("other", "garage") if installation.site_kind == "residence" else ("other",)
    for use, count in product(uses, counts):
        for chosen in combinations(unknown, count):
            changed = {building.id: building.model_copy(update={"use": use}) for building in chosen}
            yield installation.model_copy(update={"buildings": {**installation.buildings, **changed}})


def larger_of(
    nodes: Sequence[NodeLoad],
    *,
    summary: Callable[[Sequence[LoadResult], LoadResult], WorksheetWriter],
    edition: Edition,
) -> NodeLoad:
    """The readings of one piece of equipment by several uses as one: load, conductors and neutral, each the most.

    Args:
        nodes: the readings; the first is that of homes.
        summary: begins the worksheet of the governing load from the results and the one that governs.
        edition: the code edition to ask.
    """
    stands = max(nodes, key=_size)
    conductor_a = max(node.conductor_current_a for node in nodes)
    neutral = max((node.neutral for node in nodes), key=lambda each: each.current_a)
    if stands is nodes[0] and conductor_a == stands.conductor_current_a and neutral is stands.neutral:
        return stands
    stated = {result.method for result in stands.results}
    others: dict[str, LoadResult] = {}
    for result in (each for node in nodes for each in node.results if each.method not in stated):
        before = others.get(result.method)
        if before is None or (result.load_va or 0.0) > (before.load_va or 0.0):
            others[result.method] = result
    results = [*stands.results, *(replace(each, permitted="ask", why=_WHY) for each in others.values())]
    sheet = summary(results, stands.governing)
    sheet.number(
        "For conductors and overcurrent devices",
        f"{_WHY}: {plain(stands.conductor_current_a)} A or {plain(conductor_a)} A",
        conductor_a,
        "A",
        edition.section("load-continuous"),
        key="conductor_current",
    )
    return replace(
        stands, results=tuple(results), neutral=neutral, conductor_current_a=conductor_a, worksheet=sheet.done()
    )


def _size(node: NodeLoad) -> tuple[float, float, float, list[tuple[str, float]]]:
    """What tells readings apart, so that the order of the buildings decides nothing."""
    methods = sorted((str(result.method), result.load_va or 0.0) for result in node.results)
    return node.load_va, node.conductor_current_a, node.neutral.current_a, methods


def use_not_known(building: Building) -> Assumption:
    """What is assumed of a building whose use nobody stated."""
    return Assumption(
        where=f"buildings.{building.id}.use",
        assumed="a home without the reductions of one, or no home: whichever asks for more at each place",
        why_safe="floor area, kitchen and laundry are added to what is listed; the plain sum may still be more",
        would_change="what the building is used for",
    )
