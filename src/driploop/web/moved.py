"""What moved since a person last looked: the answers that differ between the plan they saw and the plan of now."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from starlette.requests import Request

from driploop.store import jobs as stored_jobs
from driploop.web.here import desk, job_id, planned, stored_job
from driploop.web.visitors import person

if TYPE_CHECKING:
    from driploop.what_if import PlanChange


@dataclass(frozen=True, slots=True)
class Moved:
    """What moved, and how many findings must be mended now. ``trouble`` says why there is no plan to compare."""

    changes: tuple[PlanChange, ...]
    must_mend: int
    trouble: str = ""


def moved(request: Request) -> Moved:
    """What moved in the job that the address names since this person last looked."""
    from driploop.what_if import plans_compared

    now = planned(request)
    if now.plan is None:
        return Moved((), 0, now.trouble)
    seen = stored_jobs.last_looked_at(desk(request).store, job_id(request), who=person(request).who)
    text = seen if seen is not None else stored_job(request).text
    before = now if text == now.text else desk(request).plans.of_text(job_id(request), text)
    changes = plans_compared(before.plan, now.plan) if before.plan is not None and before is not now else ()
    return Moved(changes, len(now.plan.must_mend))
