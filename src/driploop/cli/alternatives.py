"""``driploop alternatives``: the lawful ways to build the service, best first, and one of them taken into the file."""

from __future__ import annotations

import shlex
from argparse import Namespace
from collections.abc import Iterable, Sequence
from difflib import get_close_matches
from typing import TYPE_CHECKING

from driploop.cli.main import FINE, MEND
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from rich.console import Console

    from driploop.alternatives import Alternative, Comparison, Folded, Staging
    from driploop.planning import Plan
    from driploop.worksheet import Finding

#: So many ways stand side by side at the most; fewer where the width is short.
SIDE_BY_SIDE = 5
HELD = (
    "No key of a job file says yet that a listed system holds the load: until then check finds the service too small, "
    "and the conditions of this way stand only here."
)


def alternatives(arguments: Namespace) -> int:
    """Print the ways of a job, or one in full, or write one into the job file."""
    from driploop.alternatives import alternatives_of, checked_order, staged_of
    from driploop.cli.commands import plan_of, print_json

    if arguments.replace and arguments.take is None:
        raise DriploopError("--replace: say with which way: --take ID --replace")
    words = [word.strip() for word in arguments.order.split(",")] if arguments.order is not None else None
    order = checked_order(words, where="--order") if words is not None else None
    plan = plan_of(arguments.job)
    comparison = alternatives_of(plan.job, edition=plan.edition, order=order)
    if arguments.take is not None:
        return _take(arguments, plan, _way(comparison, arguments.take, "--take"))
    if arguments.way is not None:
        way = _way(comparison, arguments.way, "--way")
        if arguments.json:
            from driploop.documents.ways_data import way_data

            print_json(way_data(way))
        else:
            _in_full(plan, way)
        return FINE
    staging = staged_of(plan.job, edition=plan.edition) if plan.job.found.site_kind == "farm" else None
    if arguments.json:
        from driploop.documents.ways_data import comparison_data

        print_json({"edition": plan.edition.name, **comparison_data(comparison, staging, plan.proposed)})
    else:
        _show(arguments.job, plan, comparison, staging)
    return FINE if comparison.offered else MEND


def _way(comparison: Comparison, id: str, option: str) -> Alternative:
    every = (*comparison.offered, *(folded.alternative for folded in comparison.folded))
    for way in every:
        if way.id == id:
            return way
    for refused in comparison.refused:
        if refused.id == id:
            why = "; ".join(refused.reasons).rstrip(".")
            raise DriploopError(f"{option} {id}: {refused.title} is not offered: {why}.")
    ids = [way.id for way in every]
    near = get_close_matches(id, ids, n=1)
    hint = f" Did you mean {near[0]}?" if near else ""
    raise DriploopError(f"{option} {id}: no way of this job has that id.{hint}\nThere are: {', '.join(ids) or 'none'}.")


# --- taking one ----------------------------------------------------------------------------------------------------


def _take(arguments: Namespace, plan: Plan, way: Alternative) -> int:
    from rich.console import Console

    from driploop.cli.columns import put
    from driploop.documents.ways import asked_first, is_held, part_title
    from driploop.survey import changes_between, update_job

    console = Console(highlight=False)
    changes = changes_between(plan.job, way.job)
    if not changes:
        put(console, f"{arguments.job} proposes this already: {way.title}. Nothing was written.", hang=2)
        return FINE
    if plan.job.proposal is not None and not arguments.replace:
        raise DriploopError(
            f"{arguments.job}: states a proposal already, and it is left as it is.\n"
            f"To put {way.title} in its place: driploop alternatives {shlex.quote(arguments.job)} "
            f"--take {way.id} --replace\nComments beside what goes will go with it; all others stay."
        )
    update_job(arguments.job, changes)
    put(console, f"{arguments.job} now proposes: {way.title}. Comments and order are kept.", hang=2)
    for finding in asked_first(way):
        put(console, f"- to be answered first, {part_title(finding.where, way, plan.found.installation)} "
            f"({finding.where}): {finding.wrong}", 2, hang=2)  # fmt: skip
    if is_held(way):
        put(console, HELD)
    put(console, f"Then: driploop check {shlex.quote(arguments.job)}")
    return FINE


