"""The circuits of every panel on sheets of their own, where the one-line diagram has no room for them."""

from __future__ import annotations

from collections.abc import Sequence

from driploop.drawings.cells import ROW_HEIGHT, Row
from driploop.drawings.display import BODY, NAME, Group, Item, Text, shortened
from driploop.drawings.symbols import line
from driploop.drawings.words import circuit_row
from driploop.rules.readings import Readings

COLUMNS, GAP = 2, 18.0
HEAD = 26.0
#: Position, amperes and poles, what it serves, wire: parts of a column's width.
PARTS = (0.18, 0.13, 0.45, 0.24)
HEADINGS = ("space", "A/poles", "serves", "wire")


def circuit_sheets(
    readings: Readings, panels: Sequence[str], *, width: float, height: float
) -> list[tuple[tuple[Item, ...], float]]:
    """The circuits of these panels, flowing down two columns.

    Args:
        readings: the installation with its readings.
        panels: ids of the equipment, in order.
        width: of a sheet. [pt]
        height: of a sheet. [pt]

    Returns:
        For each sheet its items and how tall they are. [pt]
    """
    column = (width - GAP * (COLUMNS - 1)) / COLUMNS
    flow = _Flow(width=column, height=height)
    for panel in panels:
        rows = [circuit_row(circuit) for circuit in readings.graph.circuits_of(panel)]
        flow.panel(panel, readings.graph.equipment(panel).title, rows)
    return flow.done()


class _Flow:
    """Fills columns from the top down, sheet after sheet."""

    def __init__(self, *, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.sheets: list[list[Item]] = []
        self.depths: list[float] = []
        self.column, self.level = COLUMNS, 0.0

    def panel(self, id: str, title: str, rows: Sequence[Row]) -> None:
        """One panel's circuits; what does not fit goes on in the next column."""
        left, heading = list(rows), title
        while left:
            room = int((self.height - self.level - HEAD) // ROW_HEIGHT)
            if self.column >= COLUMNS or room < min(4, len(left)):
                self._next_column()
                continue
            self._table(id, heading, left[:room])
            left, heading = left[room:], f"{title}, continued"

    def _next_column(self) -> None:
        self.column += 1
        self.level = 0.0
        if self.column >= COLUMNS:
            self.column = 0
            self.sheets.append([])
            self.depths.append(0.0)

    def _table(self, id: str, heading: str, rows: Sequence[Row]) -> None:
        x, y = self.column * (self.width + GAP), self.level
        edges = [x + self.width * sum(PARTS[:i]) for i in range(len(PARTS))]
        items: list[Item] = [Text(x, y + 10, shortened(heading, self.width - 4, size=NAME * 1.1), NAME, True)]
        items += [Text(edge, y + 20, words, BODY, True) for edge, words in zip(edges, HEADINGS, strict=True)]
        items.append(line((x, y + 22.5), (x + self.width, y + 22.5)))
        for number, row in enumerate(rows, 1):
            level = y + HEAD + number * ROW_HEIGHT - 2
            for edge, part, words in zip(edges, PARTS, row, strict=True):
                items.append(Text(edge, level, shortened(words, self.width * part - 4)))
        self.sheets[-1].append(Group(f"circuits/{id}", heading, tuple(items)))
        self.level = y + HEAD + len(rows) * ROW_HEIGHT + 10
        self.depths[-1] = max(self.depths[-1], self.level)

    def done(self) -> list[tuple[tuple[Item, ...], float]]:
        """What was filled."""
        return [(tuple(items), depth) for items, depth in zip(self.sheets, self.depths, strict=True)]
