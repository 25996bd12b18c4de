"""Symmetric complex equations solved by elimination in a given order, and the parts of the inverse that are asked for.

A network that is a tree, numbered from its far ends to its source, fills in nothing: the cost is that of its length.
"""

from __future__ import annotations

from collections.abc import Sequence

Rows = list[dict[int, complex]]


class Factors:
    """A symmetric matrix as L D L', from its upper triangle; row k holds column k and what lies right of it."""

    __slots__ = ("_columns", "_inverse", "_pivots")

    def __init__(self, rows: Rows) -> None:
        """Factor in place: ``rows`` is used up. Raises ZeroDivisionError where a node hangs in the air."""
        columns: list[list[tuple[int, complex]]] = []
        pivots: list[complex] = []
        for k, row in enumerate(rows):
            pivot = row.pop(k)
            entries = sorted(row.items())
            column = [(j, value / pivot) for j, value in entries]
            for place, (j, share) in enumerate(column):
                target = rows[j]
                for i, value in entries[place:]:
                    target[i] = target.get(i, 0j) - share * value
            columns.append(column)
            pivots.append(pivot)
        self._columns, self._pivots = columns, pivots
        self._inverse: Rows | None = None

    def solve(self, right: Sequence[complex]) -> list[complex]:
        """The unknowns for one right-hand side."""
        x = list(right)
        columns = self._columns
        for k, column in enumerate(columns):
            value = x[k]
            if value:
                for j, share in column:
                    x[j] -= share * value
        for k in range(len(x) - 1, -1, -1):
            value = x[k] / self._pivots[k]
            for j, share in columns[k]:
                value -= share * x[j]
            x[k] = value
        return x

    def inverse(self, i: int, j: int) -> complex:
        """One element of the inverse, between two nodes that the matrix or its elimination joins.

        The first call works out all such elements, from the last row to the first, each once.

        Raises:
            KeyError: nothing joins the two; ``solve`` with a unit on the right gives that element.

        Source: Takahashi, Fagan and Chen, Formation of a sparse bus impedance matrix, 1973; the formula from memory.
        """
        if self._inverse is None:
            self._inverse = self._selected()
        low, high = (i, j) if i <= j else (j, i)
        return self._inverse[low][high]

    def _selected(self) -> Rows:
        inverse: Rows = [{} for _ in self._pivots]
        for k in range(len(self._pivots) - 1, -1, -1):
            column = self._columns[k]
            row = inverse[k]
            own = 1 / self._pivots[k]
            for i, share in column:
                total = 0j
                for j, other in column:
                    total -= other * (inverse[i][j] if i <= j else inverse[j][i])
                row[i] = total
                own -= share * total
            row[k] = own
        return inverse
