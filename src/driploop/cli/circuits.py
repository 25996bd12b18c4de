"""``driploop circuits``: what each old circuit is, what it may have ahead of it, and why."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from driploop.cli.main import FINE
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from rich.console import Console

    from driploop.circuits import Protection
    from driploop.installation import Graph


def circuits(arguments: Namespace) -> int:
    """Print the protection of every circuit of a job, of one panel with ``--at``."""
    from driploop.cli.commands import plan_of, print_json
    from driploop.documents.circuits import by_panel, protections_of

    plan = plan_of(arguments.job)
    found, proposed = protections_of(plan)
    groups = by_panel(plan.final.graph, proposed if proposed is not None else found)
    before = by_panel(plan.found.graph, found)
    if arguments.at is not None and arguments.at not in groups and arguments.at not in before:
        raise DriploopError(
            f'--at "{arguments.at}": no circuit of this job starts there.\n'
            f"There are: {', '.join(id for id in groups if id) or 'none yet'}."
        )
    if arguments.json:
        print_json(
            {
                "edition": plan.edition.name,
                "found": _data(before, arguments.at),
                "proposed": _data(groups, arguments.at) if proposed is not None else None,
            }
        )
        return FINE
    state = "as proposed" if proposed is not None else "as found"
    if proposed is not None and arguments.at is not None and arguments.at not in groups:
        groups, state, graph = before, "as found", plan.found.graph
    else:
        graph = plan.final.graph
    _show(graph, groups, state, arguments.at, worksheets=arguments.worksheets)
    return FINE


def _data(groups: Mapping[str, Sequence[Protection]], at: str | None) -> dict[str, Any]:
    from driploop.documents.circuits import protection_data

    return {
        panel: [protection_data(each) for each in circuits] for panel, circuits in groups.items() if at in (None, panel)
    }


def _show(
    graph: Graph, groups: Mapping[str, Sequence[Protection]], state: str, at: str | None, *, worksheets: bool
) -> None:
    from rich.console import Console

    from driploop.cli.columns import put
    from driploop.cli.show import CAUTION
    from driploop.documents.circuits import title_of_panel

    console = Console(highlight=False)
    put(console, f"Circuits and their protection, {state}", style="bold underline")
    if not any(at in (None, panel) for panel in groups):
        put(console, "No circuit is listed yet: enter under [circuits] what each fuse or breaker feeds.")
    for panel, circuits in groups.items():
        if at not in (None, panel):
            continue
        console.print()
        put(console, f"{title_of_panel(graph, panel)}{f' ({panel})' if panel else ''}", style="bold")
        for each in circuits:
            _circuit(console, each, worksheets=worksheets)
    console.print()
    put(console, CAUTION)


def _circuit(console: Console, each: Protection, *, worksheets: bool) -> None:
    from driploop.cli.columns import put, put_rows
    from driploop.cli.show import STYLES
    from driploop.documents.circuits import largest, start_words, until_then

    put(console, f"{each.title}: {each.wire}", 2, hang=2, style="bold")
    rows = [("found", each.found_words), ("largest", _largest_words(each, largest(each)))]
    breaker = each.device.words
    if each.refused:
        breaker = "; ".join(filter(None, ("new wire" if each.new_wire else "ask first", until_then(each))))
    rows.append(("put in", ", ".join(filter(None, (breaker, start_words(each))))))
    put_rows(console, rows, 4, least=(len("largest"),))
    for remark in each.remarks:
        if remark.words not in (each.found_words, each.refused):
            words = f"- {remark.verdict.value}: {remark.words} ({remark.section})"
            put(console, words, 4, hang=2, style=STYLES[remark.verdict].replace("bold ", ""))
    if worksheets:
        lines = [(x.what, x.working, x.result.text, x.result.section) for x in each.worksheet.lines]
        put_rows(console, lines, 4, right=(2,))


def _largest_words(each: Protection, answer: str) -> str:
    if each.refused:
        return f"{answer}: {each.refused}"
    if each.exception is not None:
        return f"{answer}, by the exception for {each.exception.name}; the wire alone takes {each.ordinary_a:g} A"
    return answer
