"""Faults of days and of leave: arranged by telephone, whichever way is built. They bar none."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from driploop.alternatives.judge import must_mend
from driploop.installation import Job
from driploop.worksheet import Finding

#: By rule: the field of the utility that is open again once the fault is seen.
_OPEN_AGAIN: Mapping[str, str] = {"local-notice": "cutover_date", "local-who-pulls-the-meter": "meter_work_by"}


def arrangements(findings: Collection[Finding]) -> tuple[Finding, ...]:
    """What must be mended and is mended by an arrangement alone."""
    return tuple(each for each in must_mend(findings) if each.rule in _OPEN_AGAIN)


def open_again(job: Job, arranged: Collection[Finding]) -> Job:
    """The job with what has to be arranged anew left open, so that ways are judged by what is built."""
    fields = dict.fromkeys(_OPEN_AGAIN[each.rule] for each in arranged)
    utility = job.found.utility.model_copy(update=fields)
    return job.model_copy(update={"found": job.found.model_copy(update={"utility": utility})})
