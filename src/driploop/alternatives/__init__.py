"""Ways to build the new service: from what was found to what is proposed, and which of the lawful ways is best.

Public: ``propose`` and ``with_sizes`` (build), ``read_installation`` (reading), ``alternatives_of`` (search),
``staged_of`` (staged), ``parse_order``, ``checked_order``, ``order_of``
(order), the types of ``results``, ``ProposalError`` (errors).
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from driploop.alternatives.build import propose, with_sizes
    from driploop.alternatives.errors import ProposalError
    from driploop.alternatives.order import DEFAULT_ORDER, OrderError, checked_order, order_of, parse_order
    from driploop.alternatives.reading import read_installation
    from driploop.alternatives.results import (
        Alternative,
        Choice,
        Comparison,
        Figures,
        Folded,
        Refused,
        Stage,
        Staging,
        Step,
    )
    from driploop.alternatives.search import alternatives_of
    from driploop.alternatives.staged import staged_of

__all__ = [
    "DEFAULT_ORDER",
    "Alternative",
    "Choice",
    "Comparison",
    "Figures",
    "Folded",
    "OrderError",
    "ProposalError",
    "Refused",
    "Stage",
    "Staging",
    "Step",
    "alternatives_of",
    "checked_order",
    "order_of",
    "parse_order",
    "propose",
    "read_installation",
    "staged_of",
    "with_sizes",
]

_HOMES = {
    "DEFAULT_ORDER": "order", "OrderError": "order", "checked_order": "order",
    "order_of": "order", "parse_order": "order", "ProposalError": "errors",
    "alternatives_of": "search", "propose": "build", "with_sizes": "build", "read_installation": "reading",
    "staged_of": "staged",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    # Loaded on first use: a plan of a proposal that is stated needs no search for others.
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES.get(name, 'results')}"), name)
