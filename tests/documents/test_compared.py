"""The comparison on paper: every offered way with its figures and worksheet, every other one with its reason."""

from __future__ import annotations

from functools import partial

import pytest

from driploop.documents.compared import SIDE_BY_SIDE, comparison_data
from driploop.documents.register import Register

from .packets import example
from .ways import compared, figures, way


def data(count: int = 2, register: Register | None = None) -> dict[str, object]:
    plan = example("bungalow")
    cite = partial((register or Register()).cite, "A")
    return comparison_data(compared(plan, count), cite, plan.found.installation)


def cells(head: str, told: dict[str, object]) -> list[list[str]]:
    rows = [row for table in told["tables"] for row in table["rows"] if row[0] == head]  # type: ignore[attr-defined]
    return [list(cell) for row in rows for cell in row[1]]


@pytest.mark.parametrize("count", [1, SIDE_BY_SIDE, SIDE_BY_SIDE + 1, 3 * SIDE_BY_SIDE])
def test_every_offered_way_stands_in_a_table_and_is_told(count: int) -> None:
    told = data(count)
    heads = [head for table in told["tables"] for head in table["heads"]]  # type: ignore[attr-defined]
    assert heads == [[str(number), f"Way w{number}"] for number in range(1, count + 1)]
    assert [each["number"] for each in told["each"]] == [head[0] for head in heads]  # type: ignore[attr-defined]
    assert all(len(table["heads"]) <= SIDE_BY_SIDE for table in told["tables"])  # type: ignore[attr-defined]


def test_figures_are_printed_with_their_units() -> None:
    told = data(1)
    assert cells("Service rating", told) == [["200 A", ""]]
    assert cells("Room left, governing method", told) == [["54 A", ""]]
    assert cells("Room left, standard method", told) == [["short by 10 A", "not permitted here"]]
    assert cells("Room left with Spa", told) == [["14 A", ""]]
    assert cells("New conductor", told) == [["88 ft", "4/0 AWG aluminum 66 ft; 2/0 AWG aluminum 22 ft"]]
    assert cells("Enclosures", told) == [["2 new of 3", ""]]
    assert cells("Steps that need the power off", told) == [["1 of 4", "25%"]]
    assert cells("Three-wire ranges and dryers renewed", told) == [["1", "range"]]


def test_a_length_that_nobody_knows_is_said() -> None:
    plan = example("bungalow")
    lone = compared(plan, 1)
    unknown = way(plan, "w1", figures=figures("w1", conductor_ft={}, length_unknown=("Feeder",)))
    changed = type(lone)((unknown,), (), (), (), (), ())
    told = comparison_data(changed, partial(Register().cite, "A"), plan.found.installation)
    assert cells("New conductor", told) == [["0 ft", "length not known: Feeder"]]


def test_each_way_cites_a_worksheet_of_its_own_that_will_be_printed() -> None:
    register = Register()
    plan = example("bungalow")
    ways = (way(plan, "w1"), way(plan, "w2", figures=figures("w2", rating_a=150.0)))
    changed = type(compared(plan))(ways, (), (), (), ("headroom",), ())
    told = comparison_data(changed, partial(register.cite, "A"), plan.found.installation)
    assert told["tables"][0]["sheets"] == ["A1", "A2"]
    assert [entry.number for entry in register.entries()] == ["A1", "A2"]


def test_what_is_not_offered_stands_with_its_reason_and_section() -> None:
    told = data()
    (refused,), (folded,) = told["refused"], told["folded"]  # type: ignore[misc]
    assert [cell[0] for cell in refused["rows"][0]] == ["Main inside alone", "No disconnect outdoors", "230.85"]  # type: ignore[index]
    assert [cell[0] for cell in folded["rows"][0]] == [  # type: ignore[index]
        "Way beaten", "number 1", "Not better in any figure, one enclosure more",
    ]  # fmt: skip


def test_what_must_be_known_first_is_named_with_its_path() -> None:
    plan = example("bungalow")
    open_ = way(plan, "w1", standing="needs an answer", needs_answers=("equipment.meter.rating_a",))
    changed = type(compared(plan))((open_,), (), (), (), (), ())
    told = comparison_data(changed, partial(Register().cite, "A"), plan.found.installation)
    lists = dict(map(tuple, told["each"][0]["lists"]))
    assert lists["Must be known first"] == ["Meter (equipment.meter.rating_a)"]
    assert cells("Standing", told) == [["Needs an answer", ""]]
