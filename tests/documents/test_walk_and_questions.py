"""Questions and pre-inspection list on paper: everything that was found is printed, in its order, nothing twice."""

from __future__ import annotations

from typing import Any

import pytest

from driploop.closeout import STOPS, pre_inspection
from driploop.documents import packet_data
from driploop.documents.asked import IN_FULL, question_data
from driploop.documents.inspection import inspection_data
from driploop.questions import Answer, Gravity, Outcome, Question

from .packets import NAMES, example


def question(number: int, **changed: Any) -> Question:
    fields: dict[str, Any] = {
        "path": f"circuits.c{number}.wire_size", "title": f"Circuit {number}: size of the wire", "why": "it decides",
        "where_to_look": "the print on the wire", "how_safely": "covers closed", "if_nobody_knows": "the smallest",
        "answers": (Answer("14 AWG", ""), Answer("12 AWG", "device of 20 A")), "score": 100 - number,
        "settles": (Outcome(Gravity.SIZE, "device", f"circuits.c{number}"),),
    }  # fmt: skip
    return Question(**(fields | changed))


def test_the_first_questions_are_told_in_full_and_the_rest_by_name() -> None:
    asked = [question(number) for number in range(IN_FULL + 3)]
    data = question_data(asked)
    assert [each["path"] for each in data["full"]] == [each.path for each in asked[:IN_FULL]]
    assert [row[1] for row in data["rest"]] == [each.path for each in asked[IN_FULL:]]
    assert data["rest"][0][2] == "12 AWG: device of 20 A"


def test_each_question_says_where_to_look_how_safely_and_what_every_answer_changes() -> None:
    (told,) = question_data([question(1)])["full"]
    assert (told["look"], told["safely"], told["nobody"]) == ("The print on the wire", "Covers closed", "The smallest")
    assert told["answers"] == [["14 AWG", "Changes nothing"], ["12 AWG", "Device of 20 A"]]


def test_no_question_gives_no_page() -> None:
    assert question_data([]) == {"settle": [], "full": [], "rest": []}


@pytest.mark.parametrize("name", NAMES)
def test_every_check_is_printed_once_in_the_order_of_the_walk(name: str) -> None:
    checks = pre_inspection(example(name))
    printed = inspection_data(checks)
    assert sum(len(place["lines"]) for stop in printed for place in stop["places"]) == len(checks)
    order = [STOPS.index(stop["stop"]) for stop in printed]
    assert order == sorted(set(order))


@pytest.mark.parametrize("name", NAMES)
def test_a_line_that_is_still_open_says_so(name: str) -> None:
    checks = pre_inspection(example(name))
    printed = [line for stop in inspection_data(checks) for place in stop["places"] for line in place["lines"]]
    assert sorted(line[3] for line in printed if line[3]) == sorted(
        check.standing for check in checks if check.standing != "as planned"
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_packet_prints_both(name: str) -> None:
    data = packet_data(example(name), with_questions=True)
    assert data["inspection"]
    assert data["questions"]["full"]
    assert packet_data(example(name))["questions"] is None
