"""The line of every key, however it is written."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from driploop.survey.emit import toml_key, toml_value
from driploop.survey.places import find_places

TEXT = '''\
# a comment with [brackets] and "quotes
format = 1
title = """
[not.a.header]
key = "not a key" ""
"""
path = \'\'\'
'quoted' [x]
y = 2\'\'\'

[circuits.range]   # [no.header]
poles = 2
"quoted key" = 1
'literal key' = 1
note = "has \\" and # and ]"
b.c.d = 3

  [ circuits . "dryer one" ]
  poles = 1979-05-27 07:32:00

[loads]
fan = { hp = "1/2", never_with = [
  "a",   # one ] }
  "b",
], inner = { va = 5 } }
empty = []
none = {}

[[lists]]
a = 1
[[lists]]
a = 2
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("format",), 2),
        (("title",), 3),
        (("path",), 7),
        (("circuits", "range"), 11),
        (("circuits",), 11),
        (("circuits", "range", "poles"), 12),
        (("circuits", "range", "quoted key"), 13),
        (("circuits", "range", "literal key"), 14),
        (("circuits", "range", "note"), 15),
        (("circuits", "range", "b", "c", "d"), 16),
        (("circuits", "range", "b"), 16),
        (("circuits", "dryer one"), 18),
        (("circuits", "dryer one", "poles"), 19),
        (("loads",), 21),
        (("loads", "fan"), 22),
        (("loads", "fan", "hp"), 22),
        (("loads", "fan", "never_with"), 22),
        (("loads", "fan", "never_with", "0"), 23),
        (("loads", "fan", "never_with", "1"), 24),
        (("loads", "fan", "inner", "va"), 25),
        (("loads", "empty"), 26),
        (("loads", "none"), 27),
        (("lists", "0"), 29),
        (("lists", "0", "a"), 30),
        (("lists", "1", "a"), 32),
        (("lists",), 29),
    ],
)
def test_the_line_of_a_key(path: tuple[str, ...], line: int) -> None:
    assert find_places(TEXT).line(path) == line
    assert find_places(TEXT.replace("\n", "\r\n")).line(path) == line


def test_a_key_that_is_not_written_has_the_line_of_what_is_around_it() -> None:
    assert find_places(TEXT).line(("circuits", "range", "ocpd_a")) == 11
    assert find_places(TEXT).line(("loads", "fan", "inner", "kw")) == 25
    assert find_places(TEXT).line(("bonds", "gas")) is None


def test_the_place_of_a_value_is_the_value() -> None:
    places = find_places(TEXT)
    place = places.keys[("loads", "fan", "hp")]
    assert TEXT[place.value_start : place.value_end] == '"1/2"'
    title = places.keys[("title",)]
    assert TEXT[title.value_start : title.value_end].startswith('"""\n[not')
    assert TEXT[title.value_start : title.value_end].endswith('""\n"""')


NAMES = st.text(st.characters(codec="utf-8", exclude_characters="\x00"), min_size=1, max_size=8)
PLAIN = st.one_of(st.booleans(), st.integers(-(10**6), 10**6), st.text(max_size=12))
VALUES = st.recursive(PLAIN, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3))


@given(st.dictionaries(NAMES, st.dictionaries(NAMES, VALUES, max_size=3), max_size=4))
def test_every_key_of_any_file_is_found_where_its_value_stands(tables: dict[str, dict[str, object]]) -> None:
    lines: list[str] = []
    for table, keys in tables.items():
        lines.append(f"[{toml_key(table)}]  # = [ {{")
        lines.extend(f"{toml_key(key)} = {toml_value(value)}" for key, value in keys.items())
    text = "\n".join(lines)
    assert tomllib.loads(text) == tables
    places = find_places(text)
    for table, keys in tables.items():
        for key, value in keys.items():
            place = places.keys[(table, key)]
            assert tomllib.loads(f"v = {text[place.value_start : place.value_end]}")["v"] == value
