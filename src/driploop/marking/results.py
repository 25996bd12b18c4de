"""A label as it must be read on an enclosure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Label:
    """The exact words for one place. ``background`` and ``letters`` are colour names or "" where the code sets none."""

    id: str
    equipment: str
    where: str
    words: tuple[str, ...]
    background: str
    letters: str
    letter_height_in: float | None
    section: str
    why: str
