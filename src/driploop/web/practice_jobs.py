"""Invented jobs that a person may practise on."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files


@cache
def practice_jobs() -> Mapping[str, str]:
    """The titles of the practice jobs by their names."""
    return {name: str(tomllib.loads(practice_text(name))["job"]["title"]) for name in _names()}


def practice_text(name: str) -> str:
    """The job file of a practice job. Raises KeyError where there is none of that name."""
    if name not in _names():
        raise KeyError(name)
    return files(__package__).joinpath("practice", f"{name}.toml").read_text(encoding="utf-8")


@cache
def _names() -> tuple[str, ...]:
    folder = files(__package__).joinpath("practice")
    return tuple(sorted(each.name.removesuffix(".toml") for each in folder.iterdir() if each.name.endswith(".toml")))
