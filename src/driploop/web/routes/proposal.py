"""What is proposed, field by field: what the way that was taken says, and what the shop says otherwise."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from driploop.web.fields import form_of
from driploop.web.here import planned
from driploop.web.job_page import job_page
from driploop.web.pages import shows
from driploop.web.proposals import BY_ID_PROPOSED, PROPOSAL, is_proposed, title_of_part
from driploop.web.words import title_words


def show(request: Request) -> Response:
    """The form of the proposal and its parts; with ``?at=runs.service`` the form of one part that will stand."""
    found = planned(request)
    tables = found.tables
    final = found.plan.proposed.installation if found.plan is not None and found.plan.proposed is not None else None
    proposal = tables.get(PROPOSAL, {})
    parts = [
        (f"{table}.{id}", title_of_part(final, table, id) or title_words(id))
        for table in BY_ID_PROPOSED for id in proposal.get(table, {})
    ]  # fmt: skip
    table, _, id = request.query_params.get("at", "").partition(".")
    if table and not (table in BY_ID_PROPOSED and is_proposed(tables, found.plan, f"{PROPOSAL}.{table}", id)):
        raise HTTPException(404, "The proposal has no such part, and none will stand.")
    fields = form_of(tables, f"{PROPOSAL}.{table}", id) if table else form_of(tables, PROPOSAL)
    if not table and not proposal:  # the kind comes first: nothing can be built without
        fields = tuple(each for each in fields if each.path == f"{PROPOSAL}.kind")
    return job_page(
        request, "proposal.html", screen="alternatives", fields=fields, parts=parts, proposes=bool(proposal),
        part=title_of_part(final, table, id) or title_words(id) if table else "",
    )  # fmt: skip


ROUTES = (shows("/jobs/{job}/proposal", show),)
