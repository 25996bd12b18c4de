"""Words on their way to paper: one line each, with places where a word too long for its column may be broken."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Any

NOTHING = "–"
#: Marks a place where a line may break, and shows nothing. The shipped font needs no glyph for it.
MAY_BREAK = "\u200b"
#: Keeps a number and its unit on one line.
TOGETHER = "\u00a0"
LONGEST_WORD = 18
_PIECE = 12
_AFTER = re.compile(r"([._/=+])(?=\S)")
#: Letters that show nothing or turn the direction of what follows; in a name they can only confuse.
_UNIT = re.compile(r"(?<=[\d)]) (?=(?:A|VA|kVA|V|W|kW|hp|ft|ft2|ft²|in|AWG|kcmil|cmil|ohm|Ω|°C|C|%)(?![\w]))")
_BLANKS = re.compile(r"[^\S\u00a0]+")
_UNSEEN = re.compile("[\x00-\x08\x0e-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\ufffe\uffff]")


@lru_cache(maxsize=16384)
def one_line(words: str) -> str:
    """The words on one line: unseen letters gone, every run of white space one space, numbers kept by their units."""
    return _UNIT.sub(TOGETHER, _BLANKS.sub(" ", _UNSEEN.sub("", words)).strip())


@lru_cache(maxsize=16384)
def breakable(words: str) -> str:
    """The words with places to break: in every word longer than a narrow column, and before each ".5" of a list of
    worksheet lines, where a blank alone does not let a line end."""
    words = words.replace(", .", f", {MAY_BREAK}.")
    if all(len(word) <= LONGEST_WORD for word in words.split(" ")):
        return words
    return " ".join(_broken(word) if len(word) > LONGEST_WORD else word for word in words.split(" "))


def _broken(word: str) -> str:
    pieces = _AFTER.sub("\\1" + MAY_BREAK, word).split(MAY_BREAK)
    return MAY_BREAK.join(
        piece if len(piece) <= LONGEST_WORD or "-" in piece[1:LONGEST_WORD]
        else MAY_BREAK.join(piece[at : at + _PIECE] for at in range(0, len(piece), _PIECE))
        for piece in pieces
    )  # fmt: skip


def for_paper(data: Any) -> Any:
    """Every text of JSON-ready data made ready for paper; numbers, truth and keys stay as they are."""
    if isinstance(data, str):
        return breakable(one_line(data))
    if isinstance(data, dict):
        return {key: for_paper(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [for_paper(each) for each in data]
    return data


def sentence(words: str) -> str:
    """The words with a capital at their start."""
    return words[:1].upper() + words[1:]


def amperes(current_a: float | None) -> str:
    """A current as the code rounds it: to the whole ampere. "–" where there is none."""
    return NOTHING if current_a is None else f"{int(current_a + 0.5):,} A"
