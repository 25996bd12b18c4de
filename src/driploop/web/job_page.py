"""A page of one job: the job's own head, its screens' links, and what moved since the person last looked."""

from __future__ import annotations

from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from driploop.web.here import stored_job
from driploop.web.moved import moved
from driploop.web.pages import page


def job_page(request: Request, template: str, *, screen: str, status: int = 200, **shown: Any) -> Response:
    """A whole page of the job that the address names.

    Args:
        request: who asks what.
        template: its path under ``templates/``; it extends ``job_base.html``.
        screen: which link of the job's screens is marked as the current one.
        status: the answer's number.
        shown: what the template may name besides ``job``, ``at`` (the job's address), ``screen`` and ``moved``.
    """
    row = stored_job(request).row
    return page(
        request, template, status=status, job=row, at=f"/jobs/{row.id}", screen=screen, moved=moved(request), **shown
    )
