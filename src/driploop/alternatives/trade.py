"""What the trade commonly has and does first: a stated table that the shop's own proposal goes before."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Any

from driploop.installation.model import Metal, Method


@lru_cache(maxsize=1)
def _document() -> Mapping[str, Any]:
    return tomllib.loads((files(__package__) / "trade.toml").read_text(encoding="utf-8"))


def service_class(least_a: float) -> float:
    """The smallest class of service equipment of at least this rating; the rating itself above the largest. [A]"""
    return float(next((each for each in _document()["service_classes_a"] if each >= least_a), least_a))


def two_mains_from_a() -> float:
    """The class from which a meter with two mains is commonly bought. [A]"""
    return float(_document()["two_mains_from_a"])


def two_mains_a() -> float:
    """The rating of both mains of such a meter together. [A]"""
    return float(_document()["two_mains_a"])


def metals() -> tuple[Metal, ...]:
    """The metals, the usual one first."""
    return tuple(_document()["metals"])


def methods(where: str) -> tuple[Method, ...]:
    """The wiring methods for one place, the usual one first: ``service_overhead``, ``feeder_inside`` and others."""
    return tuple(_document()["methods"][where])


def charger_least_a() -> float:
    """The least current a vehicle charger can be told to take. [A]"""
    return float(_document()["managed"]["charger_least_a"])


def managed_kinds() -> frozenset[str]:
    """Kinds of load that a system may hold back for a while."""
    return frozenset(_document()["managed"]["kinds"])
