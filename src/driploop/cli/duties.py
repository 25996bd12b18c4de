"""``driploop duties`` and ``driploop disconnects``: what the change awakens, and what becomes of old switches."""

from __future__ import annotations

from argparse import Namespace
from typing import TYPE_CHECKING

from driploop.cli.main import FINE, MEND

if TYPE_CHECKING:
    from rich.console import Console

    from driploop.circuits import OldDisconnect
    from driploop.documents.duties import DutyGroup
    from driploop.rules import Readings

_WHERE = {True: "as proposed", False: "as found; nothing is proposed yet"}


def duties(arguments: Namespace) -> int:
    """Print every duty of a job with its answer."""
    from driploop.cli.commands import plan_of, print_json
    from driploop.documents.duties import duty_data, grouped_duties

    plan = plan_of(arguments.job)
    final = plan.final
    if arguments.json:
        read = [duty_data(duty) for duty in final.duties]
        print_json({"edition": plan.edition.name, "state": final.installation.state, "duties": read})
        return FINE
    console = _console(f"Duties this change awakens, {plan.edition.name}, {_WHERE[final.proposed]}")
    groups = grouped_duties(final.duties)
    for title, answer in (("Awakened", "yes"), ("To ask the office", "ask the office"), ("Not awakened", "no")):
        there = [group for group in groups if group.first.answer == answer]
        if there:
            _put(console, title, style="bold underline")
            for group in there:
                _duty(console, final, group)
            console.print()
    if not groups:
        _put(console, "No circuit of this survey is touched by a duty: list the circuits first.")
    return FINE


def disconnects(arguments: Namespace) -> int:
    """Print what becomes of every old disconnect; 1 where a decision must be mended."""
    from driploop.cli.commands import plan_of, print_json
    from driploop.documents.old_disconnects import LEAD, old_disconnect_data

    plan = plan_of(arguments.job)
    final = plan.final
    wrong = any(each.must_mend for each in final.old_disconnects)
    if arguments.json:
        read = [old_disconnect_data(each) for each in final.old_disconnects]
        print_json({"edition": plan.edition.name, "state": final.installation.state, "disconnects": read})
        return MEND if wrong else FINE
    console = _console(f"What becomes of each old disconnect, {plan.edition.name}, {_WHERE[final.proposed]}")
    for each in final.old_disconnects:
        _disconnect(console, each)
    if not final.old_disconnects:
        _put(console, "No old switch or panel is listed: enter what hangs on the wall under [equipment].")
    _put(console, LEAD)
    return MEND if wrong else FINE


def _console(title: str) -> Console:
    from rich.console import Console

    console = Console(highlight=False)
    _put(console, title, style="bold")
    console.print()
    return console


def _put(console: Console, words: str, indent: int = 0, *, hang: int = 0, style: str = "") -> None:
    from driploop.cli.columns import put

    put(console, words, indent, hang=hang, style=style)


def _duty(console: Console, final: Readings, group: DutyGroup) -> None:
    first = group.first
    console.print()
    _put(console, f"{first.title}: {group.answer} [{first.section or 'common practice'}]", 2, hang=2, style="bold")
    _put(console, f"{group.names(final.installation, final.found)}.", 4)
    _put(console, first.reason, 4)
    if first.answer != "no":
        _put(console, f"Do: {first.do}", 4, hang=2)
    if group.unseen:
        _put(console, f"Settled by: {group.unseen}.", 4, hang=2)
    for reading in first.readings:
        _put(console, f"- read so: {reading}", 4, hang=2)
    _put(console, f"{'If it were' if first.answer == 'no' else 'To buy or do'}: {group.needs}.", 4, hang=2)


def _disconnect(console: Console, each: OldDisconnect) -> None:
    from driploop.documents.old_disconnects import outcome_words, settled_by
    from driploop.documents.text import sentence

    section = f" [{each.section}]" if each.section else ""
    _put(console, f"{sentence(each.title)}: {outcome_words(each)}{section}", hang=2, style="bold")
    _put(console, each.reason, 2)
    if each.wrong:
        called = "Must be mended" if each.must_mend else "Must be asked"
        _put(console, f"{called}: {each.wrong}", 2, hang=2, style="bold red" if each.must_mend else "bold yellow")
    _put(console, f"Do: {each.do}", 2, hang=2)
    if each.assumptions:
        _put(console, f"Settled by: {settled_by(each)}.", 2, hang=2)
    for room in each.rooms:
        for line in room.worksheet.lines:
            _put(console, f"{line.what}: {line.working} = {line.result.text} {line.result.section}".rstrip(), 4, hang=2)
    for reading in each.readings:
        _put(console, f"- read so: {reading}", 2, hang=2)
    console.print()
