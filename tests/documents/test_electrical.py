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


@pytest.mark.parametrize("name", NAMES)
def test_each_kind_of_fault_stands_with_its_largest_its_smallest_and_the_hand_method(name: str) -> None:
    from driploop.documents.electrical import fault_current_table, fault_tables_apart

    readings = example(name).final
    faults = readings.faults
    whole = fault_current_table(readings, lambda *_, place="": "")
    heads = [column.head for column in whole.columns]
    for row, id in zip(whole.rows, faults.largest, strict=True):
        for kind in ("line_to_line", "line_to_neutral", "line_to_ground"):
            cell = row[heads.index(kind.replace("_", " ").capitalize())]
            most, least = (getattr(of[id], f"{kind}_a") for of in (faults.largest, faults.smallest))
            assert cell == (f"{most:,.0f} A", f"{least:,.0f} A")
        by_hand = faults.by_hand[id]
        assert row[heads.index("By hand")] == (
            f"{by_hand.line_to_line_a:,.0f} A", f"{by_hand.line_to_neutral_a:,.0f} A",
        )  # fmt: skip
    assert "point-to-point" in whole.note
    first, second = fault_tables_apart(readings, lambda *_, place="": "")
    assert all(isinstance(cell, str) for row in (*first.rows, *second.rows) for cell in row)
    assert len(first.rows) == len(second.rows) == len(whole.rows)


def test_a_calculated_load_far_over_the_transformer_is_said() -> None:
    from driploop.documents.electrical import voltage_table

    readings = example("orchard").final
    assert "too much for 25 kVA: ask the utility" in voltage_table(readings, readings.voltages.calculated).note
    small = example("goat-dairy").final
    assert "too much" not in voltage_table(small, small.voltages.calculated).note


def test_everything_an_overhead_run_passes_is_held_against_its_section() -> None:
    from driploop.documents.soil_and_drop import clearance_table

    plan = plan_of(
        'format = 1\n[town]\nedition = "NEC 2023"\n[buildings.house]\nuse = "dwelling"\n'
        '[equipment.panel]\nkind = "panel"\nbuilding = "house"\n'
        '[runs.drop]\nfrom = "utility"\nto = "panel"\nowner = "utility"\noverhead = true\nspan_ft = 100\n'
        'line_size = "2 AWG"\npole_attachment_height_ft = 22\nattachment_height_ft = 16\nlowest_over_ground_ft = 14\n'
        'ground_below = "residential drive"\nover_roof_ft = 4\nfrom_openings_ft = 2.5\n'
    )
    rows = {row[1]: row for row in clearance_table(plan).rows}
    assert list(rows) == ["over the ground", "over the roof", "from windows and doors"]
    assert rows["over the ground"][4:] == ("12 ft", "clears", "230.24(B)(2)")
    assert rows["over the roof"][5] == rows["from windows and doors"][5] == "too near"
    assert rows["from windows and doors"][4] == "3 ft"
