"""Drawings as DXF: no error in the file, words still words, true size, layers by kind, always the same bytes."""

from __future__ import annotations

import io
import math
from typing import Any

import pytest
from ezdxf.filemanagement import read

from driploop.documents import all_drawings, dxf
from driploop.documents.dxf import DxfMissingError, to_dxf
from driploop.drawings.display import Arc, Circle, Drawing, Group, Item, Polyline, Rect, Text, flat

from .packets import NAMES, example


def drawing(*items: Item) -> Drawing:
    return Drawing("test", "Test", "For a test", 144.0, 72.0, items)


def opened(made: Drawing) -> Any:
    return read(io.StringIO(to_dxf(made).decode("utf-8")))


def marks(made: Drawing, kind: str) -> list[Any]:
    return list(opened(made).modelspace().query(kind))


@pytest.mark.parametrize("name", NAMES)
def test_no_drawing_of_the_examples_has_a_fault_and_no_word_is_lost(name: str) -> None:
    for made in all_drawings(example(name)).values():
        document = opened(made)
        audit = document.audit()
        assert not audit.errors
        assert not audit.fixes
        written = [text.plain_text() for text in document.modelspace().query("TEXT")]
        assert written == [mark.words for mark in flat(made.items) if isinstance(mark, Text)]


def test_a_drawing_is_in_inches_with_y_upwards() -> None:
    made = drawing(Rect(0, 0, 144, 72), Text(72, 18, "here", size=10, anchor="middle"))
    document = opened(made)
    (outline,) = document.modelspace().query("LWPOLYLINE")
    corners = {(round(x, 6), round(y, 6)) for x, y, *_ in outline.get_points()}
    (words,) = document.modelspace().query("TEXT")
    assert document.header["$INSUNITS"] == 1
    assert corners == {(0, 0), (2, 0), (2, 1), (0, 1)}
    assert (words.dxf.align_point.x, words.dxf.align_point.y) == (1.0, 0.75)


def test_an_arc_keeps_its_side() -> None:
    made = drawing(Arc(36, 36, 18, -58, 58))
    (arc,) = marks(made, "ARC")
    middle = made.items[0].point(0)  # type: ignore[union-attr]
    turn = math.radians((arc.dxf.start_angle + arc.dxf.end_angle) / 2 % 360)
    if arc.dxf.start_angle > arc.dxf.end_angle:
        turn += math.pi
    assert arc.dxf.center.x + arc.dxf.radius * math.cos(turn) == pytest.approx(middle[0] / 72)
    assert arc.dxf.center.y + arc.dxf.radius * math.sin(turn) == pytest.approx(1 - middle[1] / 72)


def test_layers_are_the_kinds_of_the_outermost_groups() -> None:
    inner = Group("electrode/rod", "rod", (Circle(9, 9, 3),))
    made = drawing(Group("equipment/meter", "meter", (Rect(1, 1, 9, 9), inner)), Polyline(((0, 0), (9, 9))))
    layers = {entity.dxf.layer for entity in opened(made).modelspace()}
    assert layers == {"EQUIPMENT", "LINES"}


def test_dashes_and_fills_are_kept() -> None:
    made = drawing(
        Polyline(((0, 0), (9, 9)), dash="3 2"), Circle(9, 9, 2, 0.0, fill="black"), Rect(0, 0, 9, 9, fill="red"),
        Polyline(((0, 0), (5, 0), (5, 5), (0, 0)), filled=True), Rect(20, 20, 9, 9, fill="white"),
    )  # fmt: skip
    document = opened(made)
    types = {line.dxf.linetype for line in document.modelspace().query("LWPOLYLINE")}
    assert {"DASH_3_2", "CONTINUOUS"} == types
    whole = [tag.value for tag in document.linetypes.get("DASH_3_2").pattern_tags.tags if tag.code == 40]
    assert whole == [pytest.approx(5 / 72, abs=1e-6)]
    hatches = list(document.modelspace().query("HATCH"))
    assert len(hatches) == 3
    assert sum(hatch.dxf.hasattr("true_color") for hatch in hatches) == 1


@pytest.mark.parametrize("words", ["50%% of 3^2", "%%d", "%%%", "<é & 日本>", "\\P {x}", "a ^I b", "100%"])
def test_odd_characters_are_words_and_never_a_command(words: str) -> None:
    (text,) = marks(drawing(Text(1, 9, words)), "TEXT")
    assert text.plain_text() == words


def test_the_same_drawing_gives_the_same_bytes() -> None:
    made = next(iter(all_drawings(example("bungalow")).values()))
    assert to_dxf(made) == to_dxf(made)


def test_without_the_library_the_way_to_it_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def missing(name: str) -> None:
        return None

    monkeypatch.setattr(dxf, "find_spec", missing)
    with pytest.raises(DxfMissingError, match=r"driploop\[dxf\]"):
        to_dxf(drawing(Rect(0, 0, 9, 9)))
