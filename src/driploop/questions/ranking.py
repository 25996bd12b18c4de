"""The questions of a job, the most decisive first, and the few that settle most together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from driploop.editions import Edition
from driploop.installation import Job
from driploop.planning import Plan, plan
from driploop.questions.answers import Subject, subject_of
from driploop.questions.outcomes import Decided, State, change_words, changed, title_of, weight_of
from driploop.questions.paths import Place
from driploop.questions.results import Answer, Gravity, Outcome, Question
from driploop.questions.trying import Lawful, Trial, nothing_more
from driploop.questions.unknowns import part_of, unknowns_of
from driploop.worksheet import DriploopError

#: Changes of one answer that are told one by one; the rest are counted.
_TOLD = 4
#: An answer that the proposal cannot be built with weighs as one that changes the service.
_BREAKS = Outcome(Gravity.SERVICE, "fits", "proposal")


def questions_of(job: Job, *, edition: Edition | None = None, lawful: Lawful = nothing_more) -> tuple[Question, ...]:
    """The unknowns of a survey whose answers decide something, the most decisive first.

    Args:
        job: the job, with or without a proposal.
        edition: the code edition with its overlays; left out, the one the job names.
        lawful: further outcomes of a job, as ``ways.LawfulWays``: which ways to build it are lawful. Told with each
            answer what it turns in the plan, so that it may answer from that alone.

    Returns:
        One question for each unknown of which not every plausible answer comes to the same.

    Raises:
        DriploopError: the job as it stands cannot be planned.
    """
    base = plan(job, edition=edition)
    trial = Trial(base, lawful)
    asked = (_question(place, trial) for place in unknowns_of(base))
    return tuple(sorted((q for q in asked if q is not None), key=lambda q: (-q.score, q.path)))


def settle_most(questions: Sequence[Question], *, count: int = 3) -> tuple[Question, ...]:
    """The few questions that settle most together: each next one by what it settles beyond those before it."""
    chosen: list[Question] = []
    settled: set[Outcome] = set()
    while len(chosen) < count:
        left = [q for q in questions if q not in chosen and set(q.settles) - settled]
        if not left:
            break
        best = min(left, key=lambda q: (-_weight(o.gravity for o in set(q.settles) - settled), -q.score, q.path))
        chosen.append(best)
        settled |= set(best.settles)
    return tuple(chosen)


def _question(place: Place, trial: Trial) -> Question | None:
    subject = subject_of(place.table, place.field)
    assert subject is not None  # only what can be asked is an unknown worth trying
    answers: list[Answer] = []
    results: list[Mapping[Outcome, object]] = []
    weights: dict[Outcome, Gravity] = {}
    scores = [0]
    for value, words in subject.answers_for(part_of(place, trial.plan)):
        told = _told(trial, place, value)
        results.append(_results(told))
        weighed = {outcome: weight_of(outcome, *told[outcome]) for outcome in told}
        weights |= {outcome: max(weight, weights.get(outcome, weight)) for outcome, weight in weighed.items()}
        scores.append(_weight(weighed.values()))
        answers.append(Answer(words, _changes(told)))
    weighs = max(weights.values(), default=Gravity.LABEL)
    if all(result == results[0] for result in results) and weighs <= Gravity.ASKED:
        return None  # whatever the answer, all that changes is that it was given
    settles = (outcome._replace(gravity=weight) for outcome, weight in weights.items())
    return Question(
        path=place.path,
        title=_title(place, subject, trial.plan),
        why=subject.why,
        where_to_look=subject.where_to_look,
        how_safely=subject.how_safely,
        if_nobody_knows=_if_nobody_knows(place, subject, trial.plan),
        answers=tuple(answers),
        score=max(scores),
        settles=tuple(sorted(settles, key=lambda o: (-o.gravity, o.what, o.where))),
    )


Told = Mapping[Outcome, tuple[Any, Any]]


def _told(trial: Trial, place: Place, value: Any) -> Told:
    """What one answer changes. An answer with which nothing can be built changes just that."""
    try:
        after: Decided = trial.decided_with(place, value)
    except DriploopError as refused:
        return {_BREAKS: (None, State(str(refused), f"the job no longer holds together: {refused}"))}
    return {outcome: (old, new) for outcome, old, new in changed(trial.baseline, after)}


def _results(told: Told) -> dict[Outcome, object]:
    return {outcome: new.value if new is not None else None for outcome, (_, new) in told.items()}


def _changes(told: Told) -> str:
    words = list(dict.fromkeys(change_words(outcome, *states) for outcome, states in told.items()))
    if len(words) > _TOLD + 1:  # one more is told as soon as counted
        words[_TOLD:] = [f"and {len(words) - _TOLD} lesser changes"]
    return "; ".join(words)


def _weight(gravities: Iterable[Gravity]) -> int:
    """A number whose digits count each kind of outcome up to nine, the gravest kind in front."""
    return sum(min(number, 9) * 10 ** (gravity - 1) for gravity, number in Counter(gravities).items())


def _title(place: Place, subject: Subject, plan: Plan) -> str:
    if place.home == "single":
        return f"{subject.title[:1].upper()}{subject.title[1:]}"
    title = title_of(part_of(place, plan))
    return f"{title[:1].upper()}{title[1:]}: {subject.title}"


def _if_nobody_knows(place: Place, subject: Subject, plan: Plan) -> str:
    """What the plan assumed of this very field, else what is said of such fields."""
    heard = {place.path, place.path.removeprefix("proposal."), f"loads.{place.id}.{place.field}"}
    for assumption in plan.assumptions:
        if assumption.where in heard:
            return f"Assumed: {assumption.assumed}. {assumption.why_safe[:1].upper()}{assumption.why_safe[1:]}."
    return subject.if_nobody_knows
