"""The questions of a job that decide something, worked out late: a page shows them as soon as they are known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from starlette.requests import Request

from driploop.web.here import desk, job_id, planned
from driploop.web.kept import Known, Pause, key_of
from driploop.web.places import address_of

if TYPE_CHECKING:
    from driploop.planning import Plan
    from driploop.questions import Question
    from driploop.questions.outcomes import Decided
    from driploop.questions.trying import Turned

#: What hangs on an answer, gravest first, one and several.
_DECIDES = {
    "SERVICE": ("what the service is", "figures of the service"),
    "LAWFUL": ("what may be built", "ways to build it"),
    "GROUND": ("grounding conductor or bond", "grounding conductors and bonds"),
    "SIZE": ("size", "sizes"),
    "VERDICT": ("finding", "findings"),
    "ASKED": ("further question", "further questions"),
    "LABEL": ("label", "labels"),
}


@dataclass(frozen=True, slots=True)
class Open:
    """One open question as a page shows it: the question, where its field is below the job, what hangs on it, and
    whether it is one of the few that settle most together."""

    question: Question
    address: str
    decides: str
    most: bool


@dataclass(frozen=True, slots=True)
class OpenQuestions:
    """The open questions, the most decisive first. ``waiting`` while they are worked out."""

    asked: tuple[Open, ...] = ()
    waiting: bool = False
    trouble: str = ""

    def about(self, path: str) -> tuple[Open, ...]:
        """Those about one thing of the job."""
        return tuple(each for each in self.asked if f"{each.question.path} ".startswith((f"{path}.", f"{path} ")))

    def leading(self, count: int) -> tuple[Open, ...]:
        """The few that settle most, then the most decisive of the others."""
        ranked = sorted(self.asked, key=lambda each: not each.most)
        return tuple(ranked[:count])


def open_questions(request: Request, *, wait_s: float = 0) -> OpenQuestions:
    """The open questions of the job that the address names, as far as they are known by now.

    Args:
        request: who asks about which job.
        wait_s: so long to wait for them. [s]
    """
    found = planned(request)
    if found.plan is None:
        return OpenQuestions(trouble=found.trouble)
    plan = found.plan
    key = key_of("questions", job_id(request), found.text)
    known = desk(request).kept.late(key, lambda pause: _asked(plan, pause), wait_s=wait_s)
    if known is None:
        return OpenQuestions(waiting=True)
    return _shown(known, found.tables)


def _asked(plan: Plan, pause: Pause) -> tuple[tuple[Question, ...], frozenset[str]]:
    from driploop.questions import questions_of, settle_most

    def between(job: object, turned: Turned | None) -> Decided:
        pause()
        return {}

    questions = questions_of(plan.job, edition=plan.edition, lawful=between)
    return questions, frozenset(each.path for each in settle_most(questions))


def _shown(known: Known, tables: Mapping[str, Any]) -> OpenQuestions:
    if known.trouble:
        return OpenQuestions(trouble=known.trouble)
    questions, most = known.value
    return OpenQuestions(
        tuple(
            Open(each, address_of(tables, each.path.split(" and ")[0]), _decides(each), each.path in most)
            for each in questions
        )
    )


def _decides(question: Question) -> str:
    counted: Counter[str] = Counter(outcome.gravity.name for outcome in question.settles)
    words: Sequence[str] = [
        f"{counted[name]} {several if counted[name] > 1 else one}" for name, (one, several) in _DECIDES.items()
        if counted[name]
    ]  # fmt: skip
    return ", ".join(words)
