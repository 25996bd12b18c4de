"""A label as it must be read on an enclosure."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Label:
    """The exact words for one place. ``background`` and ``letters`` are colour names or "" where the code sets none.

    ``at`` is what to call the enclosure on paper, unlike any other's; "" = only its id is known.
    """

    id: str
    equipment: str
    where: str
    words: tuple[str, ...]
    background: str
    letters: str
    letter_height_in: float | None
    section: str
    why: str
    at: str = ""
