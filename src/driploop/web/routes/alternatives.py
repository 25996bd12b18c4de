"""The ways to build the service side by side, best first; one is taken into the job file; notes are kept on each."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.store import jobs as stored_jobs
from driploop.web.here import desk, job_id, plan_of, planned, stored_job
from driploop.web.job_page import job_page
from driploop.web.kept import key_of
from driploop.web.pages import changes, go_to, is_piece, page, shows
from driploop.web.visitors import person
from driploop.web.ways import about_of, stages_of, take, ways_of

if TYPE_CHECKING:
    from driploop.alternatives import Alternative, Comparison

_MOST_NOTE = 4000
_STANDS = "A proposal stands already, and it is left as it is. Say that this one takes its place."
_CHANGED = "The job was changed while this page was open. Look at the ways again, then take one."


def show(request: Request) -> Response:
    """The ways side by side, what differs from each to the next, and those that are not offered, with the reason."""
    from driploop.alternatives.order import DEFAULT_ORDER
    from driploop.documents.places import place_words
    from driploop.documents.ways import (
        against,
        asked_first,
        figure_rows,
        is_held,
        mending_lines,
        not_offered,
        part_title,
        proposed_id,
        stage_work,
        with_every_way,
    )

    plan, compared = plan_of(request), ways_of(request)
    every, found = with_every_way(compared.offered), plan.found.installation
    staging = stages_of(request)
    numbers = {way.id: number for number, way in enumerate(compared.offered, start=1)}
    told = [
        {
            "way": way, "about": about_of(way), "against": against(way), "held": is_held(way),
            "asked": [(each, part_title(each.where, way, found)) for each in asked_first(way)],
            "mended": mending_lines(words for words in way.mendings if words not in every),
            "step": next((step for step in compared.steps if step.after == way.id), None),
        }
        for way in compared.offered
    ]  # fmt: skip
    return job_page(
        request, "alternatives.html", screen="alternatives", compared=compared, plan=plan, told=told,
        rows=figure_rows(compared.offered), proposed=proposed_id(compared, plan.proposed), numbers=numbers,
        shared=[(each, place_words(each.where, found)) for each in compared.shared], every=mending_lines(every),
        not_offered=not_offered(compared.refused), folded=compared.folded,
        stages=[(stage, stage_work(stage)) for stage in staging.stages] if staging else (),
        unstaged=staging.refused if staging else (), digest=_digest(request),
        own_order=compared.order != DEFAULT_ORDER, notes=_notes(request),
        taken=_taken(request),
    )  # fmt: skip


def choose(request: Request, form: FormData) -> Response:
    """Write one way into the job file as its proposal."""
    id, at = str(form.get("way", "")), f"/jobs/{job_id(request)}"
    if str(form.get("digest", "")) != _digest(request):
        raise HTTPException(409, _CHANGED)
    way = next((each for each in _every(ways_of(request)) if each.id == id), None)
    if way is None:
        raise HTTPException(404, "There is no such way in this job now, or it may not be built.")
    if plan_of(request).job.proposal is not None and form.get("replace") != "yes":
        raise HTTPException(409, _STANDS)
    saved = take(request, way, taken=_CHANGED)
    if saved is None:
        return go_to(f"{at}/alternatives")
    return go_to(f"{at}/alternatives?taken={saved.job.row.revision}")


def note(request: Request, form: FormData) -> Response:
    """Keep a note on one way; where somebody changed it in between, both are shown."""
    about = str(form.get("path", ""))
    words = str(form.get("value", "")).replace("\r\n", "\n")[:_MOST_NOTE].strip()
    try:
        seen = json.loads(str(form.get("seen", '""')))
    except (ValueError, RecursionError):
        raise HTTPException(400, "The form was not whole. Load the page again.") from None
    if about not in {about_of(each) for each in _every(ways_of(request))}:
        raise HTTPException(404, "There is no such way in this job now; what was noted of it is kept.")
    store, job = desk(request).store, job_id(request)
    with desk(request).editing[job]:
        stands = stored_jobs.notes_of(store, job).get(about, "")
        free = stands in (seen, words)
        if free:
            stored_jobs.note_on(store, job, about, words, who=person(request).who)
    shown = {"id": str(form.get("number", ""))[:3], "words": words, "seen": words if free else stands,
             "theirs": "" if free else stands, "saved": free, "at": f"/jobs/{job}"}  # fmt: skip
    if is_piece(request):
        return page(request, "parts/note_state.html", status=200 if free else 409, **shown)
    if not free:
        raise HTTPException(409, f"Somebody noted in between: {stands}. Yours was not kept: {words}")
    return go_to(f"/jobs/{job}/alternatives")


def _notes(request: Request) -> dict[str, str]:
    return stored_jobs.notes_of(desk(request).store, job_id(request))


def _every(compared: Comparison) -> tuple[Alternative, ...]:
    return (*compared.offered, *(each.alternative for each in compared.folded))


def _digest(request: Request) -> str:
    """What the page showed: the text that the ways were found for."""
    return key_of("", "", planned(request).text)[2].hex()[:16]


def _taken(request: Request) -> int | None:
    """The revision in which a way was just taken, while it is the newest."""
    words = request.query_params.get("taken", "")
    revision = int(words) if words.isascii() and words.isdigit() and len(words) < 10 else None
    return revision if revision == stored_job(request).row.revision else None


ROUTES = (
    shows("/jobs/{job}/alternatives", show),
    changes("/jobs/{job}/alternatives/take", choose),
    changes("/jobs/{job}/alternatives/note", note),
)
