"""The riser drawing: every enclosure and every way in once, heights as surveyed, what nobody measured said to be so."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drawings.collisions import collisions, ids
from drawings.readings import EXAMPLE_NAMES, example, installation, readings_of
from drawings.trees import seen_from_outside
from driploop.drawings import risers, to_svg
from driploop.drawings.display import BODY, PORTRAIT, Drawing, Group, Polyline, Text, flat, groups
from driploop.drawings.riser_pen import DIMENSION
from driploop.drawings.site_places import DASHES, inches
from driploop.installation import Installation

SEEDS = st.integers(0, 10**9)


def words_of(drawings: tuple[Drawing, ...]) -> str:
    return " | ".join(mark.words for drawing in drawings for mark in flat(drawing.items) if isinstance(mark, Text))


def house(meter: dict[str, Any] | None = None, drop: dict[str, Any] | None = None, **parts: Any) -> Installation:
    return installation(
        buildings={"house": {"name": "House"}},
        equipment={
            "meter": {"kind": "meter", "building": "house", "outdoors": True, **(meter or {})},
            "panel": {"kind": "panel", "name": "House panel", "building": "house", "outdoors": False},
        },
        runs={
            "drop": {"from": "utility", "to": "meter", "owner": "utility", "overhead": True, **(drop or {})},
            "service": {"from": "meter", "to": "panel", "method": "SE cable"},
        },
        **parts,
    )


def group(drawings: tuple[Drawing, ...], id: str) -> Group:
    return next(each for drawing in drawings for each in groups(drawing.items) if each.id == id)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_nothing_collides_in_the_examples(name: str) -> None:
    drawings = risers(example(name))
    assert drawings
    for drawing in drawings:
        assert collisions(drawing) == []


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_nothing_collides_whatever_the_tree(seed: int) -> None:
    for drawing in risers(readings_of(seen_from_outside(seed))):
        assert collisions(drawing) == []


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_every_enclosure_run_and_electrode_is_drawn_exactly_once(seed: int) -> None:
    found = seen_from_outside(seed)
    drawn = Counter(ids(risers(readings_of(found))))
    at_a_drawn_place = {
        rod.id for rod in found.electrodes.values() if any(e.building == rod.building for e in found.equipment.values())
    }
    kinds = ("equipment/", "run/", "electrode/")
    assert {id: n for id, n in drawn.items() if id.startswith(kinds)} == {
        **{f"equipment/{id}": 1 for id in found.equipment},
        **{f"run/{id}": 1 for id in found.runs},
        **{f"electrode/{id}": 1 for id in at_a_drawn_place},
    }


@settings(max_examples=60, deadline=None)
@given(SEEDS)
def test_every_sheet_fits_a_letter_page_with_letters_of_seven_points(seed: int) -> None:
    for drawing in risers(readings_of(seen_from_outside(seed))):
        assert drawing.width <= PORTRAIT.width
        assert drawing.height <= PORTRAIT.height
        assert min(mark.size for mark in flat(drawing.items) if isinstance(mark, Text)) >= BODY


def test_heights_are_those_of_the_survey() -> None:
    found = house(
        meter={"meter_height_in": 62.0, "from_gas_ft": 4.0},
        drop={"attachment_height_ft": 14.5, "lowest_over_ground_ft": 11.0, "roof_slope_in_12": 4.0},
    )
    printed = words_of(risers(readings_of(found))).replace("\u00a0", " ")
    for words in ("attachment 14 ft 6 in", "lowest point 11 ft", "meter height 5 ft 2 in", "roof slope 4 in 12",
                  "4 ft from gas equipment"):  # fmt: skip
        assert words in printed


def test_what_nobody_measured_is_said_and_no_height_is_drawn() -> None:
    drawings = risers(readings_of(house()))
    printed = words_of(drawings)
    for words in ("attachment not known", "meter height not known", "roof slope not known", "drip loop: not known",
                  "length not known", "not to scale"):  # fmt: skip
        assert words in printed
    assert not arrows_of_height(drawings)
    assert arrows_of_height(risers(readings_of(house(drop={"attachment_height_ft": 14.5}))))


def arrows_of_height(drawings: tuple[Drawing, ...]) -> list[Polyline]:
    marks = [mark for drawing in drawings for mark in flat(drawing.items)]
    return [mark for mark in marks if isinstance(mark, Polyline) and mark.points[0][0] == DIMENSION]


def test_a_way_that_nobody_knows_is_dotted_and_said() -> None:
    drawings = risers(readings_of(house(drop={"overhead": None})))
    first = next(mark for mark in group(drawings, "run/drop").items if isinstance(mark, Polyline))
    assert first.dash == DASHES[""]
    assert "overhead or buried: not" in words_of(drawings)


def test_the_utilitys_word_tells_how_its_run_arrives() -> None:
    drawings = risers(readings_of(house(drop={"overhead": None}, utility={"supply": "underground"})))
    assert "cover not known" in words_of(drawings)


def test_an_electrode_that_is_not_joined_has_no_line_to_an_enclosure() -> None:
    rods = {"rod": {"kind": "rod", "building": "house", "connected": False, "conductor_to": "meter"}}
    drawings = risers(readings_of(house(electrodes=rods)))
    assert "not joined" in words_of(drawings)
    joined = risers(readings_of(house(electrodes={"rod": {**rods["rod"], "connected": True}})))
    assert len(list(flat(joined[0].items))) > len(list(flat(drawings[0].items)))


def test_a_place_with_more_than_a_page_goes_on_over_the_end_of_the_sheet() -> None:
    many = {f"d{n}": {"kind": "disconnect", "building": "house", "outdoors": True} for n in range(14)}
    runs = {f"r{n}": {"from": "meter", "to": f"d{n}"} for n in range(14)}
    base = house()
    more = installation(equipment=many, runs=runs)
    found = base.model_copy(
        update={"equipment": {**base.equipment, **more.equipment}, "runs": {**base.runs, **more.runs}}
    )
    drawings = risers(readings_of(found))
    assert len(drawings) > 1
    assert "House, continued" in words_of(drawings[1:])
    assert [collisions(drawing) for drawing in drawings] == [[]] * len(drawings)


def test_an_empty_survey_has_no_riser() -> None:
    assert risers(readings_of(installation())) == ()


@pytest.mark.parametrize(
    ("value_in", "written"),
    [(30.0, "30 in"), (36.0, "3 ft"), (66.0, "5 ft 6 in"), (62.5, "5 ft 2.5 in"), (None, "not known")],
)
def test_heights_are_written_as_the_trade_does(value_in: float | None, written: str) -> None:
    assert inches(value_in).replace("\u00a0", " ") == written


def test_the_same_readings_give_the_same_bytes() -> None:
    first, second = ([to_svg(drawing) for drawing in risers(example("orchard"))] for _ in range(2))
    assert first == second
