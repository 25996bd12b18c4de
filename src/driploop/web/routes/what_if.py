"""What if: the plan with wishes tried beside the plan without; nothing is changed until they are kept."""

from __future__ import annotations

from typing import Any

from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from driploop.store.edits import written
from driploop.survey import JobFileError
from driploop.survey.write import UpdateError
from driploop.web.figures import figures_of
from driploop.web.here import desk, job_id, plan_of, planned, stored_job
from driploop.web.job_page import job_page
from driploop.web.moved import compared, together
from driploop.web.pages import changes, go_to, is_piece, page, shows
from driploop.web.places import place_words
from driploop.web.together import save_together
from driploop.web.wishes import Trial, trial_of
from driploop.web.words import faults_words

_CHANGED = "A wish of the job was changed in this moment. Look at it, then try again."


def show(request: Request) -> Response:
    """The switches, and where one is turned, the plan with it beside the plan without."""
    plan_of(request)
    return _shown(request, trial_of(request.query_params, planned(request).tables))


def keep(request: Request, form: FormData) -> Response:
    """Write what was tried into the job file, in one saving."""
    tables = planned(request).tables
    trial = trial_of(form, tables)
    if not trial.anything:
        return go_to(f"/jobs/{job_id(request)}/what-if")
    try:
        saved = save_together(request, trial.edits(tables), taken=_CHANGED)
    except (JobFileError, UpdateError) as error:
        return _shown(request, trial, refused=faults_words(error))
    return go_to(f"/jobs/{job_id(request)}/what-if?kept={saved.job.row.revision}")


def _shown(request: Request, trial: Trial, *, refused: str = "") -> Response:
    now = planned(request)
    told, rows, trouble = None, [], refused
    if trial.anything and not refused:
        try:
            text = written(now.text, trial.edits(now.tables))
            then = desk(request).plans.of_text(job_id(request), text)
        except (JobFileError, UpdateError) as error:
            trouble = faults_words(error)
        else:
            trouble = then.trouble
            if then.plan is not None and now.plan is not None:
                told = compared(now.plan, then.plan, was=now.tables, now=then.tables)
                state = "proposed" if now.plan.proposed is not None else "found"
                without = {each.title: each for each in figures_of(now.plan, state)}
                rows = [
                    (each.title, without[each.title].figure if each.title in without else "", each.figure, each.bad)
                    for each in figures_of(then.plan, state) if each.address not in ("papers", "panel")
                ]  # fmt: skip
    shown: dict[str, Any] = {
        "trial": trial, "told": told, "rows": rows, "trouble": trouble, "at": f"/jobs/{job_id(request)}",
        "topics": together(told, now.tables) if told is not None else {},
    }  # fmt: skip
    if is_piece(request):
        return page(request, "parts/what_if.html", **shown)
    wishes = [(id, place_words(now.tables, f"wishes.{id}")) for id in now.tables.get("wishes", {})]
    panels = [
        (id, place_words(now.tables, f"equipment.{id}"))
        for id, each in now.tables.get("equipment", {}).items() if each.get("kind") == "panel"
    ]  # fmt: skip
    del shown["at"]  # every page of a job has it
    return job_page(
        request, "what_if.html", screen="alternatives", status=422 if refused else 200, wishes=wishes, panels=panels,
        kept=_kept(request), **shown,
    )  # fmt: skip


def _kept(request: Request) -> int | None:
    """The revision in which wishes were just kept, while it is the newest."""
    words = request.query_params.get("kept", "")
    revision = int(words) if words.isascii() and words.isdigit() and len(words) < 10 else None
    return revision if revision == stored_job(request).row.revision else None


ROUTES = (shows("/jobs/{job}/what-if", show), changes("/jobs/{job}/what-if/keep", keep))
