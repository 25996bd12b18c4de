"""``driploop town``: what a place asks beyond the edition, and what another edition would change."""

from __future__ import annotations

import tomllib
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from driploop.cli.main import FINE, MEND
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from driploop.editions import Overlay
    from driploop.editions.differences import LocalLine
    from driploop.installation import Job
    from driploop.what_if import PlanDifference


def town(arguments: Namespace) -> int:
    """Print the local rules of a job or an overlay; with ``--if-edition``, the job under two editions.

    Returns the exit code: 1 where the job under the other edition has findings that must be mended.
    """
    from driploop.planning import FALLBACK_EDITION

    if _is_overlay(arguments.file):
        if arguments.if_edition:
            raise DriploopError(
                f"{arguments.file}: an overlay by itself has no plan; give --if-edition a job file that names it."
            )
        from driploop.editions import read_overlay

        overlay = read_overlay(Path(arguments.file))
        return _local_rules(arguments, arguments.edition or FALLBACK_EDITION, [overlay])
    from driploop.cli.commands import overlays_of
    from driploop.survey import read_job

    job = read_job(arguments.file)
    edition = arguments.edition or job.town.edition or FALLBACK_EDITION
    overlays = overlays_of(arguments.file, job)
    if arguments.if_edition:
        return _what_if(arguments, job, edition, overlays)
    return _local_rules(arguments, edition, overlays)


def _is_overlay(file: str) -> bool:
    """Whether a file is an overlay; what cannot be read is left to the reader of job files, which says why."""
    try:
        return "overlay" in tomllib.loads(Path(file).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return False


def _local_rules(arguments: Namespace, name: str, overlays: Sequence[Overlay]) -> int:
    from driploop.editions import load_edition
    from driploop.editions.differences import local_lines

    edition = load_edition(name, overlays=overlays)
    lines = local_lines(edition)
    if arguments.json:
        _print_json({"edition": edition.name, "differs": [asdict(line) for line in lines]})
    else:
        _show_lines(edition.name, overlays, lines)
    return FINE


def _show_lines(edition: str, overlays: Sequence[Overlay], lines: Sequence[LocalLine]) -> None:
    from rich.console import Console

    from driploop.cli.columns import put

    console = Console(highlight=False)
    put(console, f"What differs here from {edition}", style="bold")
    if not overlays:
        put(console, "Nothing: the job names no overlay of town or utility. Each is a file named by  overlay  under "
            "[town] or [utility].")  # fmt: skip
    for overlay in overlays:
        console.print()
        put(console, f"{overlay.name} ({overlay.kind})", style="bold underline")
        mine = [line for line in lines if line.overlay == overlay.name]
        if not mine:
            put(console, "Nothing differs from the plain edition.", 2)
        for line in mine:
            put(console, f"- {_line_words(line)}", 2, hang=2)
            put(console, f"{line.section} · said by {line.source}", 4, style="dim")
            if line.checked:
                put(console, f"checked against the survey: {line.checked}", 4, style="dim")
            elif line.what == "added":
                put(console, "not checked: it is listed with the findings, to be seen to", 4, style="dim")


def _line_words(line: LocalLine) -> str:
    if line.what == "forbidden":
        return f"Forbidden: {line.title}. {line.now.rstrip('.')}."
    if line.what == "changed":
        return f"{line.title}: {line.before} becomes {line.now.rstrip('.')}."
    return f"{line.title}: {line.now}"


def _what_if(arguments: Namespace, job: Job, edition: str, overlays: Sequence[Overlay]) -> int:
    from driploop.what_if import editions_compared

    found = editions_compared(job, edition, arguments.if_edition, overlays=overlays)
    if arguments.json:
        _print_json(_difference_data(found))
    else:
        _show_difference(found)
    return MEND if found.after.must_mend else FINE


def _difference_data(found: PlanDifference) -> dict[str, Any]:
    return {
        "before": found.before.edition.name,
        "after": found.after.edition.name,
        "must_mend": {"before": len(found.before.must_mend), "after": len(found.after.must_mend)},
        "changes": [asdict(change) for change in found.changes],
        "not_known": [asdict(each) for each in found.not_known],
    }


def _show_difference(found: PlanDifference) -> None:
    from rich.console import Console

    from driploop.cli.columns import put

    console = Console(highlight=False)
    before, after = found.before, found.after
    state = "proposed" if after.proposed else "found"
    put(console, f"{before.job.header.title}, as {state}", style="bold")
    put(console, f"{before.edition.name} against {after.edition.name}")
    if not found.changes:
        put(console, "No answer of this job differs.")
    for topic in dict.fromkeys(change.topic for change in found.changes):
        console.print()
        put(console, topic.capitalize(), style="bold underline")
        for change in found.of(topic):
            put(console, f"- {change.where}: {change.what}", 2, hang=2, style="bold")
            put(console, _with_section(before.edition.name, change.before, change.section_before), 4, hang=2)
            put(console, _with_section(after.edition.name, change.after, change.section_after), 4, hang=2)
    if found.not_known:
        console.print()
        put(console, f"Not known of {after.edition.name}, so not compared", style="bold underline")
        for each in found.not_known:
            section = f" ({each.section})" if each.section else ""
            put(console, f"- {each.what}{section}: {each.why.rstrip('.')}.", 2, hang=2)
    console.print()
    put(console, f"To be mended: {len(before.must_mend)} under {before.edition.name}, "
        f"{len(after.must_mend)} under {after.edition.name}.")  # fmt: skip


def _with_section(edition: str, words: str, section: str) -> str:
    return f"{edition}: {words or 'nothing'}{f' ({section})' if words and section else ''}"


def _print_json(data: Any) -> None:
    from driploop.cli.commands import print_json

    print_json(data)
