"""The comparison on paper: every offered way with its figures and worksheet, every other one with its reason."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache, partial
from typing import Any

import pytest

from alternatives.bare import EXAMPLES, bare_text
from driploop.alternatives import alternatives_of
from driploop.documents import packet_data, packet_pdf
from driploop.documents.compared import SIDE_BY_SIDE, compared_data
from driploop.documents.register import Register
from driploop.planning import Plan

from .packets import NAMES, example, heading_pages, lines_at, plan_of, plan_without_proposal, texts
from .ways import UNKNOWN, compared, figures, way

TITLE = "Ways to build it"


def told(*changed: dict[str, Any], register: Register | None = None, plan: Plan | None = None) -> dict[str, Any]:
    """What the paper says of ways w1, w2 ... of the bungalow."""
    bungalow = plan or plan_without_proposal()
    ways = [way(bungalow, f"w{number}", **each) for number, each in enumerate(changed or ({}, {}), start=1)]
    return compared_data(compared(bungalow, *ways), None, bungalow, partial((register or Register()).cite, "A"))


def cells(head: str, data: dict[str, Any]) -> list[list[str]]:
    return [cell for table in data["tables"] for name, shown in table["rows"] if name == head for cell in shown]


def lists(data: dict[str, Any], number: int = 0) -> dict[str, list[str]]:
    return dict(data["each"][number]["lists"])


@pytest.mark.parametrize("count", [1, SIDE_BY_SIDE, SIDE_BY_SIDE + 1, 3 * SIDE_BY_SIDE])
def test_every_offered_way_stands_in_a_table_and_is_told(count: int) -> None:
    data = told(*[{}] * count)
    heads = [head for table in data["tables"] for head in table["heads"]]
    assert heads == [[str(number), f"Way w{number}", ""] for number in range(1, count + 1)]
    assert [(each["number"], each["id"]) for each in data["each"]] == [(head[0], f"w{head[0]}") for head in heads]
    assert all(len(table["heads"]) <= SIDE_BY_SIDE for table in data["tables"])


def test_every_figure_is_printed_with_its_unit() -> None:
    data = told({})
    assert cells("Service", data) == [["200 A", ""]]
    assert cells("Service conductors", data) == [["PVC 80, aluminum", ""]]
    assert cells("Feeder inside", data) == [["SER cable, aluminum", ""]]
    assert cells("Room left", data) == [["54 A", ""]]
    assert cells("- by Optional load", data) == [["54 A", ""]]
    assert cells("- by Standard load", data) == [["10 A short", "not permitted"]]
    assert cells("- by Metered load", data) == []
    assert cells("- with Spa", data) == [["14 A", ""]]
    assert cells("- and with Kiln", data) == [["6 A short", ""]]
    assert cells("Old circuits touched", data) == [["2", ""]]
    assert cells("- of these led on", data) == [["1", ""]]
    assert cells("Three-wire circuits lost", data) == [["1", "range"]]
    assert cells("New conductor", data) == [["88 ft", ""]]
    assert cells("- 4/0 AWG aluminum", data) == [["66 ft", ""]]
    assert cells("- 2/0 AWG aluminum", data) == [["22 ft", ""]]
    assert cells("Enclosures", data) == [["3", ""]]
    assert cells("- of these new", data) == [["2", ""]]
    assert cells("Steps of work", data) == [["4", ""]]
    assert cells("- with the power off", data) == [["1", "25%"]]


def test_a_length_that_nobody_knows_is_said() -> None:
    data = told({"figures": figures("w1", conductor_ft={}, length_unknown=("feeder",))})
    assert cells("New conductor", data) == [["0 ft", "and 1 run of unknown length"]]


def test_each_way_cites_a_worksheet_of_its_own_that_will_be_printed() -> None:
    register = Register()
    data = told({}, {"figures": figures("w2", rating_a=150.0)}, register=register)
    assert data["tables"][0]["sheets"] == ["A1", "A2"]
    assert [entry.number for entry in register.entries()] == ["A1", "A2"]


def test_what_is_not_offered_stands_with_its_reason_and_section() -> None:
    (refused,), (folded,) = told()["refused"], told()["folded"]
    (row,) = refused["rows"]
    assert [cell[0] for cell in row] == ["Main inside alone; Panel alone", "No disconnect outdoors.", "230.85"]
    assert [cell[0] for cell in folded["rows"][0]] == ["Way beaten", "1", "New enclosures: 3 against 2"]


def test_what_comes_with_every_way_is_told_once() -> None:
    data = told({}, {"mendings": ("Meter: put in one of 200 A", "Range: run a new circuit")})
    assert data["every"] == ["Meter: put in one of 200 A"]
    assert "Mended with it" not in lists(data)
    assert lists(data, 1)["Mended with it"] == ["Range: run a new circuit"]
    assert lists(told({}))["Mended with it"] == ["Meter: put in one of 200 A"]


def test_what_must_be_answered_first_stands_apart_from_what_speaks_against() -> None:
    asked = {"findings": (UNKNOWN,), "needs_answers": (UNKNOWN.where,), "standing": "needs an answer",
             "why_not": (f"to be answered first: {UNKNOWN.wrong}", "two circuits move")}  # fmt: skip
    data = told(asked)
    assert lists(data)["Why not"] == ["Two circuits move"]
    assert lists(data)["Answer first"] == [
        "Equipment.new-main (equipment.new-main): Its interrupting rating is not known."
    ]
    assert cells("Standing", data) == [["Needs an answer", ""]]


def test_what_changes_from_one_to_the_next_names_both() -> None:
    assert told()["steps"] == [["1", "2", "The main moves indoors; one box less."]]


# --- in a packet ---------------------------------------------------------------------------------------------------


@cache
def bare(name: str) -> Plan:
    """An example with nothing proposed, under the plain edition."""
    text = bare_text(EXAMPLES / f"{name}.toml")
    return plan_of("\n".join(line for line in text.splitlines() if not line.startswith("overlay =")))


@pytest.mark.parametrize("name", NAMES)
def test_a_survey_without_a_proposal_gets_the_comparison(name: str) -> None:
    plan = bare(name)
    pages = heading_pages(packet_pdf(plan))
    assert TITLE in list(pages)[1:3]  # after the cautions and the decision sheet, where there is one
    assert pages["Findings, as found"] - pages[TITLE] <= 3
    data = packet_data(plan)["compared"]
    offered = alternatives_of(plan.job, edition=plan.edition).offered
    assert [each["id"] for each in data["each"]] == [each.id for each in offered]
    assert bool(data["stages"]) is (plan.job.found.site_kind == "farm" and not data["no_stages"])


def test_a_proposal_is_compared_on_wish_and_marked() -> None:
    plan = example("bungalow")
    assert packet_data(plan)["compared"] is None
    data = packet_data(plan, with_alternatives=True)
    marks = {head[1]: head[2] for table in data["compared"]["tables"] for head in table["heads"] if head[2]}
    folded = [row[0][0] for table in data["compared"]["folded"] for row in table["rows"] if "as proposed" in row[0][0]]
    assert len(marks) + len(folded) == 1
    assert TITLE in heading_pages(packet_pdf(plan, with_alternatives=True))


def test_no_comparison_on_wish_or_where_nothing_is_listed() -> None:
    assert packet_data(bare("bungalow"), with_alternatives=False)["compared"] is None
    assert packet_data(plan_of("format = 1\n"))["compared"] is None


def test_a_proposal_that_is_not_lawful_is_said_to_be_so() -> None:
    inside = plan_of(bare_text(EXAMPLES / "bungalow.toml") + '\n[proposal]\nkind = "service disconnect inside"\n')
    data = packet_data(inside, with_alternatives=True)["compared"]
    assert data["proposed_refused"].startswith("Main inside, nothing outdoors")
    assert packet_pdf(inside, with_alternatives=True).startswith(b"%PDF")


@pytest.mark.parametrize("name", NAMES)
def test_the_figures_of_each_way_are_worked_out_in_the_packet(name: str) -> None:
    data = packet_data(bare(name))
    for table in data["compared"]["tables"]:
        for place, reference in enumerate(table["sheets"]):
            answers = {line["what"]: line["answer"] for line in lines_at(data, reference + ".1, .2, .3")}
            shown = dict(table["rows"])["Service"][place][0]
            assert answers["Rating"] == shown
    printed = {sheet["number"] for sheet in data["worksheets"] if sheet["number"].startswith("A")}
    assert printed == {sheet for table in data["compared"]["tables"] for sheet in table["sheets"]}


def test_the_shops_order_is_the_packets() -> None:
    job = bare_text(EXAMPLES / "bungalow.toml")
    plain = packet_data(plan_of(job))["compared"]
    ranked = packet_data(plan_of(job + '\n[shop]\norder = ["circuits extended", "headroom"]\n'))["compared"]
    assert ranked["order"] == "circuits extended, then headroom"
    assert [each["id"] for each in ranked["each"]] == [each["id"] for each in reversed(plain["each"])]


def test_a_way_held_by_load_management_says_what_no_file_can() -> None:
    bungalow = plan_without_proposal()
    held = figures("w1")
    room = replace(held.by_method[0], method="set point", title="Set point of the load management")
    data = told({"figures": replace(held, by_method=(room,))})
    assert "listed system" in lists(data)["Held"][0]
    assert json.dumps(data)
    assert not [text for text in texts(told(plan=bungalow)) if "listed system" in text]
