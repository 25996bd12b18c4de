"""From what a person types or taps to a value of the job file. What cannot be read goes on as typed: the survey's own
reader then says in its words what is allowed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from pydantic import BaseModel

from driploop.installation.kinds import UNKNOWN
from driploop.survey.fields import Key, Shape, keys_of

#: What a form sends for an empty list, and for a thing that is not known.
NONE = "none"
MOST_LETTERS = 4000

_NUMBER = re.compile(r"-?(?:\d{1,12}(?:\.\d{0,6})?|\.\d{1,6})")
_FEET_INCHES = re.compile(r"(\d{1,6})\s*(?:'|ft\.?|feet)\s*(?:(\d{1,2}(?:\.\d{1,3})?)\s*(?:\"|''|in\.?|inches)?)?")
_NOT_TEXT = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff]")
_SIGNS = {"ft": ("'",), "in": ('"', "''"), "A": ("amps", "amp"), "V": ("volts",), "VA": (), "kW": ("kw",), "%": ()}


def value_of(key: Key, typed: Sequence[str]) -> Any:
    """What was typed for a key, as its file would hold it; None for "not known"."""
    words = [_clean(each) for each in typed]
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


def _clean(words: str) -> str:
    return _NOT_TEXT.sub("", words.replace("\r\n", "\n").replace("\r", "\n"))[:MOST_LETTERS].strip()


def _single(shape: Shape, words: str, unit: str, unit_words: str) -> Any:
    if shape.kind == "yes or no":
        return {"yes": True, "no": False}.get(words.lower(), words)
    if shape.kind in ("number", "whole number"):
        return number(words, unit, unit_words)
    if shape.kind == "words" and any(isinstance(word, int) for word in shape.words):
        return number(words, unit, unit_words)
    return words


def number(words: str, unit: str = "", unit_words: str = "") -> Any:
    """A number as the trade writes it: ``1,200``, ``40 A``, ``12' 6"`` for feet; else the words as they are."""
    if unit == "ft" and (match := _FEET_INCHES.fullmatch(words)):
        feet = int(match[1]) + float(match[2] or 0) / 12
        return int(feet) if feet == int(feet) else round(feet, 4)
    plain = words.replace(",", "").strip()
    for sign in sorted((unit, unit_words, *_SIGNS.get(unit, ())), key=len, reverse=True):
        if sign and plain.lower().endswith(sign.lower()):
            plain = plain[: -len(sign)].strip()
            break
    if not _NUMBER.fullmatch(plain):
        return words
    value = float(plain)
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
