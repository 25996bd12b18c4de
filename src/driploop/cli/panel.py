"""``driploop panel``: which circuit lands in which space of each panel, how the lines balance, and the directory."""

from __future__ import annotations

from argparse import Namespace
from typing import TYPE_CHECKING

from driploop.cli.main import FINE
from driploop.worksheet import DriploopError, gathered, unique

if TYPE_CHECKING:
    from rich.console import Console

    from driploop.panel import PanelReading

EMPTY = "No panel will stand, as far as the survey says: enter it under [equipment]."


def panel(arguments: Namespace) -> int:
    """Print the layout of every panel of a job, of one with ``--at``."""
    from driploop.cli.commands import plan_of, print_json
    from driploop.documents.panel import panel_data

    plan = plan_of(arguments.job, panel_solver=arguments.solver)
    shown = [each for each in plan.panels if arguments.at in (None, each.equipment)]
    if arguments.at is not None and not shown:
        there = ", ".join(each.equipment for each in plan.panels) or "none yet"
        raise DriploopError(f'--at "{arguments.at}": no panel of this job has that id.\nThere are: {there}.')
    if arguments.json:
        print_json(
            {
                "edition": plan.edition.name,
                "state": "proposed" if plan.proposed else "found",
                "solver": arguments.solver,
                "panels": [panel_data(each) for each in shown],
            }
        )
        return FINE
    _show(shown, worksheets=arguments.worksheets)
    return FINE


def _show(panels: list[PanelReading], *, worksheets: bool) -> None:
    from rich.console import Console

    from driploop.cli.columns import put
    from driploop.cli.show import CAUTION

    console = Console(highlight=False)
    if not panels:
        put(console, EMPTY)
    for each in panels:
        _panel(console, each, worksheets=worksheets)
    asked = gathered(unique(note for each in panels for note in each.assumptions))
    if asked:
        put(console, "Assumed, because the survey does not know", style="bold underline")
        for places, note in asked:
            put(console, f"- {', '.join(places)}", 2, hang=2)
            put(console, f"assumed: {note.assumed}", 4, hang=2)
            put(console, f"what would change it: {note.would_change}", 4, hang=2, style="dim")
        console.print()
    put(console, CAUTION)


def _panel(console: Console, each: PanelReading, *, worksheets: bool) -> None:
    from driploop.cli.columns import put, put_rows
    from driploop.documents.panel import SHOWN, as_good_words, quality_words

    put(console, f"{each.title} ({each.equipment})", style="bold")
    for reason in each.refused:
        put(console, f"no layout: {reason}", 2, hang=2, style="yellow")
    if each.problem is not None:
        words = [each.problem.box.title, *(each.choice.why if each.choice else ())]
        put(console, "; ".join(words), 2, hang=2)
    if each.solved is not None:
        put(console, quality_words(each.solved), 2, hang=2)
        rows = [("hour", "line A", "line B", "neutral", "before")]
        rows += [
            (h.title, _a(h.line_a_a), _a(h.line_b_a), _a(h.neutral_a), _a(h.neutral_before_a)) for h in each.balance
        ]
        put_rows(console, rows, 2, right=(1, 2, 3, 4), heads=True)
        console.print()
        alike = as_good_words(each)
        for differs, neutral in alike[:SHOWN]:
            put(console, f"as good: {differs}; neutral then {', '.join(neutral)}", 2, hang=2)
        if len(alike) > SHOWN:
            put(console, f"and {len(alike) - SHOWN} more that are as good", 2)
        if alike:
            console.print()
        found = {trace.circuit: trace.found for trace in each.traces}
        lines = [(x.spaces, x.leg, x.amperes, x.words, found.get(x.circuit, "")) for x in each.directory]
        put_rows(console, [("space", "line", "A", "feeds", "found at"), *lines], 2, heads=True)
    if worksheets:
        console.print()
        sheet = [(x.what, x.working, x.result.text, x.result.section) for x in each.worksheet.lines]
        put_rows(console, sheet, 2, right=(2,))
    console.print()


def _a(value: float | None) -> str:
    return "not known" if value is None else f"{value:.1f} A"
