"""The riser drawing: each place in elevation, from the attachment and the roof down to the electrodes in the earth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from driploop.drawings import site_places, symbols
from driploop.drawings.display import (
    DASHED,
    HEAVY,
    MEDIUM,
    NAME,
    PORTRAIT,
    THIN,
    Drawing,
    Group,
    Item,
    Rect,
    Text,
)
from driploop.drawings.legend import Entry
from driploop.drawings.riser_pen import HEAD, RiserBlock
from driploop.drawings.riser_rows import riser_block
from driploop.drawings.sheets import finished, moved, room_taken
from driploop.drawings.symbols import line
from driploop.rules.readings import Readings

BLOCK_GAP = 16.0

RISER_KEY: tuple[Entry, ...] = (
    (lambda x, y: (line((x, y), (x + 20, y), dash=site_places.DASHES["overhead"]),), "through the air"),
    (lambda x, y: (line((x, y), (x + 20, y), dash=DASHED),), "in the earth"),
    (lambda x, y: (line((x, y), (x + 20, y), dash=site_places.DOTTED),), "way not known"),
    (lambda x, y: (line((x, y), (x + 20, y), weight=MEDIUM),), "conduit or cable, kept"),
    (lambda x, y: (line((x, y), (x + 20, y), weight=HEAVY),), "new"),
    (lambda x, y: (Rect(x, y - 5, 18, 10, THIN),), "enclosure, kept"),
    (lambda x, y: (Rect(x, y - 5, 18, 10, HEAVY),), "new"),
    (lambda x, y: (Rect(x, y - 5, 18, 10, THIN, DASHED),), "taken out or replaced"),
    (lambda x, y: symbols.earth(x + 10, y - 5), "grounding electrode"),
    (lambda x, y: (line((x + 6, y - 9), (x + 6, y + 9)), line((x + 10, y - 9), (x + 10, y + 9))), "wall or pole"),
)
NOTES = (
    site_places.SCHEMATIC,
    "Heights are above grade at that place; the height of a handle is above the floor or ground one stands on. Lines "
    "without a dot only cross.",
)


@dataclass(slots=True)
class _Sheet:
    items: list[Item] = field(default_factory=list)
    places: list[str] = field(default_factory=list)
    y: float = 0.0


def risers(readings: Readings, *, title: str = "Riser") -> tuple[Drawing, ...]:
    """The riser drawing, each sheet made for a letter page.

    Args:
        readings: the installation, as found or as proposed, with its readings.
        title: what stands on top of every sheet.

    Returns:
        The sheets in order, each with its key; none where no enclosure is listed.
    """
    blocks = [riser_block(readings, place) for place in site_places.places(readings).values() if place.equipment]
    notes = (*NOTES, *site_places.not_drawn(readings))
    sheets = _flowed(blocks, PORTRAIT.height - room_taken(RISER_KEY, notes, PORTRAIT.width))
    return tuple(
        finished(
            sheet.items, sheet.y, page=PORTRAIT, id=f"riser-{readings.installation.state}-{number}", title=title,
            description=f"Riser drawing, not to scale: {', '.join(dict.fromkeys(sheet.places))}.", number=number,
            count=len(sheets), entries=RISER_KEY, notes=notes if number == len(sheets) else NOTES,
        )
        for number, sheet in enumerate(sheets, 1)
    )  # fmt: skip


def _flowed(blocks: Sequence[RiserBlock], room: float) -> list[_Sheet]:
    """The blocks on as few sheets as their order allows; one that is taller than a sheet goes on over its end."""
    sheets: list[_Sheet] = []
    for block in blocks:
        if not sheets or sheets[-1].y + BLOCK_GAP + block.height > room:
            sheets.append(_Sheet())
        for number, piece in enumerate(_pieces(block, room)):
            if number:
                sheets.append(_Sheet())
            sheet = sheets[-1]
            top = sheet.y + (BLOCK_GAP if sheet.items else 0.0)
            sheet.items += moved(piece.items, 0, top)
            sheet.places.append(block.place.title)
            sheet.y = top + piece.height
    return sheets


@dataclass(frozen=True, slots=True)
class _Piece:
    """The part of a block that stands on one sheet, from its own top."""

    items: tuple[Item, ...]
    height: float


def _pieces(block: RiserBlock, room: float) -> Iterator[_Piece]:
    first = 0
    while first < len(block.strips):
        head = HEAD if first else 0.0
        start = block.strips[first].y0
        last = first
        while last + 1 < len(block.strips) and block.strips[last + 1].y1 - start + head <= room:
            last += 1
        end = block.strips[last].y1
        items: list[Item] = []
        if first:
            rule = line((0, HEAD - 4), (PORTRAIT.width, HEAD - 4))
            words = f"{block.place.title}, continued"
            items.append(Group(f"onward/{block.place.id}", words, (Text(0, 10, words, NAME, True), rule)))
        for strip in block.strips[first : last + 1]:
            items += moved(strip.items, 0, head - start)
        ways = tuple(
            line(
                (u.x, max(u.y0, start) + head - start),
                (u.x, min(u.y1, end) + head - start),
                weight=u.weight,
                dash=u.dash,
            )
            for u in block.uprights
            if min(u.y0, u.y1) < end and max(u.y0, u.y1) > start
        )
        yield _Piece((*items, Group(f"way/{block.place.id}", "conduits and cables", ways)), end - start + head)
        first = last + 1
