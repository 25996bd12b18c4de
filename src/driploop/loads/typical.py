"""What is assumed where a nameplate could not be read: a stated table of upper values."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True, slots=True)
class Typical:
    """Upper nameplate of a kind of load [VA], and whether it may run three hours at full load: no, maybe or yes."""

    va: float
    continuous: str


@lru_cache(maxsize=1)
def _document() -> Mapping[str, Any]:
    return tomllib.loads((files(__package__) / "typical_nameplates.toml").read_text(encoding="utf-8"))


@lru_cache(maxsize=128)
def typical(kind: str | None) -> Typical:
    """The row of a kind of load; an unknown kind is taken as "other"."""
    row = _document()["kinds"][kind or "other"]
    return Typical(float(row["va"]), str(row["continuous"]))


@lru_cache(maxsize=16)
def of_site(name: str) -> float:
    """A value of the site that could not be read, by its name in the table."""
    return float(_document()["site"][name])
