"""The site drawing: every place and every run between places once, its course told by its line and in words."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drawings.collisions import collisions, ids
from drawings.readings import EXAMPLE_NAMES, example, installation, readings_of
from drawings.trees import seen_from_outside
from driploop.drawings import sites, to_svg
from driploop.drawings.display import BODY, LANDSCAPE, Drawing, Polyline, Text, flat, groups
from driploop.drawings.site_places import DASHES, places, runs_between
from driploop.installation import Installation

SEEDS = st.integers(0, 10**9)


def words_of(drawings: tuple[Drawing, ...]) -> str:
    return " | ".join(mark.words for drawing in drawings for mark in flat(drawing.items) if isinstance(mark, Text))


def farm(buildings: int, **feeder: Any) -> Installation:
    """A pole that feeds so many barns."""
    barns = {f"b{n}": {"name": f"Barn {n}"} for n in range(buildings)}
    return installation(
        buildings={"pole": {"name": "Pole", "use": "yard pole"}, **barns},
        equipment={
            "meter": {"kind": "meter", "building": "pole"},
            **{f"p{n}": {"kind": "panel", "building": f"b{n}"} for n in range(buildings)},
        },
        runs={
            "drop": {"from": "utility", "to": "meter", "owner": "utility", "overhead": True},
            **{f"r{n}": {"from": "meter", "to": f"p{n}", **feeder} for n in range(buildings)},
        },
    )


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_nothing_collides_in_the_examples(name: str) -> None:
    drawings = sites(example(name))
    assert len(drawings) == 1
    assert collisions(drawings[0]) == []


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_nothing_collides_whatever_the_tree(seed: int) -> None:
    for drawing in sites(readings_of(seen_from_outside(seed))):
        assert collisions(drawing) == []


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_every_place_and_every_run_between_places_is_told(seed: int) -> None:
    readings = readings_of(seen_from_outside(seed))
    drawings = sites(readings)
    drawn, printed = Counter(ids(drawings)), words_of(drawings)
    assert all(drawn[f"outline/{id}"] >= 1 for id in places(readings))
    for run, _, _ in runs_between(readings):
        assert drawn[f"run/{run.id}"] == 1 or "Also, without a line of its own here" in printed


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_every_sheet_fits_a_letter_page_with_letters_of_seven_points(seed: int) -> None:
    for drawing in sites(readings_of(seen_from_outside(seed))):
        assert (drawing.width, drawing.height) <= (LANDSCAPE.width, LANDSCAPE.height)
        assert drawing.height <= LANDSCAPE.height
        assert min(mark.size for mark in flat(drawing.items) if isinstance(mark, Text)) >= BODY


@pytest.mark.parametrize(
    ("feeder", "dash", "words"),
    [
        ({"overhead": True, "length_ft": 85.0}, "overhead", "85 ft"),
        ({"method": "direct-buried conductors", "burial_depth_in": 18.0}, "buried", "cover 18 in"),
        ({"method": "PVC 80"}, "", "overhead or buried: not known"),
    ],
)
def test_the_line_tells_the_course_and_words_tell_it_too(feeder: dict[str, Any], dash: str, words: str) -> None:
    drawings = sites(readings_of(farm(1, **feeder)))
    run = next(each for each in groups(drawings[0].items) if each.id == "run/r0")
    stroke = next(mark for mark in run.items if isinstance(mark, Polyline))
    assert stroke.dash == DASHES[dash]  # type: ignore[index]
    assert words in words_of(drawings).replace("\u00a0", " ")


def test_many_buildings_take_more_sheets_and_none_is_lost() -> None:
    drawings = sites(readings_of(farm(30, overhead=True)))
    assert len(drawings) > 1
    drawn = Counter(ids(drawings))
    assert {drawn[f"outline/b{n}"] for n in range(30)} == {1}
    assert [collisions(drawing) for drawing in drawings] == [[]] * len(drawings)
    assert all(drawing.height <= LANDSCAPE.height for drawing in drawings)


def test_a_garage_on_a_circuit_says_what_feeds_it() -> None:
    found = farm(1).model_copy(
        update={"circuits": dict(installation(circuits={"c": {"from": "meter", "building": "b0"}}).circuits)}
    )
    without = found.model_copy(
        update={"equipment": {"meter": found.equipment["meter"]}, "runs": {"drop": found.runs["drop"]}}
    )
    assert "circuits of meter" in words_of(sites(readings_of(without)))


def test_nothing_is_drawn_where_nothing_is_known() -> None:
    assert sites(readings_of(installation())) == ()


def test_no_bearing_is_claimed() -> None:
    assert "not to scale" in words_of(sites(readings_of(farm(2))))


def test_the_same_readings_give_the_same_bytes() -> None:
    first, second = ([to_svg(drawing) for drawing in sites(example("orchard"))] for _ in range(2))
    assert first == second
