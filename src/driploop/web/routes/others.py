"""What others changed in a job since a page was made: asked for every few seconds, so nearly nothing must be done."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import desk, job_id, stored_job
from driploop.web.moved import moved
from driploop.web.pages import page, shows
from driploop.web.past import from_to, what_words
from driploop.web.past_rows import changes_since, revision_of
from driploop.web.visitors import person
from driploop.web.words import ago_words

#: Tells the page's script that asking on is of no use.
_ASK_NO_MORE = 286


def show(request: Request) -> Response:
    """Nothing where nothing changed since ``?since=``; else every change since ``?base=``, and what moved by them."""
    since = _number(request, "since")
    revision = revision_of(desk(request).store, job_id(request))
    if revision is None:
        return page(request, "parts/others.html", status=_ASK_NO_MORE, gone=True, changes=(), **_asks(request, 0, 0))
    if since == revision:
        return Response(status_code=204, headers={"ETag": f'"{revision}"'})
    base, now = _number(request, "base"), datetime.now(UTC)
    rows = changes_since(desk(request).store, job_id(request), since=min(base, since))
    told = [
        (each, what_words(each.path), from_to(each.path, each.before, each.after), ago_words(each.at, now),
         each.person == person(request).id)
        for each in rows
    ]  # fmt: skip
    seen = stored_job(request).row.revision
    return page(request, "parts/others.html", gone=False, changes=told, oob=True, moved=moved(request),
                **_asks(request, seen, min(base, since)))  # fmt: skip


def _asks(request: Request, since: int, base: int) -> dict[str, Any]:
    return {"at": f"/jobs/{job_id(request)}", "since": since, "base": base}


def _number(request: Request, name: str) -> int:
    words = request.query_params.get(name, "")
    return int(words) if words.isascii() and words.isdigit() and len(words) < 10 else 0


ROUTES = (shows("/jobs/{job}/others", show),)
