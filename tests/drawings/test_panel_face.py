"""The face of a panel: every breaker at its space, no words on lines or on each other."""

from __future__ import annotations

import re

import pytest

from documents.packets import NAMES
from documents.packets import example as example_plan
from drawings.collisions import collisions
from driploop import plan, read_job_text
from driploop.drawings import panel_faces, to_svg
from driploop.drawings.display import Drawing, Text, groups
from panel.dairy import dairy
from panel.test_tandems_that_stay import JOB, WIRE


def faces() -> list[Drawing]:
    return [face for plan in (dairy(), *map(example_plan, NAMES)) for face in panel_faces(plan.panels)]


def test_no_words_touch_a_line_or_each_other() -> None:
    drawn = faces()
    assert len(drawn) > 6
    for face in drawn:
        assert collisions(face) == []


@pytest.mark.parametrize("equipment", ["barn-panel", "shop-panel"])
def test_every_circuit_is_drawn_once_and_its_words_are_real_text(equipment: str) -> None:
    readings = dairy().panels
    number = [each.equipment for each in readings].index(equipment)
    face = panel_faces(readings)[number]
    drawn = [group.id for group in groups(face.items) if group.id.startswith("circuits/")]
    assert sorted(drawn) == sorted(f"circuits/{c.id}" for c in readings[number].problem.circuits)
    svg = to_svg(face)
    for line in readings[number].directory:
        if line.circuit:
            assert re.search(f">{re.escape(line.words[:12])}", svg)


def test_both_names_of_a_tandem_have_room() -> None:
    job = JOB.format(label="tandem_spaces = [1]", most=16, wire=WIRE)
    (face,) = panel_faces(plan(read_job_text(job, name="job.toml")).panels)
    assert collisions(face) == []
    names = {item.words: item.y for group in groups(face.items) for item in group.items if isinstance(item, Text)}
    assert names["Stairs"] - names["Hall"] > 9  # points, of letters of 7


def test_a_panel_without_a_layout_is_not_drawn() -> None:
    assert panel_faces([]) == ()
