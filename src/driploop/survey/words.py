"""The words of a fault: how a value reads, the nearest allowed word, what to do about a value that does not fit."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from difflib import get_close_matches
from typing import Any

from driploop.installation.model import UNKNOWN
from driploop.installation.sizes import canonical_size
from driploop.survey.faults import Found
from driploop.survey.fields import Key, Shape, allowed_words, quoted
from driploop.survey.places import Path

_NUMBER = re.compile(r"([\d,]*\.?\d+)\s*([A-Za-z\"'°%.]*(?:\s?[A-Za-z]+)?)")
_TRUE = frozenset({"true", "yes", "y", "on", "1"})
_FALSE = frozenset({"false", "no", "n", "off", "0"})
_MOST_NAMES = 12


def shown(value: Any) -> str:
    """A value as the job file would write it, cut short when long."""
    text = _shown(value)
    return text if len(text) <= 80 else f"{text[:77]}..."


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list | tuple):
        return f"[{', '.join(_shown(item) for item in value)}]"
    if isinstance(value, dict):
        return f"{{ {', '.join(f'{key} = {_shown(item)}' for key, item in value.items())} }}" if value else "{}"
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    return str(value)


def nearest(word: str, allowed: Iterable[str]) -> str | None:
    """The allowed word that a misspelled one most likely meant, None when none is near."""
    by_lower: dict[str, str] = {}
    for candidate in allowed:
        by_lower.setdefault(candidate.lower(), candidate)
    match = get_close_matches(word.strip().lower().replace("_", " "), [w.replace("_", " ") for w in by_lower], n=1)
    return next((real for lower, real in by_lower.items() if match and lower.replace("_", " ") == match[0]), None)


def listed(names: Iterable[str]) -> str:
    """Names with commas; a long list is cut and says how many more there are."""
    every = list(names)
    if not every:
        return "none yet"
    more = len(every) - _MOST_NAMES
    return ", ".join(every[:_MOST_NAMES]) + (f" and {more} more" if more > 0 else "")


def value_fault(path: Path, key: Key, value: Any, *, item: str | None = None) -> Found:
    """The fault of a value that its key does not allow; ``item`` is the place in a list, or the id in a table."""
    shape, where, at = key.shape, path, path
    if item is not None and shape.kind == "rows":
        at = (*path, item)
    elif item is not None and shape.item is not None:
        at = (*path, item)
        where = at if shape.kind == "table" else path
        shape = shape.item
    allowed = f"{allowed_words(shape, key.unit_words)}" + ("" if item is not None else f', or "{UNKNOWN}"')
    name = item if item is not None and key.shape.kind == "table" else key.name
    return Found(where, shown(value), allowed, _advice(name or key.name, shape, value, in_list=at != where), at)


def _advice(name: str, shape: Shape, value: Any, *, in_list: bool = False) -> str:
    if isinstance(value, str):
        return _advice_on_text(name, shape, value, in_list=in_list)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return _advice_on_number(name, shape, value)
    if isinstance(value, bool) and shape.kind != "yes or no":
        return "This key does not ask yes or no; write what is allowed."
    return _GENERAL


_GENERAL = f'Write what is allowed, or "{UNKNOWN}".'


def _advice_on_text(name: str, shape: Shape, text: str, *, in_list: bool) -> str:
    plain = text.strip().lower()
    if plain == UNKNOWN and not in_list:
        return f'Write it in lower case: {name} = "{UNKNOWN}"'
    if shape.kind == "yes or no" and plain in _TRUE | _FALSE:
        return f"Write {name} = {'true' if plain in _TRUE else 'false'}"
    if _wants_number(shape):
        return _advice_on_quoted_number(name, text.strip())
    if shape.kind == "words":
        near = nearest(text, (word for word in shape.words if isinstance(word, str)))
        return _did_you_mean(name, near, in_list=in_list) if near else _GENERAL
    if shape.kind == "list" and shape.item is not None:
        near = nearest(text, (word for word in shape.item.words if isinstance(word, str))) if shape.item.words else text
        return f"Put it in square brackets: {name} = [{quoted(near)}]" if near else _GENERAL
    if shape.kind == "size":
        return "Write the size of one conductor alone; the number of wires has its own key."
    return _GENERAL


def _did_you_mean(name: str, near: str, *, in_list: bool) -> str:
    return f"Did you mean {quoted(near)}?" if in_list else f"Did you mean {name} = {quoted(near)} ?"


def _wants_number(shape: Shape) -> bool:
    return shape.kind in ("number", "whole number") or any(isinstance(word, int) for word in shape.words)


def _advice_on_quoted_number(name: str, text: str) -> str:
    match = _NUMBER.fullmatch(text)
    if not match:
        return _GENERAL
    number = match.group(1).replace(",", "")
    unit = " The unit is told by the key." if match.group(2) else ""
    return f"Leave the quotes off: {name} = {number}{unit}"


def _advice_on_number(name: str, shape: Shape, number: float) -> str:
    if shape.kind == "size":
        try:
            return f'Put it in quotes: {name} = "{canonical_size(str(number))}"'
        except ValueError:
            return _GENERAL
    if shape.kind == "text":
        return f'Put it in quotes: {name} = "{number}"'
    if shape.kind == "whole number" and number % 1 != 0:  # so also for infinity and what is no number
        return "Write a whole number."
    if shape.kind == "yes or no":
        return f"Write {name} = true or {name} = false"
    return f'Look again at what is there; write a value that is allowed, or "{UNKNOWN}".'
