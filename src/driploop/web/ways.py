"""The ways to build the service, kept ready for each text of a job."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.requests import Request

from driploop.store import Edit, Saved
from driploop.store.edits import value_at
from driploop.web.here import desk, job_id, plan_of, planned
from driploop.web.kept import key_of
from driploop.web.together import save_together

if TYPE_CHECKING:
    from driploop.alternatives import Alternative, Comparison, Staging


def ways_of(request: Request) -> Comparison:
    """The ways to build it, best first, with those folded away and refused. Raises NoPlanError."""
    from driploop.alternatives import alternatives_of

    plan = plan_of(request)
    key = key_of("ways", job_id(request), planned(request).text)
    return desk(request).kept.now(key, lambda: alternatives_of(plan.job, edition=plan.edition))


def stages_of(request: Request) -> Staging | None:
    """The stages of a farm's work; None where there is no farm."""
    from driploop.alternatives import staged_of

    plan = plan_of(request)
    if plan.job.found.site_kind != "farm":
        return None
    key = key_of("stages", job_id(request), planned(request).text)
    return desk(request).kept.now(key, lambda: staged_of(plan.job, edition=plan.edition))


def about_of(way: Alternative) -> str:
    """What a note on a way is kept under: what is built, not whether it is proposed by now, so that a note stays with
    its way when that is taken."""
    isolating = "site-isolating device" in way.readings.graph.roles.values()
    return f"alternative:{way.kind}:{way.figures.rating_a:g}{':isolating' if isolating else ''}"


def take(request: Request, way: Alternative, *, taken: str) -> Saved | None:
    """Write a way into the job file as its proposal, in one saving; None where it is proposed already.

    Args:
        request: who takes it, in which job.
        way: what to propose.
        taken: what to say where somebody changed the proposal in between.

    Raises:
        HTTPException: 403 or 409, as ``save_together``.
        JobFileError: the file would have a fault; nothing was written.
    """
    from driploop.survey import changes_between

    changes = changes_between(plan_of(request).job, way.job)
    tables = planned(request).tables
    edits = [Edit(path, value, value_at(tables, path)) for path, value in changes.items()]
    return save_together(request, edits, taken=taken) if edits else None
