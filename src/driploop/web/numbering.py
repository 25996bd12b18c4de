"""What comes after a thing: the next free number in its name, its id and its space."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from typing import Any

from driploop.installation.kinds import UNKNOWN

_LAST_NUMBER = re.compile(r"\d{1,6}(?=\D*$)")
_SPACES = re.compile(r"\d{1,3}(?:\s*[-,/&+]\s*\d{1,3})*")
#: A step from one space to the next that a person may have meant: one by one, or down one side.
_STEPS = (1, 2)


def next_words(words: str, taken: Collection[str]) -> str:
    """A name with the next number that nothing else has; "" where it holds no number."""
    found = _LAST_NUMBER.search(words)
    if found is None:
        return ""
    number = int(found[0])
    while True:
        number += 1
        tried = f"{words[: found.start()]}{number:0{len(found[0])}d}{words[found.end() :]}"
        if tried not in taken:
            return tried


def id_after(id: str, taken: Collection[str]) -> str:
    """The id for the next thing like one that is there."""
    return next_words(id, taken) or next_words(f"{id}-1", taken)


def next_space(tables: Mapping[str, Any], circuit: str) -> str:
    """The next free space after a circuit's in the same panel, down the side or one by one as was listed so far; ""
    where the space of the circuit is no number.

    Spaces past the last of the panel give way to the first that is free.
    """
    circuits: Mapping[str, Mapping[str, Any]] = tables.get("circuits", {})
    here = circuits.get(circuit, {})
    mine = _spaces(here.get("position"))
    if not mine:
        return ""
    listed = [_spaces(each.get("position")) for each in circuits.values() if each.get("from") == here.get("from")]
    taken = {space for spaces in listed for space in spaces}
    shape = [space - mine[0] for space in mine]
    step = _step(listed, mine)
    panel = tables.get("equipment", {}).get(here.get("from"), {})
    last = panel.get("spaces") if isinstance(panel.get("spaces"), int) else None
    start = mine[-1] + step
    first = _first_free(shape, taken, start, step, last) or _first_free(shape, taken, 1, 1, last)
    return "-".join(str(first + each) for each in shape) if first else ""


def _first_free(shape: Sequence[int], taken: Collection[int], start: int, step: int, last: int | None) -> int | None:
    end = (last or max([*taken, start]) + step * 2 + max(shape)) + 1
    tried = range(start, end, step)
    return next((n for n in tried if n + shape[-1] < end and not any(n + each in taken for each in shape)), None)


def _step(listed: Sequence[Sequence[int]], mine: Sequence[int]) -> int:
    if len(mine) > 1:
        return mine[-1] - mine[-2] if mine[-1] - mine[-2] in _STEPS else 1
    before = [spaces for spaces in listed[: list(listed).index(mine)] if len(spaces) == 1]
    step = mine[0] - before[-1][0] if before else 1
    return step if step in _STEPS else 1


def _spaces(position: Any) -> tuple[int, ...]:
    words = str(position or "").strip()
    if words == UNKNOWN or not _SPACES.fullmatch(words):
        return ()
    return tuple(int(number) for number in re.findall(r"\d+", words))
