"""Older job files: what each format called differently, and the lift to today's.

A step only moves tables and keys, so that one list serves reading, rewriting and the line numbers of faults.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from driploop.survey.layout import FORMAT
from driploop.survey.places import Path


@dataclass(frozen=True, slots=True)
class Move:
    """A table or key under its older name, and under its newer."""

    old: Path
    new: Path


@dataclass(frozen=True, slots=True)
class Step:
    """What changed from one format to the next."""

    moves: tuple[Move, ...]
    why: str


#: Steps by the format they start from.
STEPS: Mapping[int, Step] = {
    0: Step(
        moves=(Move(("job", "edition"), ("town", "edition")), Move(("switches",), ("equipment",))),
        why="The edition is the town's to say; and meters and panels hang on the wall beside the switches.",
    ),
}
OLDEST = min(STEPS)


def moves_from(format: int) -> tuple[Move, ...]:
    """All moves from this format to today's, in order."""
    return tuple(move for step in range(format, FORMAT) for move in STEPS[step].moves)


def lift_tables(data: Mapping[str, Any], *, format: int) -> dict[str, Any]:
    """The tables of a file under today's names. A name that the newer place already has is left where it is."""
    lifted = {name: dict(value) if isinstance(value, dict) else value for name, value in data.items()}
    for move in moves_from(format):
        source = _holder(lifted, move.old)
        if source is None or move.old[-1] not in source:
            continue
        target = lifted.setdefault(move.new[0], {}) if len(move.new) > 1 else lifted
        if isinstance(target, dict) and move.new[-1] not in target:
            target[move.new[-1]] = source.pop(move.old[-1])
    return lifted


def _holder(data: dict[str, Any], path: Path) -> dict[str, Any] | None:
    holder = data.get(path[0]) if len(path) > 1 else data
    return holder if isinstance(holder, dict) else None


def written_path(path: Path, *, format: int) -> Path:
    """A path of today's format under the name that a file of an older format gives it."""
    for move in reversed(moves_from(format)):
        if path[: len(move.new)] == move.new:
            path = (*move.old, *path[len(move.new) :])
    return path


def looks_like(data: Mapping[str, Any]) -> int:
    """The format a file without a format number seems to have been written in."""
    for format, step in STEPS.items():
        for move in step.moves:
            holder = _holder(dict(data), move.old)
            if holder is not None and move.old[-1] in holder:
                return format
    return FORMAT
