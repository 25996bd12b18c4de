"""The questions on paper: the ones that settle most, then each with where to look, and what its answers change."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from driploop.documents.text import sentence
from driploop.questions import Question, settle_most

#: So many questions are told in full; the rest by name, with the most that an answer changes.
IN_FULL = 10
NOTHING = "changes nothing"


def question_data(questions: Sequence[Question]) -> dict[str, Any]:
    """The questions as JSON-ready data, in their order: the most decisive first."""
    return {
        "settle": [[question.title, question.path] for question in settle_most(questions)],
        "full": [_told(question) for question in questions[:IN_FULL]],
        "rest": [[question.title, question.path, _most(question)] for question in questions[IN_FULL:]],
    }


def _told(question: Question) -> dict[str, Any]:
    return {
        "title": question.title,
        "path": question.path,
        "why": sentence(question.why),
        "look": sentence(question.where_to_look),
        "safely": sentence(question.how_safely),
        "nobody": sentence(question.if_nobody_knows),
        "answers": [[sentence(each.answer), sentence(each.changes or NOTHING)] for each in question.answers],
    }


def _most(question: Question) -> str:
    """The answer that changes most, by the length of what is told of it; the first of several alike."""
    most = max(question.answers, key=lambda answer: len(answer.changes))
    return sentence(f"{most.answer}: {most.changes or NOTHING}")
