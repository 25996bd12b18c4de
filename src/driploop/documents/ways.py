"""Ways to build the service in words and rows, the same for paper and terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from driploop.alternatives import Alternative, Comparison, Figures, Refused, Stage
from driploop.documents.places import place_words
from driploop.documents.text import NOTHING, amperes
from driploop.installation import Installation
from driploop.rules import Readings
from driploop.worksheet import Finding, Verdict, plain

NO_WAY = "No way to build it is lawful as the survey stands; the reasons are below."
_ASKED = "to be answered first: "
_PERMITTED = {"yes": "", "no": "not permitted", "ask": "ask first"}
_CHANGES = {"added": "New", "removed": "Taken out", "changed": "Changed"}

#: What one way has in a row: words, and small words beneath them or "".
Shown = tuple[str, str]
#: A figure's name, what is a part of the figure before it with a dash ahead, and what each way has there.
Row = tuple[str, tuple[Shown, ...]]
PART = "- "


# --- figures side by side ------------------------------------------------------------------------------------------


def figure_rows(ways: Sequence[Alternative]) -> tuple[Row, ...]:
    """The figures of ways side by side, one row each; rows that say nothing of any are left out."""
    rows = (*_decided(ways), *_room(ways), *_circuits(ways), *_conductor(ways), *_work(ways))
    return tuple(row for row in rows if any(shown != (NOTHING, "") for shown in row[1]))


def _row(name: str, ways: Iterable[Alternative], cell: Callable[[Figures], Shown]) -> Row:
    return name, tuple(cell(each.figures) for each in ways)


def _decided(ways: Sequence[Alternative]) -> Iterator[Row]:
    yield "Standing", tuple((each.standing, "") for each in ways)
    yield _row("Service", ways, lambda f: (amperes(f.rating_a), ""))
    chosen = [dict(_method(choice.title) for choice in each.choices if choice.chosen) for each in ways]
    for group in dict.fromkeys(group for each in chosen for group in each):
        yield group[:1].upper() + group[1:], tuple((each.get(group, NOTHING), "") for each in chosen)


def _method(title: str) -> tuple[str, str]:
    group, _, method = title.partition(": ")
    return group, method


def _room(ways: Sequence[Alternative]) -> Iterator[Row]:
    yield _row("Room left", ways, lambda f: (_left(f.headroom_a), ""))
    methods = dict.fromkeys((room.method, room.title) for each in ways for room in each.figures.by_method)
    for method, title in methods:
        yield _row(f"{PART}by {title}", ways, lambda f, method=method: _by(f, method))  # type: ignore[misc]
    wishes = dict.fromkeys((step.wish, step.title) for each in ways for step in each.figures.wish_steps)
    for number, (wish, title) in enumerate(wishes):
        name = f"{PART}{'and ' if number else ''}with {title}"
        yield _row(name, ways, lambda f, wish=wish: _with(f, wish))  # type: ignore[misc]


def _left(headroom_a: float) -> str:
    return amperes(headroom_a) if round(headroom_a) >= 0 else f"{amperes(-headroom_a)} short"


def _by(figures: Figures, method: str) -> Shown:
    room = next((room for room in figures.by_method if room.method == method), None)
    if room is None or room.headroom_a is None:
        return NOTHING, ""
    return _left(room.headroom_a), _PERMITTED[room.permitted]


def _with(figures: Figures, wish: str) -> Shown:
    step = next((step for step in figures.wish_steps if step.wish == wish), None)
    return (NOTHING, "") if step is None else (_left(step.headroom_a), "")


def _circuits(ways: Sequence[Alternative]) -> Iterator[Row]:
    yield _row("Old circuits touched", ways, lambda f: (str(len(f.circuits_touched)), ""))
    yield _row(f"{PART}of these led on", ways, lambda f: (str(len(f.circuits_extended)), ""))
    lost = [[_served(each.readings, id) for id in each.figures.three_wire_lost] for each in ways]
    yield "Three-wire circuits lost", tuple((str(len(names)), ", ".join(names)) for names in lost)


def _served(readings: Readings, circuit: str) -> str:
    found = readings.installation.circuits[circuit]
    return found.serves or found.title


def _conductor(ways: Sequence[Alternative]) -> Iterator[Row]:
    yield _row("New conductor", ways, lambda f: (_feet(f.conductor_total_ft), _unmeasured(f)))
    for size in dict.fromkeys(size for each in ways for size in each.figures.conductor_ft):
        yield _row(f"{PART}{size}", ways, lambda f, size=size: (_feet(f.conductor_ft.get(size)), ""))  # type: ignore[misc]


def _feet(length_ft: float | None) -> str:
    return NOTHING if length_ft is None else f"{plain(round(length_ft))} ft"


def _unmeasured(figures: Figures) -> str:
    count = len(figures.length_unknown)
    return f"and {count} {'run' if count == 1 else 'runs'} of unknown length" if count else ""


def _work(ways: Sequence[Alternative]) -> Iterator[Row]:
    yield _row("Enclosures", ways, lambda f: (str(f.enclosures_total), ""))
    yield _row(f"{PART}of these new", ways, lambda f: (str(f.enclosures_new), ""))
    yield _row("Steps of work", ways, lambda f: (str(len(f.steps)), ""))
    yield _row(f"{PART}with the power off", ways, lambda f: (str(len(f.power_off_steps)), f"{f.power_off_share:.0%}"))


# --- each way in words ---------------------------------------------------------------------------------------------


def against(way: Alternative) -> tuple[str, ...]:
    """What speaks against a way, without what is only not known yet."""
    return tuple(words for words in way.why_not if not words.startswith(_ASKED))


def asked_first(way: Alternative) -> tuple[Finding, ...]:
    """What must be answered before a way is sure to be lawful."""
    asked = {words.removeprefix(_ASKED) for words in way.why_not if words.startswith(_ASKED)}
    return tuple(
        f for f in way.findings if f.verdict is Verdict.ASK and f.wrong in asked and f.where in way.needs_answers
    )


def with_every_way(ways: Sequence[Alternative]) -> tuple[str, ...]:
    """Mendings that come with every one of several ways."""
    if len(ways) < 2:
        return ()
    return tuple(words for words in ways[0].mendings if all(words in each.mendings for each in ways))


def mending_lines(mendings: Iterable[str]) -> tuple[str, ...]:
    """Mendings, those of one part together, no piece of work told twice."""
    lines: dict[str, dict[str, None]] = {}
    for words in mendings:
        name, _, work = words.partition(": ")
        lines.setdefault(name, {}).update(dict.fromkeys(work.split("; ")))
    return tuple(f"{name}: {'; '.join(work)}" for name, work in lines.items())


def part_title(where: str, way: Alternative, found: Installation) -> str:
    """The name of a part in a way, or as found."""
    return place_words(where, way.readings.installation, found)


def is_held(way: Alternative) -> bool:
    """Whether load management holds the way to a set point."""
    return any(room.method == "set point" for room in way.figures.by_method)


def proposed_id(comparison: Comparison, proposed: Readings | None) -> str | None:
    """The id of the way that the job file proposes, whether it is offered or not; None where nothing is proposed."""
    if proposed is None:
        return None
    every = (*comparison.offered, *(folded.alternative for folded in comparison.folded))
    same = (each.id for each in every if each.readings.installation == proposed.installation)
    ids = [*(each.id for each in every), *(each.id for each in comparison.refused)]
    stated = (id for id in ids if id.endswith("-as-proposed"))
    return next(same, None) or next(stated, None)


# --- ways that are not offered, and stages -------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class NotOffered:
    """Refused ways that have the same reasons."""

    titles: tuple[str, ...]
    reasons: tuple[str, ...]
    sections: tuple[str, ...]


def not_offered(refused: Iterable[Refused]) -> tuple[NotOffered, ...]:
    """The refused ways, those of one reason together."""
    groups: dict[tuple[str, ...], list[Refused]] = {}
    for each in refused:
        groups.setdefault(each.reasons, []).append(each)
    return tuple(
        NotOffered(
            tuple(each.title for each in group),
            reasons,
            tuple(dict.fromkeys(section for each in group for section in each.sections)),
        )
        for reasons, group in groups.items()
    )


def stage_work(stage: Stage) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The work of a stage: what is new, taken out, changed, and what is mended with it."""
    groups: dict[str, list[str]] = {name: [] for name in (*_CHANGES.values(), "Mended")}
    for words in stage.work:
        what, _, change = words.rpartition(": ")
        if change in _CHANGES:
            groups[_CHANGES[change]].append(what)
        else:
            groups["Mended"].append(words)
    groups["Mended"] = list(mending_lines(groups["Mended"]))
    return tuple((name, tuple(each)) for name, each in groups.items() if each)
