"""The packet's section on circuits: every circuit once, its figures led back to worksheets."""

from __future__ import annotations

import pytest

from driploop.documents.circuits import circuit_words, start_words

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


@pytest.mark.parametrize("name", NAMES)
def test_what_circuits_and_panels_assume_is_printed_with_the_other_assumptions(name: str) -> None:
    plan, tables = example(name), example_data(name)["assumptions"]
    assert len({str(row) for t in tables for row in t["rows"]}) == sum(len(t["rows"]) for t in tables)
    titles = [t["title"] for t in tables]
    assert "Circuits, their duties and old disconnects" in titles
    assert "Panel layouts" in titles
    printed = {plain(cell) for t in tables for row in t["rows"] for lines in row for cell in lines}
    for each in plan.all_assumptions:
        assert plain(each.assumed) in printed, each


def test_circuits_that_feed_the_same_are_told_apart_by_their_panel() -> None:
    graph = example("two-family").final.graph
    ranges = [id for id, circuit in graph.installation.circuits.items() if circuit.serves == "range"]
    assert len(ranges) == 2
    names = {circuit_words(graph, id) for id in ranges}
    assert names == {"range (New downstairs panel)", "range (New upstairs panel)"}


def test_whether_a_breaker_rides_the_start_is_told_beside_it() -> None:
    protections = example("orchard").protections[1] or {}
    told = {each.start: start_words(each) for each in protections.values()}
    assert told == {None: "", "holds": "rides the start", "may open": "may open at the start"}
    data = example_data("orchard")["circuits"]
    cells = [cell for t in data[:-1] for row in t["rows"] for cell in row]
    assert ["40 a 2-pole", "may open at the start"] in [[plain(line) for line in cell] for cell in cells]


def plain(words: str) -> str:
    """Words of a cell without what only paper needs."""
    return words.replace("\u200b", "").replace("\u00a0", " ").lower()
