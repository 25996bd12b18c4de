"""Whole small jobs without a proposal, each a file with a sentence for a name and answers worked by hand.

A case is a job file with one table more, ``[expected]``, which stands last and is split off:

- ``lawful``: ids that are offered or folded away, whatever they still ask; ``needs_an_answer``: those that ask
- ``folded``, ``folded_or_offered``: ids that are folded away; that are either
- ``first``: the id ranked first
- ``refused``: id = words that stand in its reasons or sections
- ``figures.<id>``: any field of its figures; numbers to half an ampere; ``setpoint_a`` the line of its worksheet
- ``sizes.<id>``: run = words of the sizes in the chosen way
- ``mendings``: id = work that must be among its mendings
- ``methods``: id = every wiring method offered for its service conductors
- ``stages``: ``count``, ``lawful``, ``stays_first`` the runs that stay in the first stage
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from driploop.alternatives import Alternative, Comparison, Staging, alternatives_of, staged_of
from driploop.editions import load_edition
from driploop.survey import read_job_text
from driploop.worksheet import Verdict

HERE = Path(__file__).parent
CASES = sorted(HERE.glob("*.toml"))
TOLERANCE_A = 0.5
KEYS = {
    "lawful", "needs_an_answer", "folded", "folded_or_offered", "first", "refused", "figures", "sizes", "mendings",
    "methods", "stages",
}  # fmt: skip


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_ways_are_those_worked_by_hand(path: Path) -> None:
    job_text, mark, answers = path.read_text(encoding="utf-8").partition("\n[expected")
    assert mark, "the case expects nothing"
    expected: dict[str, Any] = tomllib.loads(mark + answers)["expected"]
    assert set(expected) <= KEYS
    job = read_job_text(job_text + "\n", name=path.name)
    assert job.town.edition is not None
    edition = load_edition(job.town.edition)
    comparison = alternatives_of(job, edition=edition)
    wrong = [*differences(comparison, expected), *left_to_mend(comparison)]
    if "stages" in expected:
        wrong += stage_differences(staged_of(job, edition=edition), expected["stages"])
    assert not wrong, "\n" + "\n".join(wrong)


def every(comparison: Comparison) -> dict[str, Alternative]:
    ways = (*comparison.offered, *(folded.alternative for folded in comparison.folded))
    return {each.id: each for each in ways}


def left_to_mend(comparison: Comparison) -> Iterator[str]:
    for each in every(comparison).values():
        yield from (f"{each.id}: {f.rule} {f.where}" for f in each.findings if f.verdict is Verdict.MEND)


def differences(comparison: Comparison, expected: dict[str, Any]) -> Iterator[str]:
    ways = every(comparison)
    refused = {each.id: " ".join((*each.reasons, *each.sections)) for each in comparison.refused}
    folded = {each.alternative.id for each in comparison.folded}
    for id in (
        *expected.get("lawful", ()),
        *expected.get("folded_or_offered", ()),
        *expected.get("needs_an_answer", ()),
    ):
        if id not in ways:
            yield f"{id} is not lawful: {refused.get(id, 'never made')}; lawful: {', '.join(ways)}"
    for id in expected.get("needs_an_answer", ()):
        if id in ways and ways[id].standing != "needs an answer":
            yield f"{id} is {ways[id].standing}"
    for id in expected.get("folded", ()):
        if id not in folded:
            yield f"{id} is not folded away"
    if "first" in expected and comparison.offered[0].id != expected["first"]:
        yield f"the first is {comparison.offered[0].id}"
    for id, words in expected.get("refused", {}).items():
        if words not in refused.get(id, ""):
            yield f"{id}: {words!r} is not among its reasons: {refused.get(id, 'not refused')}"
    for id, wanted in expected.get("mendings", {}).items():
        if id in ways and not set(wanted) <= set(ways[id].mendings):
            yield f"{id} mends {ways[id].mendings}"
    for id, wanted in expected.get("methods", {}).items():
        offered = [c.method for c in ways[id].choices if c.id.startswith("service conductors/")]
        if list(dict.fromkeys(offered)) != wanted:
            yield f"{id} offers {list(dict.fromkeys(offered))}"
    for id, sizes in expected.get("sizes", {}).items():
        runs = ways[id].readings.installation.runs
        for run, wanted in sizes.items():
            if f"{runs[run].line_size} {runs[run].metal}" != wanted:
                yield f"{id}: {run} is {runs[run].line_size} {runs[run].metal}, not {wanted}"
    yield from figure_differences(ways, expected.get("figures", {}))


def figure_differences(ways: dict[str, Alternative], expected: dict[str, Any]) -> Iterator[str]:
    for id, fields in expected.items():
        if id not in ways:
            yield f"{id}: no figures, it is not lawful"
            continue
        figures = ways[id].figures
        for name, wanted in fields.items():
            if name == "setpoint_a":
                got: Any = figures.worksheet.line("setpoint").result.number
            else:
                got = getattr(figures, name)
            same = list(got) == wanted if isinstance(wanted, list) else abs(got - wanted) <= TOLERANCE_A
            if not same:
                yield f"{id}: {name} is {got}, not {wanted}"


def stage_differences(staging: Staging, expected: dict[str, Any]) -> Iterator[str]:
    if len(staging.stages) != expected["count"]:
        yield f"{len(staging.stages)} stages: {staging.refused}"
    elif all(stage.lawful for stage in staging.stages) is not expected["lawful"]:
        yield f"not lawful: {staging.refused}"
    elif [words.partition(":")[0] for words in staging.stages[0].stays] != expected["stays_first"]:
        yield f"in the first stage stay: {staging.stages[0].stays}"