# --- all of them ---------------------------------------------------------------------------------------------------


def _show(job: str, plan: Plan, comparison: Comparison, staging: Staging | None) -> None:
    from rich.console import Console

    from driploop.cli.columns import put
    from driploop.cli.show import CAUTION, head
    from driploop.documents.ways import NO_WAY, proposed_id, with_every_way

    console = Console(highlight=False)
    head(console, plan)
    _title(console, "Ways to build it, best first")
    if comparison.offered:
        put(console, f"Ranked by: {', '.join(comparison.order)}.", hang=2)
        _side_by_side(console, comparison.offered)
    else:
        put(console, NO_WAY, style="bold red")
    proposed, every = proposed_id(comparison, plan.proposed), with_every_way(comparison.offered)
    for number, way in enumerate(comparison.offered, start=1):
        _told(console, number, way, plan, every, proposed=way.id == proposed)
    _steps(console, comparison)
    _shared(console, comparison.shared, every, plan)
    _folded(console, comparison.folded, comparison.offered, proposed)
    _refused(console, comparison, proposed)
    _staging(console, staging)
    console.print()
    if comparison.offered:
        name = shlex.quote(job)
        put(console, f"One in full, its figures worked out: driploop alternatives {name} --way ID", hang=2)
        put(console, f"One taken into the job file: driploop alternatives {name} --take ID", hang=2)
        console.print()
    put(console, CAUTION)


def _title(console: Console, words: str) -> None:
    from driploop.cli.columns import put

    console.print()
    put(console, words, style="bold underline")


def _side_by_side(console: Console, ways: Sequence[Alternative]) -> None:
    from driploop.cli.columns import put_rows
    from driploop.documents.ways import figure_rows

    at = 0
    while at < len(ways):
        for count in range(min(SIDE_BY_SIDE, len(ways) - at), 0, -1):
            group = ways[at : at + count]
            rows = [["", *(f"({at + place})" for place in range(1, count + 1))]]
            for name, shown in figure_rows(group):
                rows.append([name, *(f"{words} ({small})" if small else words for words, small in shown)])
            console.print()
            if put_rows(console, rows, right=range(1, count + 1), styles=["bold"]):
                break
        at += count


def _told(console: Console, number: int, way: Alternative, plan: Plan, every: Iterable[str], *, proposed: bool) -> None:
    from driploop.cli.columns import put
    from driploop.documents.ways import against, asked_first, mending_lines, part_title

    console.print()
    put(console, f"({number}) {way.title}{', which the job file proposes' if proposed else ''}", hang=4, style="bold")
    put(console, way.id, 4, style="dim")
    put(console, f"Why: {'; '.join(way.why)}.", 4, hang=2)
    if said := against(way):
        put(console, f"Why not: {'; '.join(said)}.", 4, hang=2)
    for finding in asked_first(way):
        place = part_title(finding.where, way, plan.found.installation)
        put(console, f"Answer first: {place} ({finding.where}): {finding.wrong}", 4, hang=2, style="yellow")
    own = mending_lines(words for words in way.mendings if words not in every)
    if own:
        put(console, "Mended with it:", 4)
    for words in own:
        put(console, f"- {words}", 6, hang=2)


def _steps(console: Console, comparison: Comparison) -> None:
    from driploop.cli.columns import put

    if not comparison.steps:
        return
    _title(console, "What changes from one to the next")
    for number, step in enumerate(comparison.steps, start=1):
        put(console, f"({number}) to ({number + 1}): {'; '.join(step.words)}.", 2, hang=2)


