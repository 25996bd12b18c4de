"""The lawful ways to build it on paper: side by side in figures, why and why not, what was folded away or refused."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from driploop.alternatives.results import Alternative, Comparison, Figures
from driploop.documents.places import place_words
from driploop.documents.schedules import Cite, amperes
from driploop.documents.tables import NOTHING, table
from driploop.documents.text import sentence
from driploop.installation import Installation
from driploop.worksheet import plain

#: So many ways stand side by side in one table.
SIDE_BY_SIDE = 4
#: A row of the comparison: its head, and what each way has there, words and small words below.
Row = tuple[str, list[tuple[str, str]]]


def comparison_data(comparison: Comparison, cite: Cite, found: Installation) -> dict[str, Any]:
    """The comparison as JSON-ready data.

    Args:
        comparison: the ways, best first.
        cite: the register's, for worksheets of alternatives.
        found: the installation as found, to name the places that must be known first.
    """
    offered = comparison.offered
    numbers = {each.id: number for number, each in enumerate(offered, start=1)}
    return {
        "order": ", then ".join(comparison.order),
        "tables": [_side_by_side(group, numbers, cite) for group in _groups(offered)],
        "each": [_told(each, numbers[each.id], found) for each in offered],
        "steps": [
            {"before": numbers.get(step.before, 0), "after": numbers.get(step.after, 0),
             "words": [sentence(words) for words in step.words]}
            for step in comparison.steps
        ],
        "folded": [_folded(comparison, numbers)] if comparison.folded else [],
        "refused": [_refused(comparison)] if comparison.refused else [],
        "shared": [[place_words(f.where, found), sentence(f.wrong), sentence(f.mend), f.section]
                   for f in comparison.shared],
    }  # fmt: skip


def _groups(offered: Sequence[Alternative]) -> Iterator[Sequence[Alternative]]:
    for at in range(0, len(offered), SIDE_BY_SIDE):
        yield offered[at : at + SIDE_BY_SIDE]


def _side_by_side(group: Sequence[Alternative], numbers: dict[str, int], cite: Cite) -> dict[str, Any]:
    return {
        "heads": [[str(numbers[each.id]), each.title] for each in group],
        "rows": [[head, cells] for head, cells in _rows(group) if any(cell != (NOTHING, "") for cell in cells)],
        "sheets": [cite(each.figures.worksheet, place=each.title) for each in group],
    }


def _rows(group: Sequence[Alternative]) -> Iterator[Row]:
    figures = [each.figures for each in group]
    yield "Standing", [(sentence(each.standing), "") for each in group]
    yield "Metal and method", [((chosen.title if (chosen := each.chosen) else NOTHING), "") for each in group]
    yield "Service rating", _each(figures, lambda f: (amperes(f.rating_a), ""))
    yield "Room left, governing method", _each(figures, lambda f: (_room(f.headroom_a), ""))
    yield from _by_method(figures)
    yield from _wishes(figures)
    yield "Old circuits that move", _each(figures, lambda f: (str(len(f.circuits_touched)), ""))
    yield "Old circuits to be extended", _each(figures, lambda f: (str(len(f.circuits_extended)), ""))
    yield (
        "Three-wire ranges and dryers renewed",
        _each(figures, lambda f: (str(len(f.three_wire_lost)), ", ".join(f.three_wire_lost))),
    )
    yield "New conductor", _each(figures, _conductor)
    yield "Enclosures", _each(figures, lambda f: (f"{f.enclosures_new} new of {f.enclosures_total}", ""))
    yield (
        "Steps that need the power off",
        _each(figures, lambda f: (f"{len(f.power_off_steps)} of {len(f.steps)}", f"{f.power_off_share:.0%}")),
    )


def _each(figures: Iterable[Figures], cell: Callable[[Figures], tuple[str, str]]) -> list[tuple[str, str]]:
    return [cell(each) for each in figures]


def _by_method(figures: Sequence[Figures]) -> Iterator[Row]:
    titles = dict.fromkeys((room.method, room.title) for each in figures for room in each.by_method)
    for method, title in titles:
        cells = []
        for each in figures:
            room = next((room for room in each.by_method if room.method == method), None)
            words = NOTHING if room is None or room.headroom_a is None else _room(room.headroom_a)
            decides = room is None or room.permitted == "yes"
            cells.append((words, "" if decides or words == NOTHING else _permitted(room.permitted if room else "")))
        yield f"Room left, {title[:1].lower()}{title[1:]}", cells


def _permitted(word: str) -> str:
    return {"no": "not permitted here", "ask": "ask first"}.get(word, word)


def _wishes(figures: Sequence[Figures]) -> Iterator[Row]:
    titles = dict.fromkeys((step.wish, step.title) for each in figures for step in each.wish_steps)
    for wish, title in titles:
        cells = []
        for each in figures:
            step = next((step for step in each.wish_steps if step.wish == wish), None)
            cells.append((NOTHING, "") if step is None else (_room(step.headroom_a), ""))
        yield f"Room left with {title}", cells


def _room(headroom_a: float) -> str:
    return amperes(headroom_a) if headroom_a >= 0 else f"short by {amperes(-headroom_a)}"


def _conductor(figures: Figures) -> tuple[str, str]:
    sizes = "; ".join(f"{size} {plain(round(length))} ft" for size, length in figures.conductor_ft.items())
    unknown = f"length not known: {', '.join(figures.length_unknown)}" if figures.length_unknown else ""
    return f"{plain(round(figures.conductor_total_ft))} ft", "; ".join(part for part in (sizes, unknown) if part)


def _told(each: Alternative, number: int, found: Installation) -> dict[str, Any]:
    return {
        "number": str(number),
        "title": each.title,
        "lists": [
            [head, [sentence(words) for words in said]]
            for head, said in (
                ("Why", each.why),
                ("Why not", each.why_not),
                ("What follows", each.consequences),
                ("Mended with it", each.mendings),
                ("Must be known first", tuple(_asked(path, found) for path in each.needs_answers)),
            )
            if said
        ],
    }


def _asked(path: str, found: Installation) -> str:
    words = place_words(path, found)
    return f"{words} ({path})" if words != path else path


def _folded(comparison: Comparison, numbers: dict[str, int]) -> dict[str, Any]:
    def row(folded: Any) -> tuple[str, ...]:
        by = numbers.get(folded.by)
        return folded.alternative.title, f"number {by}" if by else folded.by, sentence(folded.reason)

    return table("", ["Way", "Beaten by", "Reason"], comparison.folded, row).as_data()


def _refused(comparison: Comparison) -> dict[str, Any]:
    return table(
        "", ["Way", "Why it is not offered", "Section"], comparison.refused,
        lambda r: (r.title, "; ".join(sentence(reason) for reason in r.reasons), ", ".join(dict.fromkeys(r.sections))),
    ).as_data()  # fmt: skip
