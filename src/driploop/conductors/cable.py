"""Which cable, as it is commonly made up, has conductors no smaller than those a run needs."""

from __future__ import annotations

from driploop.editions import Table, common_table
from driploop.editions.table import Row
from driploop.installation.kinds import Metal
from driploop.installation.sizes import SIZES, rank
from driploop.worksheet import Cited, WorksheetWriter


def cable_as_made(method: str, *, metal: Metal, line: str, neutral: str, egc: str | None) -> Cited | None:
    """Smallest cable of the trade whose line, neutral and grounding conductors are none too small.

    Args:
        method: "SE cable", "SER cable" or "USE cable"; None is returned for others.
        metal: "copper" or "aluminum".
        line: least line conductor.
        neutral: least neutral.
        egc: least equipment ground; None for a run of three wires.

    Returns:
        The make-up ("4/0-4/0-4/0-2/0"), None where the trade's tables here have none.

    Source: makers' sheets as named in the tables.
    """
    table = _table(method, metal, four_wires=egc is not None)
    if table is None:
        return None
    for row in table.rows:
        if egc is not None and row["insulated_conductors"] != 3:
            continue
        # In a four-wire cable the third insulated conductor is the neutral, as large as the lines.
        least = {"size": line if egc is None or rank(line) >= rank(neutral) else neutral}
        least |= {"neutral_size": neutral} if egc is None else {"ground_size": egc}
        if _large_enough(row, least):
            return table.cite(row, "configuration")
    return None


def _table(method: str, metal: Metal, *, four_wires: bool) -> Table | None:
    if four_wires and method in ("SE cable", "SER cable"):
        return common_table("cable_ser_aluminum" if metal == "aluminum" else "cable_ser_copper")
    if metal == "aluminum" and not four_wires and method in ("SE cable", "USE cable"):
        return common_table("cable_seu" if method == "SE cable" else "cable_urd_triplex")
    return None


def _large_enough(row: Row, least: dict[str, str]) -> bool:
    return all(rank(_as_sized(str(row[column]))) >= rank(size) for column, size in least.items())


def _as_sized(made: str) -> str:
    """A made-up conductor as the code's tables size it: one they leave out, as 5 AWG, counts as the next smaller."""
    while made not in SIZES:
        made = f"{int(made.removesuffix(' AWG')) + 1} AWG"
    return made


def write_cable(
    writer: WorksheetWriter, method: str | None, *, metal: Metal, line: str, neutral: str | None, egc: str | None
) -> None:
    """One line with the cable as made, keyed ``cable``, where the run is a cable the trade's tables have."""
    if method is None or neutral is None:
        return
    made = cable_as_made(method, metal=metal, line=line, neutral=neutral, egc=egc)
    if made is not None:
        writer.cite("Cable as commonly made", f"{method}, no conductor smaller", made, key="cable")
