"""What moved since a person last looked: the answers that differ between the plan they saw and the plan of now, what
was answered meanwhile, and which findings came and went."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from starlette.requests import Request

from driploop.installation.kinds import UNKNOWN
from driploop.store import Edit
from driploop.store import jobs as stored_jobs
from driploop.store.edits import written
from driploop.survey.layout import BY_ID
from driploop.web.here import desk, job_id, planned, stored_job
from driploop.web.places import address_of, place_words
from driploop.web.plans import Planned
from driploop.web.visitors import person
from driploop.web.words import value_words
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from driploop.planning import Plan
    from driploop.what_if import PlanChange
    from driploop.worksheet import Finding

#: So many answers at most are tried one by one, to tell what each of them moved.
MOST_CAUSES = 8


@dataclass(frozen=True, slots=True)
class Moved:
    """What moved, and how many findings must be mended now. ``trouble`` says why there is no plan to compare."""

    changes: tuple[PlanChange, ...]
    must_mend: int
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Given:
    """One thing of the job file that stands otherwise: the place in words, its form below the job, was and is."""

    path: str
    place: str
    address: str
    before: str
    after: str


@dataclass(frozen=True, slots=True)
class FindingMoved:
    """A finding that came or went, with its place in words and the form of that place below the job."""

    finding: Finding
    place: str
    address: str


@dataclass(frozen=True, slots=True)
class Consequence:
    """What was answered since a person looked, and what follows.

    ``because`` has the numbers of the answers, counted from one, that moved a change; empty where that was not tried.
    """

    given: tuple[Given, ...]
    changes: tuple[PlanChange, ...]
    because: Mapping[tuple[str, str, str], tuple[int, ...]]
    came: tuple[FindingMoved, ...]
    went: tuple[FindingMoved, ...]
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class Together:
    """The same change at one or several places, in words, and the numbers of the answers that moved it."""

    change: PlanChange
    places: tuple[str, ...]
    because: tuple[int, ...] = ()


def together(told: Consequence, tables: Mapping[str, Any]) -> dict[str, tuple[Together, ...]]:
    """The changes by topic; what moved alike at several places is told once."""
    alike: dict[tuple[Any, ...], list[PlanChange]] = defaultdict(list)
    for each in told.changes:
        why = told.because.get((each.topic, each.where, each.what), (1,) if len(told.given) == 1 else ())
        alike[each.topic, each.what, each.before, each.after, each.section_after, why].append(each)
    topics: dict[str, list[Together]] = defaultdict(list)
    for (topic, *_, why), changes in alike.items():
        places = tuple(dict.fromkeys(place_words(tables, each.where) for each in changes))
        topics[topic].append(Together(changes[0], places, why))
    return {topic: tuple(each) for topic, each in topics.items()}


def moved(request: Request) -> Moved:
    """What moved in the job that the address names since this person last looked."""
    from driploop.what_if import answers_compared

    now, plans, id = planned(request), desk(request).plans, job_id(request)
    if now.plan is None:
        return Moved((), 0, now.trouble)
    seen = _seen_text(request)
    before = plans.answers_of(id, seen) if seen != now.text else None
    after = plans.answers_of(id, now.text) if before is not None else None
    changes = answers_compared(before, after) if before is not None and after is not None else ()
    return Moved(changes, len(now.plan.must_mend))


def consequence(request: Request) -> Consequence:
    """What this person answered, or others did, since they last looked, what that moved, and what was found."""
    before, now = _seen(request), planned(request)
    given = tuple(given_between(before.tables, now.tables))
    if now.plan is None or before.plan is None or before is now:
        return Consequence(given, (), {}, (), (), now.trouble)
    told = compared(before.plan, now.plan, was=before.tables, now=now.tables)
    return Consequence(given, told.changes, _causes(request, before, now, given), told.came, told.went)


def compared(before: Plan, after: Plan, *, was: Mapping[str, Any], now: Mapping[str, Any]) -> Consequence:
    """What differs between two plans: the answers but for findings, and the findings that came and went.

    Args:
        before: the one plan.
        after: the other.
        was: the tables of the one job file, to tell places by.
        now: those of the other.
    """
    from driploop.what_if import plans_compared

    changes = tuple(each for each in plans_compared(before, after) if each.topic != "finding")
    old, new = _findings(before), _findings(after)
    came = tuple(_placed(finding, now) for key, finding in new.items() if key not in old)
    went = tuple(_placed(finding, was) for key, finding in old.items() if key not in new)
    return Consequence((), changes, {}, came, went)


def given_between(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Given]:
    """What stands otherwise in one job file than in another, field by field; a whole thing where it is new or gone."""
    for path, old, new in _differing(before, after):
        tables = after if new is not None else before
        yield Given(path, place_words(tables, path), address_of(after, path), _said(path, old), _said(path, new))


def _seen(request: Request) -> Planned:
    """The plan that this person last looked at."""
    now, text = planned(request), _seen_text(request)
    return now if text == now.text else desk(request).plans.of_text(job_id(request), text)


def _seen_text(request: Request) -> str:
    seen = stored_jobs.last_looked_at(desk(request).store, job_id(request), who=person(request).who)
    return seen if seen is not None else stored_job(request).text


def _findings(plan: Plan) -> dict[tuple[str, str, str], Finding]:
    found = plan.proposed_findings if plan.proposed is not None else plan.found_findings
    return {(each.rule, each.where, each.wrong): each for each in found}


def _placed(finding: Finding, tables: Mapping[str, Any]) -> FindingMoved:
    return FindingMoved(finding, place_words(tables, finding.where), address_of(tables, finding.where))


def _causes(
    request: Request, before: Planned, now: Planned, given: Sequence[Given]
) -> dict[tuple[str, str, str], tuple[int, ...]]:
    """Which answers moved what: each is put on top of those before it, in the order of the file."""
    from driploop.what_if import plans_compared

    if not 1 < len(given) <= MOST_CAUSES:
        return {}
    because: dict[tuple[str, str, str], list[int]] = defaultdict(list)
    last, values = before, {path: new for path, _, new in _differing(before.tables, now.tables)}
    for number, each in enumerate(given, start=1):
        try:
            text = written(last.text, [Edit(each.path, values[each.path])])
            this = desk(request).plans.of_text(job_id(request), text)
        except DriploopError:
            return {}  # one cannot stand without another
        if last.plan is None or this.plan is None:
            return {}
        for change in plans_compared(last.plan, this.plan):
            because[change.topic, change.where, change.what].append(number)
        last = this
    return {key: tuple(numbers) for key, numbers in because.items()}


def _differing(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[tuple[str, Any, Any]]:
    """Path, what stood there, what stands there now; None for nothing, as for what is not known."""
    for table in dict.fromkeys((*before, *after)):
        yield from _in_table((table,), before.get(table), after.get(table), deeper=2 if table in BY_ID else 3)


def _in_table(path: tuple[str, ...], old: Any, new: Any, *, deeper: int) -> Iterator[tuple[str, Any, Any]]:
    if old == UNKNOWN:
        old = None
    if new == UNKNOWN:
        new = None
    if old == new:
        return
    is_part = len(path) == 2 and path[0] in BY_ID
    holds = isinstance(old, Mapping) and isinstance(new, Mapping)
    if holds or (len(path) == 1 and path[0] in BY_ID and deeper and isinstance(old or new, Mapping)):
        old, new = old or {}, new or {}
        for key in dict.fromkeys((*old, *new)):
            yield from _in_table((*path, key), old.get(key), new.get(key), deeper=deeper - 1)
    elif not is_part or old is not None or new is not None:
        yield ".".join(path), old, new


def _said(path: str, value: Any) -> str:
    if value is None:
        return "not there" if path.count(".") == 1 and path.split(".")[0] in BY_ID else "not known"
    if isinstance(value, Mapping):
        known = {key: item for key, item in value.items() if item != UNKNOWN and not isinstance(item, Mapping)}
        return value_words(known) or "there, with nothing known of it"
    return value_words(value)
