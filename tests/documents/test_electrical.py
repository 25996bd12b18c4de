"""Fault currents, voltages and the open neutral on paper."""

from __future__ import annotations

import pytest

from driploop.documents import packet_data

from .packets import NAMES, example, example_data, plan_of, tables


@pytest.mark.parametrize("name", NAMES)
def test_every_enclosure_has_its_fault_currents_and_voltages(name: str) -> None:
    data = example_data(name)
    by_title = {table["title"]: table for group in data["electrical"] for table in group["tables"]}
    reached = example(name).final.faults.largest
    for title in ("Fault current at each enclosure", "Voltage at each enclosure: Calculated load"):
        assert len(by_title[title]["rows"]) == len(reached)


@pytest.mark.parametrize("name", NAMES)
def test_what_they_rest_on_is_told_and_not_twice(name: str) -> None:
    data = example_data(name)
    assert data["electrical"][-1]["title"] == "What fault currents and voltages rest on"
    listed = set(example(name).assumptions)
    rows = data["electrical"][-1]["tables"][0]["rows"]
    assert rows
    assert not any(a in listed and a.where in str(rows) for a in example(name).final.faults.assumptions)


@pytest.mark.parametrize("name", NAMES)
def test_the_open_neutral_shows_a_load_that_would_burn(name: str) -> None:
    page = example_data(name)["open_neutral"]
    assert page is not None
    burning = page["tables"][-1]
    assert any("burn" in str(row) or "fail" in str(row) for row in burning["rows"])


def test_a_survey_without_anything_has_no_such_pages() -> None:
    data = packet_data(plan_of("format = 1\n"))
    assert data["electrical"] == []
    assert data["open_neutral"] is None
    assert not [table for table in tables(data) if table["title"].startswith("Fault current")]


@pytest.mark.parametrize("name", NAMES)
def test_the_one_line_carries_the_fault_current(name: str) -> None:
    from driploop.drawings import one_lines
    from driploop.drawings.display import Text, flat

    readings = example(name).final
    items = [item for drawing in one_lines(readings, title="x") for item in flat(drawing.items)]
    words = " ".join(item.words for item in items if isinstance(item, Text)).replace("\u00a0", " ")
    assert all(f"{readings.faults.available_a(id):,.0f} A" in words for id in readings.faults.largest)
