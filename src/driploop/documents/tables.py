"""Tables of the packet as plain data: a head, rows of text. The template draws them and decides nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict, dataclass
from typing import Any

NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its head, its share of the width, and whether it holds numbers."""

    head: str
    share: float = 1.0
    number: bool = False


@dataclass(frozen=True, slots=True)
class TableData:
    """A table ready for paper. ``rows`` hold text only."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    note: str = ""

    def as_data(self) -> dict[str, Any]:
        """The table as JSON-ready data."""
        return asdict(self)


def known(value: object, unit: str = "") -> str:
    """A fact of the survey as text; "not known" for None, yes or no for truth, no decimals that say nothing."""
    if value is None:
        return NOT_KNOWN
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(str(each) for each in value) or "none"
    if isinstance(value, float):
        value = f"{value:,.2f}".rstrip("0").rstrip(".")
    elif isinstance(value, int):
        value = f"{value:,}"
    return f"{value} {unit}".rstrip()


def stated(value: object, unit: str = "") -> str:
    """As ``known``, but a dash for None: for columns in which an empty place is no question."""
    return "–" if value is None else known(value, unit)


def table(
    title: str,
    columns: Sequence[tuple[str, float] | tuple[str, float, bool]],
    items: Iterable[Any],
    row: Callable[[Any], Sequence[str]],
    *,
    note: str = "",
) -> TableData:
    """A table of ``items``, one row each."""
    return TableData(title, tuple(Column(*c) for c in columns), tuple(tuple(row(item)) for item in items), note)
