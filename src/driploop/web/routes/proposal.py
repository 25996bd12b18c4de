"""What is proposed, field by field: what the way that was taken says, and what the shop says otherwise."""

from __future__ import annotations

from starlette.requests import Request
from starlette.responses import Response

from driploop.web.fields import form_of
from driploop.web.here import planned
from driploop.web.job_page import job_page
from driploop.web.pages import shows
from driploop.web.places import place_words
from driploop.web.proposals import BY_ID_PROPOSED, title_of_part


def show(request: Request) -> Response:
    """The form of the proposal, and of each part that it adds or changes. ``?at=`` opens one more part."""
    tables = planned(request).tables
    proposal = tables.get("proposal", {})
    parts = [(table, id) for table in BY_ID_PROPOSED for id in proposal.get(table, {})]
    asked = tuple(request.query_params.get("at", "").split(".", 1))
    plan = planned(request).plan
    final = plan.proposed.installation if plan is not None and plan.proposed is not None else None
    if len(asked) == 2 and asked[0] in BY_ID_PROPOSED and asked not in parts and final is not None:
        parts += [(asked[0], asked[1])] if asked[1] in getattr(final, asked[0]) else []
    forms = [
        (f"{table}.{id}", title_of_part(final, table, id) or place_words(tables, f"{table}.{id}"),
         form_of(tables, f"proposal.{table}", id))
        for table, id in parts
    ]  # fmt: skip
    return job_page(request, "proposal.html", screen="alternatives", fields=form_of(tables, "proposal"), forms=forms,
                    proposes=bool(proposal), opened=".".join(asked))  # fmt: skip


ROUTES = (shows("/jobs/{job}/proposal", show),)
