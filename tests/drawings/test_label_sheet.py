"""Labels at true size."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drawings.collisions import collisions
from driploop.drawings import label_drawings
from driploop.drawings.display import CAPITAL, Rect, Text, flat
from driploop.marking.results import Label

EMERGENCY = Label(
    "emergency", "new-main", "outside front", ("EMERGENCY DISCONNECT,", "NOT SERVICE EQUIPMENT"), "red", "white", 0.5,
    "230.85(E)", "so that a firefighter finds it",
)  # fmt: skip
PLAIN = Label("panel", "house-panel", "inside the door", ("SERVICE DISCONNECT",), "", "", None, "230.70(B)", "why")


def test_capitals_are_as_high_as_the_code_asks() -> None:
    (drawing,) = label_drawings([EMERGENCY])
    letters = [m for m in flat(drawing.items) if isinstance(m, Text) and m.anchor == "middle"]
    assert " ".join(m.words for m in letters) == "EMERGENCY DISCONNECT, NOT SERVICE EQUIPMENT"
    assert all(m.size * CAPITAL == pytest.approx(36.0) and m.colour == "white" for m in letters)  # 1/2 in = 36 pt


def test_colors_are_drawn_and_told_in_words() -> None:
    (drawing,) = label_drawings([EMERGENCY])
    assert [m.fill for m in flat(drawing.items) if isinstance(m, Rect)] == ["red"]
    printed = " ".join(m.words for m in flat(drawing.items) if isinstance(m, Text))
    assert "White letters on a red background; letters at least 1/2 in high." in printed


def test_where_no_height_is_set_that_is_said() -> None:
    (drawing,) = label_drawings([PLAIN])
    assert "no height is set" in " ".join(m.words for m in flat(drawing.items) if isinstance(m, Text))


def test_labels_fit_a_letter_page_and_nothing_collides() -> None:
    for drawing in label_drawings([EMERGENCY, PLAIN]):
        assert drawing.width == 540
        assert collisions(drawing) == []


def test_the_caption_names_the_enclosure_as_people_call_it():
    named = replace(EMERGENCY, at="Outdoor service disconnect (downstairs)")
    (drawing,) = label_drawings([named])
    printed = " ".join(m.words for m in flat(drawing.items) if isinstance(m, Text))
    assert "For Outdoor service disconnect (downstairs): outside front" in printed
    assert "new main" not in printed
