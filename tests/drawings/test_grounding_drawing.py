"""The grounding drawing: every bond, electrode and jumper on it, nothing on top of anything else."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drawings.collisions import collisions, ids
from drawings.readings import EXAMPLE_NAMES, example, installation, readings_of
from drawings.trees import tree
from driploop.drawings import grounding_drawings
from driploop.drawings.display import LANDSCAPE, LONG_DASHED, PORTRAIT, Group, Polyline, Text, flat, groups
from driploop.grounding.results import Jumper
from driploop.installation import Installation

SEEDS = st.integers(0, 10**9)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_nothing_collides_in_the_examples(name: str) -> None:
    for drawing in grounding_drawings(example(name)):
        assert collisions(drawing) == []


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_nothing_collides_whatever_the_tree(seed: int) -> None:
    found = tree(seed)
    for drawing in grounding_drawings(readings_of(found)):
        assert collisions(drawing) == []
        page = LANDSCAPE if drawing.landscape else PORTRAIT
        assert drawing.height <= page.height


@settings(max_examples=40, deadline=None)
@given(SEEDS)
def test_every_enclosure_run_and_electrode_is_drawn_exactly_once(seed: int) -> None:
    found = tree(seed)
    drawn = Counter(ids(grounding_drawings(readings_of(found))))
    assert {id: n for id, n in drawn.items() if id.startswith(("equipment/", "run/", "electrode/"))} == {
        "equipment/utility": 1,
        **{f"equipment/{id}": 1 for id in found.equipment},
        **{f"run/{id}": 1 for id in found.runs},
        **{f"electrode/{id}": 1 for id in found.electrodes},
    }


def served(**panel: object) -> Installation:
    return installation(
        equipment={"main": {"kind": "disconnect", "neutral_bonded": True}, "panel": {"kind": "panel"} | panel},
        runs={
            "service": {"from": "utility", "to": "main", "wires": 3},
            "feeder": {
                "from": "main",
                "to": "panel",
                "wires": 4,
                "egc": "wire",
                "egc_size": "4 AWG",
                "egc_metal": "copper",
            },
        },
    )


def group(drawn: Installation, id: str) -> Group:
    return next(g for d in grounding_drawings(readings_of(drawn)) for g in groups(d.items) if g.id == id)


def joints(of: Group) -> int:
    """Heavy upright lines: joints between the neutral bar and the ground bar."""
    return sum(
        isinstance(mark, Polyline) and mark.weight > 2 and mark.points[0][0] == mark.points[1][0]
        for mark in flat(of.items)
    )


def test_bars_are_joined_only_where_the_neutral_is_bonded() -> None:
    found = served(neutral_bonded=False)
    assert joints(group(found, "equipment/main")) == 1
    assert joints(group(found, "equipment/panel")) == 0


def test_the_equipment_ground_is_a_dashed_line_of_its_own_and_absent_on_three_wires() -> None:
    dashed = [m for m in flat(group(served(), "run/feeder").items) if isinstance(m, Polyline) and m.dash]
    three = [m for m in flat(group(served(), "run/service").items) if isinstance(m, Polyline) and m.dash]
    assert len(dashed) == 1
    assert three == []


def test_no_neutral_is_drawn_where_none_is_needed() -> None:
    readings = readings_of(served())
    without = replace(readings.grounding.bonds["panel"], required="no neutral")
    grounding = replace(readings.grounding, bonds={**readings.grounding.bonds, "panel": without})
    drawings = grounding_drawings(replace(readings, grounding=grounding))
    run = next(g for d in drawings for g in groups(d.items) if g.id == "run/feeder")
    assert [m.dash for m in flat(run.items) if isinstance(m, Polyline)] == [LONG_DASHED]
    assert "no neutral" in [m.words for m in flat(run.items) if isinstance(m, Text)]


@pytest.mark.parametrize(
    ("connected", "told"), [(True, None), (False, "not joined"), (None, "whether it is joined is not known")]
)
def test_an_electrode_is_drawn_joined_only_when_somebody_saw_it(connected: bool | None, told: str | None) -> None:
    rod = {"kind": "rod", "building": "house", "conductor_to": "main", "connected": connected}
    main = {"kind": "disconnect", "building": "house"}
    found = installation(
        buildings={"house": {}},
        equipment={"main": main},
        runs={"service": {"from": "utility", "to": "main"}},
        electrodes={"rod": rod},
    )
    drawn = group(found, "electrode/rod")
    printed = [m.words for m in flat(drawn.items) if isinstance(m, Text)]
    assert (told in printed) is (told is not None)
    earth = 5  # the symbol's own strokes; the conductor that joins it is one more
    assert sum(isinstance(m, Polyline) for m in flat(drawn.items)) == (earth + 1 if connected else earth)


def test_a_jumper_no_enclosure_can_carry_is_told_in_words() -> None:
    readings = readings_of(served())
    lost = Jumper("x", "equipment bonding jumper", "well head", "8 AWG", "copper", "250.102", "why", "w", "k")
    grounding = replace(readings.grounding, jumpers=(*readings.grounding.jumpers, lost))
    drawings = grounding_drawings(replace(readings, grounding=grounding))
    printed = " ".join(m.words for d in drawings for m in flat(d.items) if isinstance(m, Text))
    assert "equipment bonding jumper 8 AWG copper at well head" in printed


def test_the_fault_path_is_told_once() -> None:
    printed = [m.words for d in grounding_drawings(example("orchard")) for m in flat(d.items) if isinstance(m, Text)]
    assert sum(words.startswith("Follow a fault") for words in printed) == 1
