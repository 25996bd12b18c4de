"""Ways to build held against each other: what is shared, what is beaten, what speaks for each, what changes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import pairwise

from driploop.alternatives.results import Alternative, Figures, Folded, Step
from driploop.installation import Change, difference
from driploop.worksheet import plain

#: Words for each figure in which one way beats another: (better by, the figure as a number where less is better).
_LESS: Mapping[str, Callable[[Figures], float]] = {
    "room left": lambda f: -round(f.headroom_a, 1),
    "wishes for later that do not fit": lambda f: float(sum(not step.fits for step in f.wish_steps)),
    "room left with every wish": lambda f: -round(f.wish_steps[-1].headroom_a, 1) if f.wish_steps else 0.0,
    "amperes of service to buy": lambda f: f.rating_a if f.enclosures_new else 0.0,
    "circuits touched": lambda f: float(len(f.circuits_touched)),
    "circuits extended": lambda f: float(len(f.circuits_extended)),
    "three-wire circuits lost": lambda f: float(len(f.three_wire_lost)),
    "feet of new conductor": lambda f: round(f.conductor_total_ft, 1),
    "new enclosures": lambda f: float(f.enclosures_new),
    "steps with the supply off": lambda f: float(len(f.power_off_steps)),
}
#: So many words of difference from one way to the next; the parts themselves stand beside them.
_MOST_WORDS = 12
_SHOWN = ("equipment", "runs", "circuits", "electrodes")
_WORDS = {"added": "added", "removed": "gone", "changed": "changed"}


def folded_away(ranked: Sequence[Alternative]) -> tuple[tuple[Alternative, ...], tuple[Folded, ...]]:
    """The ways that no other beats, and those that one does: not better in any figure, worse in one.

    A way whose length of conductor is not known is not beaten by its feet. One with fewer open questions is not folded
    under one with more.
    """
    offered: list[Alternative] = []
    folded: list[Folded] = []
    for each in ranked:
        # Beating is transitive, so that only ways that themselves stand need be asked.
        by = next((other for other in ranked if other.id != each.id and _beats(other, each)), None)
        if by is None:
            offered.append(each)
    for each in ranked:
        by = next((other for other in offered if _beats(other, each)), None)
        if by is not None:
            worse = _worse(each, by)
            folded.append(Folded(each, by.id, worse, f"not better in any figure than {by.title}; {worse}"))
    return tuple(offered), tuple(folded)


def _beats(one: Alternative, other: Alternative) -> bool:
    mine, theirs = _numbers(one), _numbers(other)
    names = _comparable(one, other)
    if len(one.needs_answers) > len(other.needs_answers):
        return False
    return all(mine[name] <= theirs[name] for name in names) and any(mine[name] < theirs[name] for name in names)


def _comparable(one: Alternative, other: Alternative) -> list[str]:
    unknown = one.figures.length_unknown or other.figures.length_unknown
    return [name for name in _LESS if not (unknown and name == "feet of new conductor")]


def _numbers(each: Alternative) -> dict[str, float]:
    return {name: key(each.figures) for name, key in _LESS.items()}


def _worse(each: Alternative, by: Alternative) -> str:
    mine, theirs = _numbers(each), _numbers(by)
    worse = [name for name in _comparable(each, by) if mine[name] > theirs[name]]
    return "; ".join(f"{name}: {plain(abs(mine[name]))} against {plain(abs(theirs[name]))}" for name in worse)


def reasons(each: Alternative, every: Iterable[Alternative]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What speaks for a way and what against it, held against all the others that are lawful."""
    others = [other for other in every if other.id != each.id]
    f, why, why_not = each.figures, [], []
    if all(f.headroom_a >= other.figures.headroom_a for other in others) and f.headroom_a >= 0:
        why.append(f"the most room left: {f.headroom_a:.0f} A")
    if f.wish_steps:
        first = next((step for step in f.wish_steps if not step.fits), None)
        if first is None:
            why.append("it carries every wish for later")
        else:
            why_not.append(f"it does not carry {first.title}: short by {-first.headroom_a:.0f} A")
    if not f.circuits_touched:
        why.append("no old circuit is touched")
    elif all(len(f.circuits_extended) <= len(other.figures.circuits_extended) for other in others):
        why.append(f"as few old circuits led on as any: {len(f.circuits_extended)}")
    else:
        why_not.append(f"{len(f.circuits_extended)} old circuits are led on to another place")
    if f.three_wire_lost:
        why_not.append(f"new circuits of four wires for: {', '.join(_served(each, id) for id in f.three_wire_lost)}")
    if not f.enclosures_new:
        why.append("no new enclosure")
    if others and all(len(f.power_off_steps) <= len(other.figures.power_off_steps) for other in others):
        why.append(f"the fewest steps with the supply off: {len(f.power_off_steps)}")
    if not why:
        why.append(f"it carries today's load and wishes with {f.headroom_a:.0f} A left")
    return tuple(why), tuple(why_not)


def _served(each: Alternative, circuit: str) -> str:
    part = each.readings.installation.circuits[circuit]
    return part.serves or part.title


def steps_between(offered: Sequence[Alternative]) -> tuple[Step, ...]:
    """What changes from each offered way to the next in rank."""
    return tuple(_step(one, other) for one, other in pairwise(offered))


def _step(one: Alternative, other: Alternative) -> Step:
    changes = difference(one.readings.installation, other.readings.installation)
    words = [*_figures_words(one.figures, other.figures)]
    words += [_change_words(each) for each in changes if each.path.partition(".")[0] in _SHOWN]
    if len(words) > _MOST_WORDS:
        words = [*words[: _MOST_WORDS - 1], f"and {len(words) - _MOST_WORDS + 1} further changes"]
    return Step(one.id, other.id, tuple(words), changes)


def _figures_words(one: Figures, other: Figures) -> list[str]:
    words = []
    if one.rating_a != other.rating_a:
        words.append(f"rating {one.rating_a:g} A, then {other.rating_a:g} A")
    before, after = _told(one), _told(other)
    return words + [f"{what}: {before[what]}, then {after[what]}" for what in before if before[what] != after[what]]


def _told(figures: Figures) -> dict[str, str]:
    return {
        "room left": f"{figures.headroom_a:.0f} A",
        "old circuits led on": str(len(figures.circuits_extended)),
        "three-wire circuits lost": str(len(figures.three_wire_lost)),
    }


def _change_words(change: Change) -> str:
    fields = ", ".join(each.field.rstrip("_").replace("_", " ") for each in change.fields[:4])
    return f"{change.title}: {_WORDS[change.what]}{f' ({fields})' if fields else ''}"
