"""What an insulation withstands: its temperature class in dry and in wet places."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType

from driploop.editions import NotInTable, common_table
from driploop.editions.table import Row
from driploop.worksheet import Assumption


@lru_cache(maxsize=1)
def _types() -> Mapping[str, Row]:
    return MappingProxyType({str(row["insulation"]): row for row in common_table("insulation_types").rows})


@lru_cache(maxsize=1)
def lowest_class() -> int:
    """The lowest temperature class there is: that of an insulation nobody could name. [C]"""
    return min(int(row["dry_c"]) for row in _types().values() if isinstance(row["dry_c"], int))


@lru_cache(maxsize=1)
def highest_class() -> int:
    """The highest temperature class there is. [C]"""
    return max(int(row["dry_c"]) for row in _types().values() if isinstance(row["dry_c"], int))


def insulation_row(insulation: str) -> Row:
    """Everything known of an insulation. Raises NotInTable listing the names."""
    row = _types().get(insulation)
    if row is None:
        raise NotInTable(f"insulation {insulation!r} is not known; the names are: {', '.join(_types())}.")
    return row


def made_for_wet_places(insulation: str) -> bool:
    """Whether the insulation may be used in wet places. Raises NotInTable listing the names."""
    return insulation_row(insulation)["wet_c"] is not None


def insulation_class(insulation: str | None, *, wet: bool) -> int:
    """Temperature class of an insulation where it runs. [C]

    Args:
        insulation: its marking ("THWN-2"), or None when nobody could read one.
        wet: whether it runs in a wet place: outdoors, underground, in a raceway exposed to weather.

    Returns:
        60, 75 or 90. The lowest for an unknown insulation, and for one that is not made for wet places but runs there.

    Raises:
        NotInTable: no such insulation; the message lists the names.

    Source: the trade's table of insulations, from memory of the code's table of conductor applications.
    """
    if insulation is None:
        return lowest_class()
    row = insulation_row(insulation)
    rated = row["wet_c"] if wet else row["dry_c"]
    return int(rated) if isinstance(rated, int) else lowest_class()


def unknown_insulation(where: str) -> Assumption:
    """The assumption that goes with an insulation nobody could read."""
    return Assumption(
        where,
        f"{lowest_class()} C insulation",
        "the lowest class there is: old rubber, cloth and early thermoplastic",
        "a marking on the wire or cable such as THW, XHHW, THWN-2 or USE-2 raises what it may carry",
    )
