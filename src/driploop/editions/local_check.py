"""A requirement of a place that the program can check by itself: the kinds there are, and how an overlay writes them.

[requirement.meter-height]
title = "Height of the meter"
requires = "The centre of the meter is 48 to 72 in above grade."
check = "meter height"
least_in = 48
most_in = 72
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType

#: Each kind of check with the limits it may state; a key tells its unit.
CHECKS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "meter height": ("least_in", "most_in"),
        "clearance from gas": ("least_ft",),
        "rods": ("least_count",),
        "mast trade size": ("least_trade_size",),
        "unguyed mast length": ("most_in",),
        "tail length": ("least_in",),
        "attachment height": ("least_ft", "most_ft"),
        "service conductors inside": ("most_ft",),
        "who pulls the meter": ("who",),
        "notice": ("least_days", "least_working_days"),
    }
)
#: Who may pull a meter, as a job file writes it.
WHO = ("utility", "contractor by written leave")
LIMITS = tuple(dict.fromkeys(key for keys in CHECKS.values() for key in keys))
_TRADE_SIZE = re.compile(r"[1-9]\d?(-[1-9]/[248])?|[1-9]/[248]")


@dataclass(frozen=True, slots=True)
class LocalCheck:
    """One requirement of a place that a survey can decide.

    ``kind`` is one of ``CHECKS``; ``limits`` holds (key, value) as the overlay wrote them; ``place`` is the kind of
    overlay: state, town or utility.
    """

    name: str
    kind: str
    title: str
    requires: str
    section: str
    source: str
    place: str
    limits: tuple[tuple[str, float | str], ...]

    def number(self, key: str) -> float | None:
        """A limit as a number, in the unit its key tells; None where it is not stated."""
        value = dict(self.limits).get(key)
        return None if value is None or isinstance(value, str) else float(value)

    def text(self, key: str) -> str:
        """A limit in words, "" where it is not stated."""
        return str(dict(self.limits).get(key, ""))


def check_faults(where: str, keys: Mapping[str, object]) -> list[str]:
    """What is wrong with the check of one requirement, in words; empty when nothing is.

    Args:
        where: the requirement's path in the overlay.
        keys: what stands below it.
    """
    stated = [key for key in LIMITS if key in keys]
    kind = keys.get("check")
    if kind is None:
        return [f"{where}.{key}: stands there without its check; one of: {', '.join(CHECKS)}" for key in stated]
    if not isinstance(kind, str) or kind not in CHECKS:
        near = get_close_matches(str(kind), CHECKS, n=1)
        hint = f"; near it: {near[0]}" if near else ""
        return [f"{where}.check: read {kind!r}; one of: {', '.join(CHECKS)}{hint}"]
    allowed = CHECKS[kind]
    faults = [
        f"{where}.{key}: a check of {kind!r} has no such limit; it has: {', '.join(allowed)}"
        for key in stated
        if key not in allowed
    ]
    faults += [fault for key in stated if key in allowed for fault in _limit_faults(f"{where}.{key}", key, keys[key])]
    if not any(key in allowed for key in stated):
        faults.append(f"{where}: a check of {kind!r} needs {' or '.join(allowed)}")
    least, most = (keys.get(f"{end}_{_unit(allowed)}") for end in ("least", "most"))
    if not faults and isinstance(least, int | float) and isinstance(most, int | float) and least > most:
        faults.append(f"{where}: the least, {least:g}, is more than the most, {most:g}")
    return faults


def limits_of(keys: Mapping[str, object]) -> tuple[tuple[str, float | str], ...]:
    """The limits one requirement states, in the order of ``LIMITS``."""
    written = ((key, keys[key]) for key in LIMITS if key in keys)
    return tuple((key, value) for key, value in written if isinstance(value, int | float | str))


def _unit(allowed: tuple[str, ...]) -> str:
    return allowed[0].partition("_")[2]


def _limit_faults(where: str, key: str, value: object) -> list[str]:
    if key == "who":
        return [] if value in WHO else [f"{where}: read {value!r}; one of: {', '.join(WHO)}"]
    if key == "least_trade_size":
        right = isinstance(value, str) and _TRADE_SIZE.fullmatch(value) is not None
        return [] if right else [f'{where}: read {value!r}; a trade size in quotes is needed, as "2" or "1-1/4"']
    whole = key in ("least_count", "least_days", "least_working_days")
    right = isinstance(value, int if whole else int | float) and not isinstance(value, bool) and value > 0
    return [] if right else [f"{where}: read {value!r}; a {'whole ' if whole else ''}number above 0 is needed"]


def trade_size_in(written: str) -> float:
    """A raceway's trade size as a number: "1-1/4" is 1.25. [in]"""
    whole, _, part = written.rpartition("-") if "/" in written else (written, "", "")
    top, _, bottom = part.partition("/")
    return float(whole or 0) + (float(top) / float(bottom) if part else 0.0)
