"""Findings and loads on a terminal."""

from __future__ import annotations

from rich.console import Console
from rich.markup import escape
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from driploop.documents.cover import headroom_words
from driploop.documents.schedules import amperes
from driploop.loads.results import NodeLoad
from driploop.planning import Plan
from driploop.rules import Readings
from driploop.worksheet import Finding, Verdict, Worksheet, gathered

STYLES = {Verdict.MEND: "bold red", Verdict.ASK: "bold yellow", Verdict.KNOW: "bold blue"}
CAUTION = (
    "Line-side conductors stay live until the utility opens them. De-energize, lock out, test before touch. "
    "The authority having jurisdiction and a licensed electrician decide."
)


def findings(plan: Plan) -> None:
    """Every finding, gravest first, then the assumptions."""
    console = Console(highlight=False)
    _head(console, plan)
    if plan.proposed is not None:
        _finding_list(console, "In the installation as proposed", plan.proposed_findings)
    _finding_list(console, "In the installation as found", plan.found_findings)
    if plan.assumptions:
        console.print(f"\n[bold]Assumed, because the survey does not know[/bold] ({len(plan.assumptions)})")
        for places, a in gathered(plan.assumptions):
            console.print(Padding(f"[bold]{escape(', '.join(places))}[/bold]: {escape(a.assumed)}", (0, 0, 0, 2)))
            console.print(Padding(f"[dim]safe because {escape(a.why_safe)}; what would change it: "
                                  f"{escape(a.would_change)}[/dim]", (0, 0, 0, 4)))  # fmt: skip
    console.print(f"\n[dim]{CAUTION}[/dim]")


def _head(console: Console, plan: Plan) -> None:
    town = plan.job.town.name or "town not named"
    console.print(f"[bold]{escape(plan.job.header.title)}[/bold]  {plan.edition.name}, {escape(town)}")


def _finding_list(console: Console, title: str, found: tuple[Finding, ...]) -> None:
    console.print(f"\n[bold]{title}[/bold]")
    if not found:
        console.print("  No rule of the catalogue has anything to say.")
    for verdict in Verdict:
        group = [f for f in found if f.verdict is verdict]
        if not group:
            continue
        console.print(Text(f"  {verdict.value} ({len(group)})", STYLES[verdict]))
        for f in group:
            console.print(Padding(f"[bold]{escape(f.wrong)}[/bold]  [dim]{escape(f.where)} · {escape(f.section)} · "
                                  f"{f.rule}[/dim]", (0, 0, 0, 4)))  # fmt: skip
            console.print(Padding(escape(f.mend), (0, 0, 0, 6)))


def loads(plan: Plan, *, at: str | None, worksheets: bool) -> None:
    """The load of every enclosure; with ``at``, of one with its worksheets."""
    console = Console(highlight=False)
    _head(console, plan)
    for title, readings in (("As found", plan.found), ("As proposed", plan.proposed)):
        if readings is not None:
            _load_table(console, title, readings, at)
            if worksheets or at is not None:
                for sheet in _sheets(readings, at):
                    _worksheet(console, sheet)
    words = headroom_words(plan.headroom, {})
    if words:
        console.print(f"\n{escape(words)}")
    if plan.headroom is not None and at is None:
        _steps(console, plan)
    if plan.assumptions and at is None:
        console.print(
            f"[dim]{len(plan.assumptions)} facts were assumed on the safe side: driploop check lists them.[/dim]"
        )


def _load_table(console: Console, title: str, readings: Readings, at: str | None) -> None:
    table = Table(title=title, title_justify="left", title_style="bold", box=None, pad_edge=False, padding=(0, 2, 0, 0))
    table.add_column("Enclosure")
    table.add_column("Method")
    table.add_column("Section")
    table.add_column("Load", justify="right")
    table.add_column("Current", justify="right")
    table.add_column("Standing")
    table.add_column("Neutral", justify="right")
    for id, node in readings.loads.nodes.items():
        if at is None or id == at:
            _node_rows(table, readings, node)
    console.print()
    console.print(table)


def _node_rows(table: Table, readings: Readings, node: NodeLoad) -> None:
    name = readings.installation.equipment[node.equipment].title
    for result in node.results:
        governs = result is node.governing
        standing = "governs" if governs else {"yes": "permitted", "no": "not permitted", "ask": "ask"}[result.permitted]
        load = "not computed" if result.load_va is None else f"{result.load_va:,.0f} VA"
        table.add_row(
            escape(name), result.title, result.section, load, amperes(result.current_a), standing,
            amperes(node.neutral.current_a) if governs else "", style="bold" if governs else "",
        )  # fmt: skip
        name = ""


def _sheets(readings: Readings, at: str | None) -> list[Worksheet]:
    nodes = [node for id, node in readings.loads.nodes.items() if at is None or id == at]
    sheets = [s for n in nodes for s in (*(r.worksheet for r in n.results), n.worksheet, n.neutral.worksheet)]
    return list({sheet.id: sheet for sheet in sheets if sheet.lines}.values())


def _worksheet(console: Console, sheet: Worksheet) -> None:
    table = Table(title=sheet.title, title_justify="left", title_style="bold", box=None, show_header=False,
                  pad_edge=False, padding=(0, 2, 0, 0))  # fmt: skip
    table.add_column()
    table.add_column()
    table.add_column(justify="right")
    table.add_column()
    for line in sheet.lines:
        table.add_row(
            escape(line.what), escape(line.working), escape(line.result.text), f"[dim]{line.result.section}[/dim]"
        )
    console.print()
    console.print(table)


def _steps(console: Console, plan: Plan) -> None:
    assert plan.headroom is not None
    for step in plan.headroom.steps:
        fits = "fits" if step.fits else "does not fit"
        console.print(f"  with {escape(step.title)}: {amperes(step.load_a)}, {fits}")
