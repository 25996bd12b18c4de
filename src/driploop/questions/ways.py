"""Which ways to build the service are lawful, as an outcome that an answer may turn.

Finding the ways anew costs several plans, so an answer is tried on them only where it can reach them: where it turns
the service itself, or brings a fault that no small repair mends on a part that some way keeps, or settles one for
which a way was refused. An answer that turns nothing of that kind in the plan is not tried on the ways.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from driploop.alternatives import Comparison, alternatives_of
from driploop.alternatives.mending import mendings_for
from driploop.editions import Edition, load_edition
from driploop.installation import Job
from driploop.planning import FALLBACK_EDITION
from driploop.questions.outcomes import Decided, State
from driploop.questions.results import Gravity, Outcome
from driploop.questions.trying import Turned
from driploop.rules import Readings
from driploop.worksheet import Verdict

_PROPOSED = "-as-proposed"
_RATING = re.compile(r"-\d+(\.\d+)?$")
_AMPERES = re.compile(r", [\d.]+ A(?=,|$)")


@dataclass(slots=True)
class LawfulWays:
    """The ways of a job as outcomes; once asked, it answers anew only what an answer can have reached."""

    edition: Edition
    _base: Comparison | None = field(default=None, init=False)
    _job: Job | None = field(default=None, init=False)

    def __call__(self, job: Job, turned: Turned | None) -> Decided:
        """The outcomes of a job. ``turned`` is what an answer turned in its plan, None while nobody has answered."""
        if turned is None or self._base is None:
            self._base, self._job = alternatives_of(job, edition=self.edition), job
            return dict(_standings(self._base))
        if not self._reaches(turned):
            return dict(_standings(self._base))
        return dict(_standings(alternatives_of(job, edition=self._edition_of(job))))

    def _edition_of(self, job: Job) -> Edition:
        assert self._job is not None  # asked before any answer
        if job.town == self._job.town:
            return self.edition
        return load_edition(job.town.edition or FALLBACK_EDITION, overlays=self.edition.overlays)

    def _reaches(self, turned: Turned) -> bool:
        assert self._base is not None
        ways = [*self._base.offered, *(each.alternative for each in self._base.folded)]
        bars = {(f.rule, f.where) for refused in self._base.refused for f in refused.findings}
        for outcome, before, after in turned:
            if outcome.gravity is Gravity.SERVICE:
                return True
            if outcome.gravity is not Gravity.VERDICT:
                continue
            if _is_fault(before) and not _is_fault(after) and (outcome.what, outcome.where) in bars:
                return True
            if _is_fault(after) and any(_stands_in_the_way(after, way.readings) for way in ways):
                return True
        return False


def _is_fault(state: State | None) -> bool:
    return state is not None and state.value == Verdict.MEND.value


def _stands_in_the_way(state: State | None, way: Readings) -> bool:
    """Whether a fault stands on a part that a way keeps, and no small repair mends it."""
    if state is None or state.finding is None:
        return False
    table, id = f"{state.finding.where}..".split(".")[:2]
    parts = getattr(way.installation, table, None)
    part = parts.get(id) if isinstance(parts, dict) else way.installation
    if part is None or getattr(part, "is_new", False):
        return False
    mendings = mendings_for(state.finding, way, edition=way.edition)
    return not mendings or any(each.large for each in mendings)


def _standings(comparison: Comparison) -> Iterator[tuple[Outcome, State]]:
    """Each sort of way, whatever its amperes: lawful where one of it is."""
    lawful = {_sort(each.id): each.title for each in comparison.offered}
    lawful |= {_sort(each.alternative.id): each.alternative.title for each in comparison.folded}
    for each in comparison.refused:
        if _sort(each.id) not in lawful:
            words = f"not lawful: {_title(each.title)}"
            yield Outcome(Gravity.LAWFUL, "way", _sort(each.id)), State(False, words)
    for sort, title in lawful.items():
        yield Outcome(Gravity.LAWFUL, "way", sort), State(True, f"lawful: {_title(title)}")


def _sort(id: str) -> str:
    return _RATING.sub("", id.removesuffix(_PROPOSED))


def _title(title: str) -> str:
    return _AMPERES.sub("", title).removesuffix(", as proposed")
