"""Duties and old disconnects in the packet: each on its line, alike ones together, counted for the quote."""

from __future__ import annotations

import pytest

from driploop.documents.duties import grouped_duties
from driploop.documents.text import sentence

from .packets import NAMES, example, example_data


def rows(data: dict, name: str) -> list[list[list[str]]]:
    return [row for table in data[name]["tables"] for row in table["rows"]]


def plain(words: str) -> str:
    return words.replace("\u200b", "").replace("\u00a0", " ")


@pytest.mark.parametrize("name", NAMES)
def test_every_group_of_duties_has_its_row(name: str) -> None:
    groups = grouped_duties(example(name).final.duties)
    printed = [plain(line) for row in rows(example_data(name), "duties") for cell in row for line in cell]
    assert len(rows(example_data(name), "duties")) == len(groups)
    for group in groups:
        assert plain(group.first.reason) in printed
        assert sum(len(each.duties) for each in groups) == len(example(name).final.duties)


def test_what_is_to_be_bought_is_summed_over_alike_circuits() -> None:
    groups = grouped_duties(example("bungalow").final.duties)
    three = [group for group in groups if group.first.id == "arc-fault-protection" and len(group.duties) == 3]
    assert [group.needs for group in three] == ["3 x arc-fault breaker, one pole"]


def test_a_measure_cites_its_worksheet() -> None:
    data = example_data("bungalow")
    heads = [column["head"] for column in data["duties"]["tables"][0]["columns"]]
    cited = [row[heads.index("Worksheet lines")][0] for row in data["duties"]["tables"][0]["rows"]]
    numbers = {sheet["number"] for sheet in data["worksheets"]}
    assert any(cited)
    assert {plain(each).split(".")[0] for each in cited if each} <= numbers


@pytest.mark.parametrize("name", NAMES)
def test_every_old_enclosure_has_its_row(name: str) -> None:
    printed = [plain(row[0][0]) for row in rows(example_data(name), "disconnects")]
    assert printed == [sentence(each.title) for each in example(name).final.old_disconnects]