def _shared(console: Console, shared: Sequence[Finding], every: Sequence[str], plan: Plan) -> None:
    from driploop.cli.columns import put
    from driploop.documents.places import place_words
    from driploop.documents.ways import mending_lines

    if shared:
        _title(console, "To be mended whichever way is taken")
        for f in shared:
            place = place_words(f.where, plan.found.installation)
            put(console, f"- {place}: {f.wrong} {f.mend} ({f.section})", 2, hang=2)
    if every:
        _title(console, "Work that comes with every one of these ways")
        for words in mending_lines(every):
            put(console, f"- {words}", 2, hang=2)


def _folded(console: Console, folded: Sequence[Folded], offered: Sequence[Alternative], proposed: str | None) -> None:
    from driploop.cli.columns import put

    if not folded:
        return
    _title(console, "Lawful too, but another is better")
    numbers = {way.id: number for number, way in enumerate(offered, start=1)}
    for each in folded:
        way = each.alternative
        mark = ", which the job file proposes" if way.id == proposed else ""
        put(console, f"- {way.title}{mark} ({way.id}): beaten by ({numbers[each.by]}); {each.worse}", 2, hang=2)


def _refused(console: Console, comparison: Comparison, proposed: str | None) -> None:
    from driploop.cli.columns import put
    from driploop.documents.text import sentence
    from driploop.documents.ways import not_offered

    if not comparison.refused:
        return
    _title(console, "Not offered")
    for each in comparison.refused:
        if each.id == proposed:
            put(console, f"The job file proposes one of these: {each.title}.", 2, style="bold red")
    for group in not_offered(comparison.refused):
        sections = f" ({', '.join(group.sections)})" if group.sections else ""
        reasons = " ".join(f"{sentence(reason).rstrip('.')}." for reason in group.reasons)
        put(console, f"- {'; '.join(group.titles)}: {reasons}{sections}", 2, hang=2)


def _staging(console: Console, staging: Staging | None) -> None:
    from driploop.cli.columns import put
    from driploop.documents.text import sentence
    from driploop.documents.ways import stage_work

    if staging is None:
        return
    _title(console, "Built in stages")
    for stage in staging.stages:
        standing = "lawful in itself" if stage.lawful else "not lawful in itself"
        put(console, f"Stage {stage.number}. {stage.title}: {standing}", 2, hang=2, style="bold")
        for name, parts in stage_work(stage):
            put(console, f"{name}: {'; '.join(parts)}.", 4, hang=2)
        for words in stage.stays:
            put(console, f"Stays: {words}.", 4, hang=2)
        if stage.needs_answers:
            put(console, f"Open in this stage: {len(stage.needs_answers)} places to be asked about.", 4, hang=2)
    for reason in staging.refused:
        put(console, f"- {sentence(reason)}.", 2, hang=2)


# --- one in full ---------------------------------------------------------------------------------------------------


def _in_full(plan: Plan, way: Alternative) -> None:
    from rich.console import Console

    from driploop.cli.columns import put
    from driploop.cli.show import CAUTION, finding_list, head, worksheet
    from driploop.documents.ways import against, is_held, mending_lines

    console = Console(highlight=False)
    head(console, plan)
    console.print()
    put(console, way.title, style="bold underline")
    put(console, f"{way.id}, {way.standing}", style="dim")
    put(console, f"Why: {'; '.join(way.why)}.", hang=2)
    if said := against(way):
        put(console, f"Why not: {'; '.join(said)}.", hang=2)
    if is_held(way):
        put(console, HELD, hang=2)
    for title, said in (("What follows", way.consequences), ("Mended with it", mending_lines(way.mendings))):
        if said:
            _title(console, title)
            for words in said:
                put(console, f"- {words}", 2, hang=2)
    _title(console, "Metal and method")
    for choice in way.choices:
        sizes = "; ".join(choice.sizes.values())
        why_not = f"; not possible: {'; '.join(choice.why_not)}" if choice.why_not else ""
        mark = "taken: " if choice.chosen else ""
        put(console, f"- {mark}{choice.title}: {sizes or 'no size'}{why_not}", 2, hang=2)
    worksheet(console, way.figures.worksheet)
    finding_list(console, "Findings", plan, way.readings, way.findings)
    console.print()
    put(console, CAUTION)
