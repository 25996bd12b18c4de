"""What the trade commonly does with panels: a stated table, not the code."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Any


@lru_cache(maxsize=1)
def _document() -> Mapping[str, Any]:
    return tomllib.loads((files(__package__) / "habits.toml").read_text(encoding="utf-8"))


def spare_spaces(used: int) -> int:
    """Spaces to leave free beside those that are used."""
    part = -(-used * int(_document()["spare_percent"]) // 100)
    return max(part, int(_document()["spare_least"]))


def unlisted_share() -> float:
    """What a circuit without a listed load counts as, as a part of its device."""
    return float(_document()["unlisted_percent"]) / 100


def unread_device_a() -> float:
    """What a device of unknown rating counts as on its stab. [A]"""
    return float(_document()["unread_device_a"])


def stiff_from_a() -> float:
    """From which rating on a wire is landed before the others. [A]"""
    return float(_document()["stiff_from_a"])


def words_of_who() -> frozenset[str]:
    """Words that hang on who lives there."""
    return frozenset(_document()["depends_on_who"])


def words_of_animals() -> frozenset[str]:
    """Of those, the words that are animals where animals are kept."""
    return frozenset(_document()["animals"])


def further_panel_a() -> float:
    """The least breaker for the feeder of a further panel of the same place. [A]"""
    return float(_document()["further_panel_a"])
