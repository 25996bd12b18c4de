"""The lawful ways to build it on paper: side by side in figures, why and why not, what was folded away or refused."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from driploop.alternatives import Alternative, Comparison, Folded, Stage, Staging
from driploop.documents.places import place_words
from driploop.documents.schedules import Cite
from driploop.documents.tables import table
from driploop.documents.text import sentence
from driploop.documents.ways import (
    NO_WAY,
    NotOffered,
    against,
    asked_first,
    figure_rows,
    is_held,
    mending_lines,
    not_offered,
    part_title,
    proposed_id,
    stage_work,
    with_every_way,
)
from driploop.installation import Installation
from driploop.planning import Plan

#: So many ways stand side by side in one table.
SIDE_BY_SIDE = 4
PROPOSED = "as proposed"
HELD = "a listed system holds the load to its set point; no key of a job file says so yet, so it must be said by hand"


def compared_data(comparison: Comparison, staging: Staging | None, plan: Plan, cite: Cite) -> dict[str, Any]:
    """The comparison as JSON-ready data.

    Args:
        comparison: the ways, best first.
        staging: the stages of a farm's work, None where the site is no farm.
        plan: the plan, to name places and to mark the way that is proposed.
        cite: the register's, for worksheets of alternatives.
    """
    found, offered = plan.found.installation, comparison.offered
    numbers = {each.id: str(number) for number, each in enumerate(offered, start=1)}
    proposed, every = proposed_id(comparison, plan.proposed), with_every_way(offered)
    refused = [each.title for each in comparison.refused if each.id == proposed]
    return {
        "none": "" if offered else NO_WAY,
        "order": ", then ".join(comparison.order),
        "proposed_refused": refused[0] if refused else "",
        "tables": [_side_by_side(group, numbers, proposed, cite) for group in _groups(offered)],
        "each": [_told(each, numbers[each.id], every, found, proposed=each.id == proposed) for each in offered],
        "steps": [
            [numbers[step.before], numbers[step.after], f"{sentence('; '.join(step.words))}."]
            for step in comparison.steps
        ],
        "every": [sentence(words) for words in mending_lines(every)],
        "shared": [[place_words(f.where, found), sentence(f.wrong), sentence(f.mend), f.section]
                   for f in comparison.shared],
        "folded": [_folded(comparison.folded, numbers, proposed)] if comparison.folded else [],
        "refused": [_refused(not_offered(comparison.refused))] if comparison.refused else [],
        "stages": [_stage(each) for each in staging.stages] if staging is not None else [],
        "no_stages": [sentence(reason) for reason in staging.refused] if staging is not None else [],
    }  # fmt: skip


def _groups(offered: Sequence[Alternative]) -> Iterator[Sequence[Alternative]]:
    for at in range(0, len(offered), SIDE_BY_SIDE):
        yield offered[at : at + SIDE_BY_SIDE]


def _side_by_side(
    group: Sequence[Alternative], numbers: Mapping[str, str], proposed: str | None, cite: Cite
) -> dict[str, Any]:
    return {
        "heads": [[numbers[each.id], each.title, PROPOSED if each.id == proposed else ""] for each in group],
        "rows": [[name, [[sentence(words), small] for words, small in shown]] for name, shown in figure_rows(group)],
        "sheets": [cite(each.figures.worksheet, place=each.title) for each in group],
    }


def _told(
    way: Alternative, number: str, every: Sequence[str], found: Installation, *, proposed: bool
) -> dict[str, Any]:
    asked = [f"{part_title(f.where, way, found)} ({f.where}): {f.wrong}" for f in asked_first(way)]
    lists = (
        ("Why", way.why),
        ("Why not", against(way)),
        ("Answer first", asked),
        ("Mended with it", mending_lines(words for words in way.mendings if words not in every)),
        ("Held", (HELD,) if is_held(way) else ()),
    )
    return {
        "number": number,
        "title": way.title,
        "id": way.id,
        "mark": PROPOSED if proposed else "",
        "lists": [[head, [sentence(words) for words in said]] for head, said in lists if said],
    }


def _folded(folded: Sequence[Folded], numbers: Mapping[str, str], proposed: str | None) -> dict[str, Any]:
    def row(each: Folded) -> tuple[str, ...]:
        mark = f", {PROPOSED}" if each.alternative.id == proposed else ""
        return f"{each.alternative.title}{mark}", numbers[each.by], sentence(each.worse)

    return table("", ["Way", "Beaten by", "Not better in any figure, and worse in"], folded, row).as_data()


def _refused(groups: Sequence[NotOffered]) -> dict[str, Any]:
    def row(group: NotOffered) -> tuple[str, ...]:
        reasons = " ".join(f"{sentence(reason).rstrip('.')}." for reason in group.reasons)
        return "; ".join(group.titles), reasons, ", ".join(group.sections)

    return table("", ["Way", "Why it is not offered", "Section"], groups, row).as_data()


def _stage(stage: Stage) -> dict[str, Any]:
    lists = [*stage_work(stage), ("Stays", stage.stays), ("Not lawful", stage.why_not)]
    asked = len(stage.needs_answers)
    return {
        "number": str(stage.number),
        "title": stage.title,
        "standing": "lawful in itself" if stage.lawful else "not lawful in itself",
        "lists": [[head, _parts(head, said)] for head, said in lists if said],
        "asked": f"{asked} places are still to be asked about in this stage." if asked else "",
    }


def _parts(head: str, said: Sequence[str]) -> str | list[str]:
    """The names of parts on one line; work on each, which has stops of its own, as a list."""
    return [sentence(words) for words in said] if head == "Mended" else f"{'; '.join(said)}."
