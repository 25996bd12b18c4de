"""The worksheet of a panel: its spaces, its balance hour by hour, and how good its layout is."""

from __future__ import annotations

from collections.abc import Sequence

from driploop.editions import Edition
from driploop.panel.choice import PanelNeed
from driploop.panel.cost import AMPERE, MOVE, ROW
from driploop.panel.results import HourBalance, PanelChoice, PanelProblem, Solved
from driploop.worksheet import Worksheet, WorksheetWriter, plain


def panel_sheet(
    id: str,
    title: str,
    need: PanelNeed,
    choice: PanelChoice | None,
    problem: PanelProblem | None,
    solved: Solved | None,
    balance: Sequence[HourBalance],
    *,
    edition: Edition,
) -> Worksheet:
    """Every number that a panel's papers show."""
    sheet = WorksheetWriter(f"panel/{id}", f"Panel layout, {title}")
    limit = edition.section("tandem-breakers") if edition.has("tandem-breakers") else ""
    sheet.number("Poles to land", "circuits and feeders, a two-pole breaker twice", need.poles, key="poles")
    if need.reserved:
        sheet.number("Spaces kept for later wishes", "by the wishes", need.reserved, key="reserved")
    if choice is not None:
        spare = f"at least {need.spare}: a stated part of those in use"
        sheet.number("Spaces wanted", f"{need.poles} + {need.reserved} + {need.spare} spare", need.wanted, key="wanted")
        sheet.write("Panel chosen", f"{choice.why[0]}; spare {spare}", choice.box.title, key="chosen")
    if problem is not None:
        box = problem.box
        words = f"{box.spaces} spaces, {len(box.tandem_spaces)} of them listed for tandem breakers"
        sheet.number("Poles that its label allows", words, box.circuits_max, "", limit, key="limit")
    for hour in balance:
        _hour(sheet, hour)
    if solved is not None:
        _goodness(sheet, solved)
    return sheet.done()


def _hour(sheet: WorksheetWriter, hour: HourBalance) -> None:
    sheet.number(f"{hour.title}: line A", "circuits on its rows", _tenth(hour.line_a_a), "A", key=f"{hour.id}/a")
    sheet.number(f"{hour.title}: line B", "circuits on its rows", _tenth(hour.line_b_a), "A", key=f"{hour.id}/b")
    working = f"{plain(_tenth(hour.line_a_a))} - {plain(_tenth(hour.line_b_a))}, the same power factor on both"
    sheet.number(f"{hour.title}: neutral", working, _tenth(hour.neutral_a), "A", key=f"{hour.id}/neutral")
    if hour.neutral_before_a is not None:
        words = "the same loads on the lines where they were found"
        before = _tenth(hour.neutral_before_a)
        sheet.number(f"{hour.title}: neutral before", words, before, "A", key=f"{hour.id}/before")


def _goodness(sheet: WorksheetWriter, solved: Solved) -> None:
    cost = solved.cost
    sheet.number("Worst difference of the lines", "largest of the hours, rounded up", cost.difference_a, "A",
                 key="difference")  # fmt: skip
    sheet.number("Rows over which rooms reach", "first row to last, rooms added up", cost.rows, "rows", key="rows")
    sheet.number("Circuits that leave their space", "of those that have one today", cost.moved, key="moved")
    working = f"{AMPERE} x {cost.difference_a} + {ROW} x {cost.rows} + {MOVE} x {cost.moved}"
    sheet.number("Cost of this layout", working, cost.total, key="cost")
    proof = "searched to the end" if solved.solver == "exact" else "each part at its own best"
    sheet.number("No layout costs less than", proof, solved.bound, key="bound")
    verdict = "nothing better exists" if solved.proven else f"at most {solved.gap_percent:.1f} % over the best"
    sheet.write("So this layout", f"({cost.total} - {solved.bound}) / {max(solved.bound, 1)}", verdict, key="proof")


def _tenth(amperes: float) -> float:
    return round(amperes, 1)
