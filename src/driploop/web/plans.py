"""Plans kept ready: a page asks for the plan of a job as it stands, and mostly it is there already."""

from __future__ import annotations

import hashlib
import logging
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from threading import Lock
from typing import TYPE_CHECKING, Any

from driploop.store import StoredJob
from driploop.store.edits import tables_of_text
from driploop.survey import read_job_text
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from driploop.installation import Job
    from driploop.planning import Plan
    from driploop.what_if import Answers

_LOG = logging.getLogger(__name__)
#: A job, and the digest of a text of it.
Key = tuple[str, bytes]
#: So many plans are kept. One takes a few megabytes at most.
MOST_PLANS = 16
#: Of so many texts the answers are kept, without their plans: a few hundred words each.
MOST_ANSWERS = 64
_OUR_FAULT = (
    "The plan could not be worked out: a fault of this program. The survey is safe; take the last change back to see "
    "the plan again."
)


@dataclass(frozen=True)
class Planned:
    """A job's text with what was read from it: exactly one of ``plan`` and ``trouble`` is there."""

    text: str
    job: Job
    plan: Plan | None
    trouble: str = ""

    @cached_property
    def tables(self) -> Mapping[str, Any]:
        """The job file's tables as they are written."""
        return tables_of_text(self.text)

    @cached_property
    def as_found(self) -> Plan | None:
        """The plan as if nothing were proposed, so that all of its readings are of what was found."""
        if self.plan is None or self.plan.proposed is None:
            return self.plan
        job = self.job.model_copy(update={"proposal": None})
        return replace(self.plan, job=job, proposed=None, difference=())


@dataclass
class PlanCache:
    """The plans last asked for, by job and text: one text of one job always has the same plan."""

    most: int = MOST_PLANS
    most_answers: int = MOST_ANSWERS
    _kept: OrderedDict[Key, Planned] = field(default_factory=OrderedDict)
    _answers: OrderedDict[Key, Mapping[str, Answers] | None] = field(default_factory=OrderedDict)
    _making: dict[Key, Lock] = field(default_factory=dict)
    _lock: Lock = field(default_factory=Lock)
    #: Plans are made one after the other: two at once would take each other's time, and longer in all.
    _turn: Lock = field(default_factory=Lock)

    def of(self, stored: StoredJob) -> Planned:
        """The plan of a job as it is stored."""
        return self.of_text(stored.row.id, stored.text)

    def of_text(self, job: str, text: str) -> Planned:
        """The plan of a text that is, or was, a job's. Two who ask at once wait for one reading."""
        key = _key(job, text)
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
            making = self._making.setdefault(key, Lock())
        with making:
            with self._lock:
                if key in self._kept:
                    return self._kept[key]
            with self._turn:
                made = _planned(text)
            with self._lock:
                self._kept[key] = made
                self._making.pop(key, None)
                while len(self._kept) > self.most:
                    self._kept.popitem(last=False)
        return made

    def answers_of(self, job: str, text: str) -> Mapping[str, Answers] | None:
        """All that a comparison asks of the plan of a text, by topic; None where the text has no plan.

        What a person last looked at is compared with every answer they give. Its plan need not be kept for that.
        """
        from driploop.what_if import answers_of

        key = _key(job, text)
        with self._lock:
            if key in self._answers:
                self._answers.move_to_end(key)
                return self._answers[key]
        plan = self.of_text(job, text).plan
        answers = answers_of(plan) if plan is not None else None
        with self._lock:
            self._answers[key] = answers
            while len(self._answers) > self.most_answers:
                self._answers.popitem(last=False)
        return answers

    def forget(self, job: str) -> None:
        """Let go of every plan of a job, as when it was deleted."""
        with self._lock:
            for kept in (self._kept, self._answers):
                for key in [key for key in kept if key[0] == job]:
                    del kept[key]


def _key(job: str, text: str) -> Key:
    return job, hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()


def _planned(text: str) -> Planned:
    from driploop.planning import plan

    job = read_job_text(text, name="the job")
    try:
        made = plan(job)
        made.must_mend  # noqa: B018  every page asks for it
        return Planned(text, job, made)
    except DriploopError as error:
        return Planned(text, job, None, str(error))
    except Exception:  # a survey must stay open to its owner whatever the reading of it meets
        _LOG.exception("a plan could not be worked out")
        return Planned(text, job, None, _OUR_FAULT)
