"""From what a person types or taps to a value of the job file. What cannot be read goes on as typed: the survey's own
reader then says in its words what is allowed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from pydantic import BaseModel

from driploop.installation.kinds import UNKNOWN
from driploop.installation.sizes import canonical_size
from driploop.survey.fields import Key, Shape, keys_of

#: What a form sends for an empty list, and for a thing that is not known.
NONE = "none"
MOST_LETTERS = 4000

_NUMBER = re.compile(r"-?(?:\d{1,12}(?:\.\d{0,6})?|\.\d{1,6})")
_LENGTH = r"\d{1,6}(?:\.\d{1,4})?(?:[ -]\d{1,2}/\d{1,2})?|\d{1,3}/\d{1,2}|\.\d{1,4}"
_FEET_INCHES = re.compile(
    rf"(?:(?P<feet>{_LENGTH})\s*(?:'|ft\.?|feet|foot)\s*-?\s*)?"
    rf"(?:(?P<inches>{_LENGTH})\s*(?P<sign>\"|''|in\.?|inch|inches)?)?", re.IGNORECASE,
)  # fmt: skip
_NOT_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")
_SIGNS = {"A": ("amps", "amp"), "V": ("volts",), "W": ("watts",), "%": ()}
#: The same unit a thousand times as large or as small.
_LARGER = {"VA": ("kva",), "A": ("ka",), "W": ("kw",)}
_SMALLER = {"kVA": ("va",), "kA": ("amps", "amp", "a"), "kW": ("watts", "w")}
#: How people mark what a phone or a word processor turns into other letters.
_AS_TYPED = str.maketrans({"\u2019": "'", "\u2032": "'", "\u201d": '"', "\u2033": '"', "\u2013": "-", "\u00bd": " 1/2",
                           "\u00bc": " 1/4", "\u00be": " 3/4", "\u00a0": " "})  # fmt: skip
_AUGHTS = re.compile(r"#?\s*(0{1,4})\s*(?:awg|ga|gauge)?\.?", re.IGNORECASE)


def value_of(key: Key, typed: Sequence[str]) -> Any:
    """What was typed for a key, as its file would hold it; None for "not known"."""
    words = [clean(each) for each in typed]
    words = [each for each in words if each and each.lower() != UNKNOWN]
    if not words:
        return None
    shape = key.shape
    if shape.kind == "list" and shape.item is not None:
        return _list(shape.item, words)
    if shape.kind == "table" and shape.item is not None:
        return _table(key, shape.item, words[0])
    if shape.kind == "rows" and shape.model is not None:
        return (
            []
            if words[0].lower() == NONE
            else [_row(shape.model, line) for line in words[0].splitlines() if line.strip()]
        )
    return _single(shape, words[0], key.unit, key.unit_words)


def clean(words: str, *, most: int = MOST_LETTERS) -> str:
    """Typed or pasted words without what is no text, and no longer than may be."""
    return _NOT_TEXT.sub("", words.replace("\r\n", "\n").replace("\r", "\n"))[:most].strip()


def _single(shape: Shape, words: str, unit: str, unit_words: str) -> Any:
    if shape.kind == "yes or no":
        return {"yes": True, "no": False}.get(words.lower(), words)
    if shape.kind in ("number", "whole number"):
        return number(words, unit, unit_words)
    if shape.kind == "size":
        return size(words)
    if shape.kind == "words" and any(isinstance(word, int) for word in shape.words):
        return number(words, unit, unit_words)
    return words


def number(words: str, unit: str = "", unit_words: str = "") -> Any:
    """A number as the trade writes it: ``1,200``, ``40 A``, ``6'-8"`` for feet or inches, ``5.5 kVA`` for VA; else the
    words as they are."""
    plain = words.translate(_AS_TYPED).replace(",", "").strip()
    if unit in ("ft", "in") and (length := _length(plain, unit)) is not None:
        return length
    factor = 1.0
    for sign, times in _signs(unit, unit_words):
        if plain.lower().endswith(sign):
            plain, factor = plain[: -len(sign)].strip(), times
            break
    if not _NUMBER.fullmatch(plain):
        return words
    return _whole(round(float(plain) * factor, 6))


def size(words: str) -> str:
    """A conductor size as the trade says it, in the file's spelling: ``4/0``, ``0000``, ``#6``, ``6 ga``; else the
    words as they are."""
    aughts = _AUGHTS.fullmatch(words.strip())
    try:
        return canonical_size(f"{len(aughts[1])}/0" if aughts else words)
    except ValueError:
        return words


def _length(words: str, unit: str) -> float | int | None:
    found = _FEET_INCHES.fullmatch(words)
    if found is None or not (found["feet"] or found["sign"] or (found["inches"] and unit == "in")):
        return None
    feet, inches = _fraction(found["feet"]), _fraction(found["inches"])
    if feet is None or inches is None:
        return None
    return _whole(round(feet + inches / 12, 4) if unit == "ft" else round(feet * 12 + inches, 4))


def _fraction(words: str | None) -> float | None:
    """``6``, ``1-1/2``, ``3/4``; None where it divides by nothing."""
    total = 0.0
    for part in re.split(r"[ -]", words or "0"):
        above, _, below = part.partition("/")
        if below and not int(below):
            return None
        total += float(above) / int(below or 1)
    return total


def _signs(unit: str, unit_words: str) -> list[tuple[str, float]]:
    """Every way to write the unit behind a number, the longest first, each with what it multiplies by."""
    own = {sign.lower(): 1.0 for sign in (unit, unit_words, *_SIGNS.get(unit, ())) if sign}
    larger = dict.fromkeys(_LARGER.get(unit, ()), 1000.0)
    smaller = dict.fromkeys(_SMALLER.get(unit, ()), 0.001)
    return sorted((smaller | larger | own).items(), key=lambda pair: -len(pair[0]))


def _whole(value: float) -> float | int:
    return int(value) if value == int(value) else value


def _list(item: Shape, words: list[str]) -> Any:
    each = words if len(words) > 1 else words[0].split(",")
    named = [word.strip() for word in each if word.strip() and word.strip().lower() != NONE]
    return [_single(item, word, "", "") for word in named]


def _table(key: Key, item: Shape, words: str) -> Any:
    pairs: dict[str, Any] = {}
    for line in re.split(r"[\n,]", words):
        id, colon, value = line.partition(":")
        if not line.strip():
            continue
        if not colon:
            return words
        pairs[id.strip()] = _single(item, value.strip(), key.unit, key.unit_words)
    return pairs


def _row(model: type[BaseModel], line: str) -> dict[str, Any]:
    """One line of numbers in the order of the row's keys."""
    keys = list(keys_of(model).values())
    words = line.replace(",", " ").replace(";", " ").split()
    named = dict(zip((key.name for key in keys), words, strict=False))
    if len(words) > len(keys):
        named[keys[-1].name] = " ".join(words[len(keys) - 1 :])
    return {key.name: number(named[key.name]) for key in keys if key.name in named}
