"""Several small drawings under each other on as many sheets as they need."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from driploop.drawings.display import PORTRAIT, Drawing, Item
from driploop.drawings.legend import Entry
from driploop.drawings.sheets import finished, moved, room_taken

_GAP = 16.0


@dataclass(frozen=True, slots=True)
class Block:
    """One small drawing from its own upper left corner, as wide as a portrait page; ``height`` in points."""

    items: tuple[Item, ...]
    height: float
    words: str


def stacked(
    blocks: Sequence[Block], *, id: str, title: str, entries: Sequence[Entry], notes: Sequence[str]
) -> tuple[Drawing, ...]:
    """The blocks on portrait sheets, each sheet with its head and key; no sheet where there are no blocks."""
    room = PORTRAIT.height - room_taken(entries, notes, PORTRAIT.width)
    sheets: list[list[Block]] = []
    used = 0.0
    for block in blocks:
        if not sheets or used + block.height > room:
            sheets.append([])
            used = 0.0
        sheets[-1].append(block)
        used += block.height + _GAP
    return tuple(
        _sheet(sheet, id=f"{id}-{number}", title=title, number=number, count=len(sheets), entries=entries, notes=notes)
        for number, sheet in enumerate(sheets, start=1)
    )


def _sheet(
    blocks: Sequence[Block], *, id: str, title: str, number: int, count: int, entries: Sequence[Entry],
    notes: Sequence[str],
) -> Drawing:  # fmt: skip
    items: list[Item] = []
    y = 0.0
    for block in blocks:
        items += moved(block.items, 0, y)
        y += block.height + _GAP
    description = " ".join(block.words for block in blocks)
    return finished(
        items, y, page=PORTRAIT, id=id, title=title, description=description, number=number, count=count,
        entries=entries, notes=notes,
    )  # fmt: skip
