"""What the question stage answers: one question, its plausible answers, and what each of them changes."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple


class Gravity(IntEnum):
    """How much an outcome weighs. One of a kind outweighs any number of the kinds before it."""

    LABEL = 1
    ASKED = 2
    VERDICT = 3
    SIZE = 4
    GROUND = 5
    LAWFUL = 6
    SERVICE = 7

    __hash__ = int.__hash__  # an outcome is looked up by it so often that the number's own is worth its line


class Outcome(NamedTuple):
    """One thing that is decided: what of it, where. ``gravity`` is the most that a change of it can weigh."""

    gravity: Gravity
    what: str
    where: str


class Answer(NamedTuple):
    """One plausible answer in words, and in words what it changes; empty where it changes nothing."""

    answer: str
    changes: str


@dataclass(frozen=True, slots=True)
class Question:
    """One unknown whose answer decides something.

    ``path`` is the place in the job file where the answer is written. ``settles`` are the outcomes that hang on it,
    gravest first. ``score`` orders questions: its digits count outcomes, the gravest kind in front.
    """

    path: str
    title: str
    why: str
    where_to_look: str
    how_safely: str
    if_nobody_knows: str
    answers: tuple[Answer, ...]
    score: int
    settles: tuple[Outcome, ...]
