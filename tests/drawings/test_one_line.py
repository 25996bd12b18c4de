"""The one-line diagram: everything on it once, nothing on top of anything else, within its page."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drawings.collisions import collisions, ids
from drawings.readings import EXAMPLE_NAMES, example, installation, readings_of
from drawings.trees import tree
from driploop.drawings import one_lines, to_svg
from driploop.drawings.display import BODY, LANDSCAPE, PORTRAIT, Drawing, Text, flat
from driploop.installation import Installation

SEEDS = st.integers(0, 10**9)


def words_of(drawings: tuple[Drawing, ...]) -> str:
    return " | ".join(mark.words for drawing in drawings for mark in flat(drawing.items) if isinstance(mark, Text))


def house(**main: object) -> Installation:
    panel = {"kind": "panel", "name": "House panel", "building": "house", "rating_a": 200.0} | main
    return installation(
        buildings={"house": {"name": "House"}},
        equipment={"meter": {"kind": "meter", "building": "house"}, "panel": panel},
        runs={
            "drop": {"from": "utility", "to": "meter", "owner": "utility", "wires": 3},
            "service": {"from": "meter", "to": "panel", "wires": 3},
        },
    )


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
@pytest.mark.parametrize("compact", [False, True])
def test_nothing_collides_in_the_examples(name: str, compact: bool) -> None:
    for drawing in one_lines(example(name), title="As found", compact=compact):
        assert collisions(drawing) == []


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_nothing_collides_whatever_the_tree(seed: int) -> None:
    found = tree(seed)
    readings = readings_of(found)
    for drawing in (*one_lines(readings, title="As found"), *one_lines(readings, title="As found", compact=True)):
        assert collisions(drawing) == []


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_every_enclosure_and_run_is_drawn_exactly_once(seed: int) -> None:
    found = tree(seed)
    drawn = Counter(ids(one_lines(readings_of(found), title="As found")))
    assert {id: n for id, n in drawn.items() if id.startswith(("equipment/", "run/"))} == {
        "equipment/utility": 1,
        **{f"equipment/{id}": 1 for id in found.equipment},
        **{f"run/{id}": 1 for id in found.runs},
    }


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_every_sheet_fits_a_letter_page_with_letters_of_seven_points(seed: int) -> None:
    found = tree(seed)
    for drawing in one_lines(readings_of(found), title="As found"):
        page = LANDSCAPE if drawing.landscape else PORTRAIT
        assert (drawing.width, drawing.height) <= (page.width, page.height)
        assert drawing.height <= page.height
        assert min(mark.size for mark in flat(drawing.items) if isinstance(mark, Text)) >= BODY == 7.0


def test_what_nobody_knows_is_said() -> None:
    printed = words_of(one_lines(readings_of(house()), title="As found"))
    for words in ("main not known", "size not known", "length not known", "neutral bond not known"):
        assert words in printed


def test_rating_main_role_and_bond_are_said_in_words() -> None:
    found = house(main="breaker", main_a=150.0, neutral_bonded=True)
    printed = words_of(one_lines(readings_of(found), title="As found"))
    assert "panel, 200 A, main breaker 150 A" in printed
    assert "service disconnect" in printed
    assert "neutral bonded to enclosure" in printed


def test_an_emergency_disconnect_is_said_to_be_no_service_equipment() -> None:
    printed = words_of(one_lines(readings_of(house(role="emergency disconnect")), title="As found"))
    assert "emergency disconnect, not service equipment" in printed.replace(" | ", " ")


def test_a_few_circuits_stand_beside_their_panel_and_many_on_a_sheet_of_their_own() -> None:
    def with_circuits(count: int) -> tuple[Drawing, ...]:
        circuits = {
            f"c{n}": {"from": "panel", "position": str(n), "serves": f"room {n}", "ocpd_a": 20.0, "poles": 1}
            for n in range(1, count + 1)
        }
        return one_lines(readings_of(house().model_copy(update={"circuits": _circuits(circuits)})), title="As found")

    few, many = with_circuits(7), with_circuits(45)
    assert len(few) == 1
    assert "see the circuit sheet" not in words_of(few)
    assert len(many) == 2
    assert "45 circuits: see the circuit sheet" in words_of(many)
    for number in range(1, 46):
        assert f"| room {number} |" in words_of(many[1:])


def _circuits(circuits: dict[str, dict[str, object]]) -> dict[str, object]:
    return dict(installation(circuits=circuits).circuits)


def test_a_proposal_names_what_is_taken_out_and_says_what_to_do_with_a_bond() -> None:
    found = house(neutral_bonded=True)
    main = installation(equipment={"main": {"kind": "disconnect", "is_new": True, "main": "breaker"}}).equipment["main"]
    runs = installation(
        runs={"service": {"from": "meter", "to": "main"}, "feeder": {"from": "main", "to": "panel", "is_new": True}}
    ).runs
    kept = {**found.equipment, "main": main}
    proposed = found.model_copy(
        update={"state": "proposed", "equipment": kept, "runs": {"drop": found.runs["drop"], **runs}}
    )
    gone = found.model_copy(
        update={"runs": {**found.runs, "old": runs["service"].model_copy(update={"name": "Old cable"})}}
    )
    printed = words_of(one_lines(readings_of(proposed, found=gone), title="As proposed"))
    assert "Taken out: Old cable." in printed
    assert "take out the bond found" in printed


def test_the_same_readings_give_the_same_bytes() -> None:
    first, second = ([to_svg(drawing) for drawing in one_lines(example("orchard"), title="As found")] for _ in range(2))
    assert first == second


def test_equipment_without_a_known_supply_is_drawn_and_said_to_be_so() -> None:
    adrift = installation(equipment={"lost": {"kind": "panel", "name": "Lost panel"}})
    drawings = one_lines(readings_of(adrift), title="As found")
    assert "equipment/lost" in ids(drawings)
    assert "what supplies it is not known" in words_of(drawings)
