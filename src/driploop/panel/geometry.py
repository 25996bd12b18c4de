"""Where a space sits: its row, side and line, and how far a wire has to go to it."""

from __future__ import annotations

from driploop.panel.results import Leg, PanelBox, PanelCircuit, Side

INCHES_PER_FOOT = 12.0


def row_of(space: int) -> int:
    """The row of a space, counted from 0 at the top."""
    return (space - 1) // 2


def side_of(space: int) -> Side:
    """Odd numbers stand on the left, even ones on the right."""
    return "left" if space % 2 else "right"


def leg_of(space: int) -> Leg:
    """The line that feeds a space: rows take A and B in turn, both sides of a row the same."""
    return "B" if row_of(space) % 2 else "A"


def space_at(row: int, side: Side) -> int:
    """The number of the space in a row (from 0) and on a side."""
    return 2 * row + (1 if side == "left" else 2)


def rows_of(box: PanelBox) -> int:
    """How many rows a box has."""
    return (box.spaces + 1) // 2


def wire_needed_in(box: PanelBox, circuit: PanelCircuit, space: int) -> float:
    """Free wire that a circuit needs inside the enclosure to reach a space. [in]

    A wire from the top or the bottom goes along the gutter past the rows; one from a side comes in at mid-height and
    goes up or down, and across the box to the far column.
    """
    down = box.top_to_first_row_in + row_of(space) * box.row_pitch_in
    whole = box.top_to_first_row_in + (rows_of(box) - 1) * box.row_pitch_in + box.last_row_to_bottom_in
    match circuit.enters:
        case "left" | "right":
            far = 0.0 if side_of(space) == circuit.enters else box.across_in
            return abs(down - whole / 2) + far + box.side_gutter_in
        case "bottom":
            return whole - down + box.side_gutter_in
        case _:
            return down + box.side_gutter_in


def reaches(box: PanelBox, circuit: PanelCircuit, space: int) -> bool:
    """Whether a circuit's wire is long enough for a space; a wire of unknown length is not short."""
    if circuit.reach_ft is None:
        return True
    return wire_needed_in(box, circuit, space) <= circuit.reach_ft * INCHES_PER_FOOT
