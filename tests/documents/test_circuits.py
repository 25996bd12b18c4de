"""The packet's section on circuits: every circuit once, its figures led back to worksheets."""

from __future__ import annotations

import pytest

from .packets import NAMES, example, example_data, lines_at


@pytest.mark.parametrize("name", NAMES)
def test_every_circuit_that_feeds_something_stands_once(name: str) -> None:
    shown = [row[0][0] for t in example_data(name)["circuits"][:-1] for row in t["rows"]]
    circuits = example(name).final.installation.circuits.values()
    assert sorted(shown) == sorted(c.serves or c.title for c in circuits if c.purpose != "spare")


@pytest.mark.parametrize("name", NAMES)
def test_the_largest_device_is_that_of_the_worksheet(name: str) -> None:
    data = example_data(name)
    for table in data["circuits"][:-1]:
        heads = [column["head"] for column in table["columns"]]
        for row in table["rows"]:
            answers = [line["answer"] for line in lines_at(data, row[heads.index("Worksheet lines")][0])]
            assert row[heads.index("Largest")][0] in answers
