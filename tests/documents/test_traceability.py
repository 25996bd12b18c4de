"""Every number of a schedule leads to the worksheet line that gives it, and the line gives that number."""

from __future__ import annotations

from typing import Any

import pytest

from driploop.documents import packet_data

from .packets import NAMES, example_data, lines_at, plan_without_proposal, references, tables


@pytest.mark.parametrize("name", NAMES)
def test_every_printed_reference_leads_to_a_printed_line(name: str) -> None:
    data = example_data(name)
    printed = list(references(data))
    assert len(printed) > 20
    for reference in printed:
        lines_at(data, reference)


@pytest.mark.parametrize("name", NAMES)
def test_every_printed_worksheet_is_cited(name: str) -> None:
    data = example_data(name)
    cited = {part.split(".")[0] for reference in references(data) for part in reference.split("; ")}
    assert cited == {sheet["number"] for sheet in data["worksheets"]}


@pytest.mark.parametrize("name", NAMES)
def test_no_worksheet_is_printed_twice(name: str) -> None:
    lines = [str(sheet["lines"]) for sheet in example_data(name)["worksheets"]]
    assert len(lines) == len(set(lines))


@pytest.mark.parametrize("name", NAMES)
def test_every_row_of_the_load_and_conductor_schedules_cites(name: str) -> None:
    for table in tables(example_data(name)):
        if table["title"] in ("Calculated load of each enclosure", "Conductor schedule", "Raceway schedule"):
            assert all(row[-1][0] for row in table["rows"]), table["title"]


def cells(table: dict[str, Any], row: list[list[str]]) -> dict[str, str]:
    return {column["head"]: cell[0] for column, cell in zip(table["columns"], row, strict=True)}


def whole_amperes(answer: str) -> str:
    """As the code rounds: 143.5 A is 144 A. Typed anew, not taken from the program."""
    number = float(answer.replace("\u00a0", " ").removesuffix(" A").replace(",", ""))
    return f"{int(number + 0.5):,}\u00a0A"


@pytest.mark.parametrize("name", NAMES)
def test_the_lines_cited_for_a_load_give_its_figures(name: str) -> None:
    data = example_data(name)
    rows = 0
    for table in tables(data):
        if table["title"] != "Calculated load of each enclosure":
            continue
        for row in table["rows"]:
            shown = cells(table, row)
            load, current, carried, neutral = (line["answer"] for line in lines_at(data, shown["Worksheet lines"]))
            assert load == shown["Load"]
            assert whole_amperes(current) == shown["Current"]
            assert whole_amperes(carried) == shown["Conductors carry"]
            assert whole_amperes(neutral) == shown["Neutral"]
            rows += 1
    assert rows


@pytest.mark.parametrize("name", NAMES)
def test_the_lines_cited_for_a_run_give_its_sizes(name: str) -> None:
    data = example_data(name)
    checked = 0
    for table in tables(data):
        if table["title"] != "Conductor schedule":
            continue
        for row in table["rows"]:
            shown = cells(table, row)
            answers = {line["what"]: line["answer"] for line in lines_at(data, shown["Worksheet lines"])}
            for what, answer in answers.items():
                if what.startswith("Line conductors") and "AWG" in answer:
                    assert answer in shown["Lines"]
                    checked += 1
                if what.startswith("Equipment ground") and "Ground" in shown and shown["Ground"] != "–":
                    assert answer == shown["Ground"]
                if what == "Load" and answer != "not known":
                    assert whole_amperes(answer) == shown["Load"]
    assert checked > 1


def test_without_a_proposal_the_schedules_as_found_cite_too() -> None:
    data = packet_data(plan_without_proposal())
    printed = list(references(data))
    assert printed
    for reference in printed:
        lines_at(data, reference)
    assert {reference[0] for reference in printed} == {"F", "H"}
