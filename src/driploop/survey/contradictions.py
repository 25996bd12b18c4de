"""What one part says against itself: more wires named than counted, the rating of a device that is not there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from driploop.survey.faults import Found
from driploop.survey.places import Path
from driploop.survey.prepare import Tables
from driploop.survey.words import shown

#: Key that says a thing is not there, and the keys that tell of it all the same, by table.
_ABSENT: tuple[tuple[str, str, tuple[str, ...]], ...] = (
    ("equipment", "main", ("main_a",)),
    ("runs", "ocpd", ("ocpd_a",)),
    ("runs", "egc", ("egc_size", "egc_metal", "egc_insulated")),
    ("circuits", "ocpd", ("ocpd_a",)),
)
_TRIPLEX = 3
_FOUR = 4


def check_contradictions(tables: Tables) -> Iterator[Found]:
    """Every part of the survey, or of the proposal, that says two things of which one must be wrong."""
    proposal = tables.get("proposal", {})
    for path, held in (((), tables), (("proposal",), proposal)):
        if not isinstance(held, Mapping):
            continue
        poles = {**_poles(tables), **_poles(held)}
        for id, run in _parts(held, "runs"):
            yield from _wires((*path, "runs", id), run, poles)
        for id, circuit in _parts(held, "circuits"):
            if circuit.get("neutral") == "none" and circuit.get("multiwire_with") is not None:
                yield Found(
                    (*path, "circuits", id, "multiwire_with"), f'"{circuit["multiwire_with"]}", with neutral = "none"',
                    "a shared neutral, insulated or bare", "Take multiwire_with out, or say what the neutral is.",
                )  # fmt: skip
        for table, key, told in _ABSENT:
            for id, part in _parts(held, table):
                yield from _told_of_nothing((*path, table, id), part, key, told)


def _parts(held: Mapping[str, Any], table: str) -> Iterator[tuple[str, Tables]]:
    parts = held.get(table)
    if isinstance(parts, Mapping):
        yield from ((id, part) for id, part in parts.items() if isinstance(part, dict))


def _poles(held: Mapping[str, Any]) -> dict[str, Any]:
    return {id: part["poles"] for id, part in _parts(held, "equipment") if "poles" in part}


def _wires(path: Path, run: Tables, poles: Mapping[str, Any]) -> Iterator[Found]:
    counted = run.get("wires")
    if not isinstance(counted, int):
        return
    at = (*path, "wires")
    if run.get("method") == "overhead triplex" and counted < _TRIPLEX:
        yield Found(
            at, f"{counted} wires of a triplex", "3 wires: two lines and the bare neutral; 4 with a ground beside",
            "Count again, or mend method.",
        )  # fmt: skip
    to = run.get("to")
    switched = poles.get(to) if isinstance(to, str) else None
    lines = switched if isinstance(switched, int) else 1
    named = [f"{lines} line{'s' if lines > 1 else ''}"]
    named += ["a neutral"] if run.get("neutral_size") is not None else []
    named += ["a ground wire"] if run.get("egc") == "wire" else []
    least = lines + len(named) - 1
    if counted < least:
        told = [f"{key} = {shown(run[key])}" for key in ("neutral_size", "egc") if run.get(key) is not None]
        yield Found(
            at, f"{counted} wires, with {' and '.join(told) or f'{lines} poles where it ends'}",
            f"{least} wires or more: {', '.join(named)}",
            'Count again where it enters; what was not seen is "unknown".',
        )  # fmt: skip
    if counted == _FOUR and run.get("egc") == "none" and lines <= 2:
        yield Found(
            at, f"{counted} wires, with egc = {shown('none')}",
            "3 wires at most without a ground: two lines, a neutral",
            'See what the fourth wire is: a ground is egc = "wire"; what was not seen is "unknown".',
        )  # fmt: skip


def _told_of_nothing(path: Path, part: Tables, key: str, told: tuple[str, ...]) -> Iterator[Found]:
    if part.get(key) != "none":
        return
    for name in told:
        if part.get(name) is not None:
            yield Found(
                (*path, name), f"{name} = {shown(part[name])}, with {key} = {shown('none')}",
                f"no {name} where {key} is {shown('none')}", f"Take {name} out, or say what {key} is.",
            )  # fmt: skip
