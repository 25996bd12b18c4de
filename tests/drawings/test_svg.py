"""A drawing as SVG."""

from __future__ import annotations

from xml.etree import ElementTree

from drawings.readings import installation, readings_of
from driploop.drawings import Drawing, one_lines, to_svg
from driploop.drawings.display import Arc, Circle, Group, Polyline, Rect, Text

NAMESPACE = "{http://www.w3.org/2000/svg}"
NASTY = 'Barn <&> "west" \x07'


def drawing(*items: object) -> Drawing:
    return Drawing("sheet", "Title & more", "What <it> shows", 100, 50, tuple(items))  # type: ignore[arg-type]


def test_words_stay_words_and_are_escaped() -> None:
    root = ElementTree.fromstring(to_svg(drawing(Text(1, 2, NASTY))))
    assert [text.text for text in root.iter(f"{NAMESPACE}text")] == ['Barn <&> "west" \ufffd']


def test_names_from_a_survey_keep_the_document_well_formed() -> None:
    found = installation(equipment={"x": {"kind": "panel", "name": NASTY}}, runs={"r": {"from": "utility", "to": "x"}})
    for each in one_lines(readings_of(found), title=NASTY):
        ElementTree.fromstring(to_svg(each))


def test_only_a_view_box_gives_the_size() -> None:
    root = ElementTree.fromstring(to_svg(drawing()))
    assert root.get("viewBox") == "0 0 100 50"
    assert root.get("width") is None
    assert root.get("height") is None


def test_title_and_description_are_there_for_a_screen_reader() -> None:
    root = ElementTree.fromstring(to_svg(drawing()))
    title, description = root.find(f"{NAMESPACE}title"), root.find(f"{NAMESPACE}desc")
    assert title is not None
    assert description is not None
    assert (title.text, description.text) == ("Title & more", "What <it> shows")
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"


def test_a_group_has_an_id_and_a_link_where_one_is_given() -> None:
    panel = Group("equipment/house-panel", "House panel", (Rect(0, 0, 5, 5),))
    plain = to_svg(drawing(panel))
    linked = to_svg(drawing(panel), link=lambda id: f"#why-{id}" if id.startswith("equipment") else None)
    assert 'id="sheet-equipment-house-panel"' in plain
    assert "<a " not in plain
    assert '<a href="#why-equipment/house-panel">' in linked


def test_every_mark_is_written_with_fixed_decimals() -> None:
    marks = (
        Polyline(((0, 1 / 3), (2, -0.001)), dash="3 2"), Rect(0, 0, 2.5, 3, fill="red"), Circle(1, 1, 2 / 3),
        Arc(10, 10, 5, -90, 90),
    )  # fmt: skip
    text = to_svg(drawing(*marks))
    assert 'points="0,0.33 2,0"' in text
    assert 'stroke-dasharray="3 2"' in text
    assert 'fill="#b3131b"' in text
    assert 'r="0.67"' in text
    assert 'd="M 10 5 A 5 5 0 0 1 10 15"' in text
