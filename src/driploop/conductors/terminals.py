"""Which temperature column the terminals at the ends of a conductor allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from driploop.editions import Edition
from driploop.worksheet import Cited


@dataclass(frozen=True, slots=True)
class Terminal:
    """One end. ``marked_c`` is what its label says, None where nobody read it; ``is_new``: bought today."""

    name: str
    marked_c: int | None = None
    is_new: bool = False


@dataclass(frozen=True, slots=True)
class TerminalLimit:
    """The lower column of all ends. ``assumed_new`` names the small-circuit ends taken as marked for the higher
    column because they are new, ``unread`` those left at the lower one."""

    temperature_c: int
    working: str
    cited: Cited
    assumed_new: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()


def terminal_temperature(circuit_a: float, ends: Sequence[Terminal], *, edition: Edition) -> TerminalLimit:
    """Column of the ampacity table that the terminals allow.

    Args:
        circuit_a: rating of the circuit: its overcurrent device, or its load where there is none. [A]
        ends: the terminals it lands on; none gives the column that the rating alone allows.
        edition: the code edition to ask.

    Returns:
        The lowest column any end allows [C]. A small circuit's unmarked old terminals take the lower column; new
        equipment is taken as marked for the higher (common practice; ``assumed_new`` names it, its label decides).

    Source: the edition's rule on temperature limits of terminals.
    """
    small = edition.value("small_terminal_temperature_c")
    large = edition.value("large_terminal_temperature_c")
    limit = edition.value("small_terminal_limit")
    by_rating = large if circuit_a > limit.number else small
    columns = [_column(end, by_rating=by_rating, large=large) for end in ends]
    lowest = min([c.number for c in columns], default=by_rating.number)
    cited = large if lowest >= large.number else small
    over = "over" if circuit_a > limit.number else "not over"
    marks = ", ".join(f"{end.name} {_mark(end, large)}" for end in ends) or "ends not known"
    return TerminalLimit(
        temperature_c=int(lowest),
        working=f"{circuit_a:g} A, {over} {limit.number:g} A; {marks}",
        cited=cited,
        assumed_new=tuple(e.name for e in ends if e.marked_c is None and e.is_new and by_rating is small),
        unread=tuple(e.name for e in ends if e.marked_c is None and not e.is_new and by_rating is small),
    )


def _column(end: Terminal, *, by_rating: Cited, large: Cited) -> Cited:
    if end.marked_c is not None:
        # A terminal of equipment is never used above the large column, whatever a connector's own mark says.
        return Cited(min(end.marked_c, int(large.number)), "C", large.section)
    return large if end.is_new else by_rating


def _mark(end: Terminal, large: Cited) -> str:
    if end.marked_c is not None:
        return f"marked {end.marked_c} C"
    return f"new, taken as marked {large.text}" if end.is_new else "mark not known"
