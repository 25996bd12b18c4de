"""The application: screens, what stands around them, and what is said when something cannot be done."""

from __future__ import annotations

from collections.abc import Sequence
from http import HTTPStatus
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Mount
from starlette.staticfiles import StaticFiles

from driploop.store import BusyError, NotThereError, Store
from driploop.web.door import Door, KnownWays
from driploop.web.here import Desk, NoPlanError
from driploop.web.job_page import job_page
from driploop.web.kept import PagesFirst
from driploop.web.pages import STATIC, page
from driploop.web.routes import (
    alternatives,
    consequence,
    drawings,
    findings,
    job,
    job_file,
    jobs,
    others,
    panel,
    papers,
    paste,
    people,
    photographs,
    places,
    proposal,
    questions,
    readings,
    shop,
    sign_in,
    walk,
    what_if,
)
from driploop.web.security import HEADERS, TOO_LARGE, SafeAnswers
from driploop.web.visitors import STRANGER
from driploop.worksheet import DriploopError

SCREENS = (
    jobs, job, walk, questions, photographs, paste, job_file, consequence, alternatives, what_if, proposal, readings,
    places, panel, drawings, findings, papers, people, others, sign_in, shop,
)  # fmt: skip
#: By what names this machine alone is called; any other name is a page elsewhere that pretends to be this machine.
LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


def create_app(
    store: Store,
    *,
    hosts: Sequence[str] = LOOPBACK,
    any_number: bool = False,
    behind_proxy: bool = False,
    key: bytes | None = None,
) -> Starlette:
    """The web application on an open store.

    Args:
        store: where jobs, people and photographs are kept.
        hosts: by what names the program may be called.
        any_number: it listens beyond this machine, and may be called by any network address.
        behind_proxy: a proxy on this machine passes requests on; nobody is taken for the owner of the machine.
        key: the program's secret; None makes one that lasts as long as the program.
    """
    desk = Desk(store) if key is None else Desk(store, key=key)
    routes = [route for screen in SCREENS for route in screen.ROUTES]
    app = Starlette(
        # Pages are not packed: how small they get would tell of the secret that they carry. These carry none.
        routes=[*routes, Mount("/static", GZipMiddleware(_Kept(directory=STATIC)), name="static")],
        middleware=[
            Middleware(SafeAnswers),
            Middleware(KnownWays, names=tuple(hosts), any_number=any_number, behind_proxy=behind_proxy),
            Middleware(Door, alone=not behind_proxy and not any_number),
            Middleware(PagesFirst, kept=desk.kept),
        ],
        exception_handlers={
            HTTPException: _refused,
            NotThereError: _not_there,
            BusyError: _busy,
            NoPlanError: _no_plan,
            DriploopError: _unfit,
            500: _our_fault,
        },
    )
    app.state.desk = desk
    return app


class _Kept(StaticFiles):
    """Files that a browser keeps, and asks each time whether they are still the newest."""

    def file_response(self, *args: Any, **named: Any) -> Response:
        answer = super().file_response(*args, **named)
        answer.headers["Cache-Control"] = "no-cache"
        return answer


def _said(request: Request, status: int, title: str, words: str) -> Response:
    return page(request, "said.html", status=status, title=title, words=words)


def _refused(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 400
    own = error.detail if isinstance(error, HTTPException) else ""
    plain = {
        404: ("Nothing is here", "The address leads nowhere; what it named may have been removed."),
        405: ("This cannot be done here", "Go back and use the page's own buttons."),
        413: ("This is too large", TOO_LARGE),
    }
    title, words = plain.get(status, ("This was not done", ""))
    said = own if own and own != HTTPStatus(status).phrase else words
    answer = _said(request, status, title, said)
    answer.headers.update((error.headers if isinstance(error, HTTPException) else None) or {})
    return answer


def _not_there(request: Request, error: Exception) -> Response:
    return _said(request, 404, "Nothing is here", str(error))


def _busy(request: Request, error: Exception) -> Response:
    return _said(request, 503, "Not just now", str(error))


def _no_plan(request: Request, error: Exception) -> Response:
    return job_page(request, "no_plan.html", screen="", trouble=str(error))


def _unfit(request: Request, error: Exception) -> Response:
    return _said(request, 422, "This was not done", str(error))


def _our_fault(request: Request, error: Exception) -> Response:
    request.state.person = STRANGER if not hasattr(request.state, "person") else request.state.person
    said = _said(request, 500, "The program made a mistake", "Nothing of your jobs is lost. Go back and try again.")
    said.headers.update(HEADERS)
    return said
