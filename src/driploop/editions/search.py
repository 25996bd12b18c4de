"""Find an entry of an edition by its section number or by plain words."""

from __future__ import annotations

import re
from collections.abc import Iterable

from driploop.editions.entry import Entry

_SECTION = re.compile(r"\d{2,3}\.\d+(?:\([A-Za-z0-9]+\))*|chapter \d+", re.IGNORECASE)
_WORD = re.compile(r"[a-z0-9]+")


def find(text: str, entries: Iterable[Entry]) -> list[Entry]:
    """Entries that ``text`` means, best first; equal ones in the order given.

    Plain words must all be found; where no entry holds all of three or more, those that lack one are given.
    """
    section = _SECTION.search(text.lower())
    if section is not None:
        asked = section.group()
        return _best_first((_by_section(asked, entry), entry) for entry in entries)
    words, shelf = _words(text), list(entries)
    found = _best_first((_by_words(words, entry), entry) for entry in shelf)
    if found or len(words) < 3:
        return found
    fewer = [words - {word} for word in sorted(words)]
    return _best_first((max(_by_words(some, entry) for some in fewer), entry) for entry in shelf)


def _best_first(scored: Iterable[tuple[float, Entry]]) -> list[Entry]:
    return [entry for points, entry in sorted(scored, key=lambda pair: -pair[0]) if points > 0]


def _by_section(asked: str, entry: Entry) -> float:
    """3 for the section itself, 2 for a part of it, 1 for the section it is a part of."""
    best = 0.0
    for section in _SECTION.findall(entry.section.lower()):
        if section == asked:
            best = max(best, 3)
        elif section.startswith(f"{asked}("):
            best = max(best, 2)
        elif asked.startswith(f"{section}("):
            best = max(best, 1)
    return best


def _by_words(asked: set[str], entry: Entry) -> float:
    """Words found in the name count most, then the title, then what is required; all words must be found."""
    places = ((3.0, _words(entry.name)), (2.0, _words(entry.title)), (1.0, _words(f"{entry.requires} {entry.note}")))
    total = 0.0
    for word in asked:
        points = max((weight for weight, words in places if _holds(words, word)), default=0.0)
        if not points:
            return 0.0
        total += points
    # A short name that matches is nearer than a long one.
    return total - len(_words(entry.name)) / 100


def _holds(words: set[str], asked: str) -> bool:
    return asked in words or any(word.rstrip("s") == asked.rstrip("s") for word in words)


def _words(text: str) -> set[str]:
    return set(_WORD.findall(text.lower()))
