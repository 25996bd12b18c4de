"""A field changed in the lines of its table alone: letter for letter what changing it in the whole file comes to."""

from __future__ import annotations

import random
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path as FilePath
from typing import Any

import pytest

from driploop.survey.edit import remove, set_value
from driploop.survey.layout import BY_ID, SINGLE
from driploop.survey.lines import changed_in_lines
from driploop.survey.places import Path
from driploop.survey.syntax import tables_of
from driploop.survey.write import changed_text

EXAMPLES = sorted((FilePath(__file__).resolve().parents[2] / "examples").glob("*.toml"))
VALUES = (7, 0.5, True, "copper", 'a "b" \\ # [runs.x]', ["x", "y"], [], None)


def _fields(tables: Mapping[str, Any]) -> Iterator[Path]:
    """Every field that is written, and in every table one that is not."""
    for name, held in tables.items():
        if name in SINGLE and name != "proposal" and isinstance(held, Mapping):
            yield from ((name, key) for key in (*held, "not_there_yet"))
        if name in BY_ID:
            yield from ((name, id, key) for id, part in held.items() for key in (*part, "not_there_yet"))


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.stem)
def test_comes_to_what_a_change_of_the_whole_text_comes_to(file: FilePath) -> None:
    text, chance = file.read_text(encoding="utf-8"), random.Random(1)
    done = 0
    for path in list(_fields(tomllib.loads(text))):
        value = chance.choice(VALUES)
        tables = tomllib.loads(text)
        changed = changed_in_lines(text, tables, path, value)
        assert tables == tomllib.loads(text), "the tables before stay as they were"
        if changed is None:
            continue
        done += 1
        whole = remove(text, path) if value is None else set_value(text, path, value)
        assert changed[0] == whole
        assert repr(changed[1]) == repr(tomllib.loads(whole)), "in the same order too"
        if value is not None and chance.random() < 0.3:
            text = whole  # go on from there
    assert done > 100


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ('[town]\nname = """\n[town]\n"""\n', "a string over several lines"),
        ("[town]\r\nname = 'x'\r\n", "ends of lines that are not plain"),
        ("town.name = 'x'\n", "no header"),
        ("[town]\nname = 'x'\n[town.more]\na = 1\n", "the table goes on elsewhere"),
        ("[town]\nname = [\n[1, 2],\n]\n", "a list over several lines that looks like a header"),
        ("[[town]]\nname = 'x'\n", "a list of tables"),
    ],
)
def test_leaves_to_the_whole_file_what_cannot_be_told_by_lines(text: str, why: str) -> None:
    assert changed_in_lines(text, tomllib.loads(text), ("town", "permit_date"), "2026-01-02") is None, why


def test_a_field_set_to_what_a_header_looks_like_stays_a_field() -> None:
    text = "[town]\nname = 'x'\n# [town]\n\n[soil]\n"
    changed = changed_in_lines(text, tomllib.loads(text), ("town", "name"), "\n[soil]\n")
    assert changed is not None
    assert tomllib.loads(changed[0]) == changed[1] == {"town": {"name": "\n[soil]\n"}, "soil": {}}


def test_tables_handed_on_are_those_of_the_text() -> None:
    text = EXAMPLES[0].read_text(encoding="utf-8")
    for number in range(30):
        text = changed_text(text, {"town.name": f"Thimble {number}"})
        assert repr(tables_of(text, name="x")) == repr(tomllib.loads(text))
