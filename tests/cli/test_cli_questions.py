"""``driploop questions``: the most decisive unknowns first, as text and as data."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from driploop import read_job
from driploop.questions import Question, questions_of, settle_most

BUNGALOW = Path(__file__).parents[2] / "examples" / "bungalow.toml"


@pytest.fixture(scope="module")
def asked() -> tuple[Question, ...]:
    return questions_of(read_job(BUNGALOW))


def _flat(text: str) -> str:
    return " ".join(text.split())


def test_each_question_is_told_whole(run: Callable, asked: tuple[Question, ...]) -> None:
    ran = run("questions", BUNGALOW, "--most", "0")
    assert ran.code == 0
    out = _flat(ran.out)
    for question in asked:
        for words in (question.title, question.why, question.where_to_look, question.how_safely):
            assert _flat(words) in out
        assert _flat(f"If nobody knows: {question.if_nobody_knows}") in out
        for answer in question.answers:
            assert _flat(f"- {answer.answer}: {answer.changes or 'changes nothing'}") in out


def test_the_first_few_are_listed_and_the_rest_counted(run: Callable, asked: tuple[Question, ...]) -> None:
    out = _flat(run("questions", BUNGALOW, "--most", "2").out)
    assert f"2. {asked[1].title}" in out
    assert f"3. {asked[2].title}" not in out
    assert f"{len(asked) - 2} more decide less" in out


def test_those_that_settle_most_stand_first(run: Callable, asked: tuple[Question, ...]) -> None:
    head = _flat(run("questions", BUNGALOW).out.partition("\n\n")[0])
    for question in settle_most(asked):
        assert question.path in head


def test_the_same_as_data(run: Callable, asked: tuple[Question, ...]) -> None:
    data = json.loads(run("questions", BUNGALOW, "--json", "--most", "3").out)
    assert data["count"] == len(asked)
    assert [question["path"] for question in data["questions"]] == [question.path for question in asked[:3]]
    assert data["settle_most"] == [question.path for question in settle_most(asked)]
    assert data["questions"][0]["answers"][0] == {
        "answer": asked[0].answers[0].answer,
        "changes": asked[0].answers[0].changes,
    }


def test_a_number_below_nothing_is_refused(run: Callable) -> None:
    ran = run("questions", BUNGALOW, "--most", "-1")
    assert ran.code == 2
    assert "--most -1" in ran.err


def test_what_an_answer_makes_lawful_or_not_is_told_on_wish(run: Callable) -> None:
    out = _flat(run("questions", BUNGALOW, "--most", "0", "--alternatives").out)
    assert "not lawful: Emergency disconnect outdoors, the main stays inside" in out
    assert "not lawful" not in run("questions", BUNGALOW, "--most", "0").out
