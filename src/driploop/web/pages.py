"""Pages from templates, and the two kinds of address: one that shows, one that changes."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from driploop import __version__
from driploop.web import security
from driploop.web.visitors import person
from driploop.web.words import moment_words, title_words

TEMPLATES = Path(__file__).parent / "templates"
STATIC = Path(__file__).parent / "static"

#: The screens of one job in the order of their links: address after the job's, what the link says.
JOB_SCREENS = (
    ("", "Job"),
    ("walk", "Walk"),
    ("consequence", "What moved"),
    ("alternatives", "Alternatives"),
    ("readings", "Readings"),
    ("circuits", "Circuits"),
    ("panel", "Panel"),
    ("findings", "Findings"),
    ("papers", "Papers"),
    ("people", "People"),
)


@cache
def environment() -> Environment:
    """Where templates come from. Everything put into one is escaped."""
    found = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    found.filters["moment"] = moment_words
    found.filters["titled"] = title_words
    found.globals["version"] = __version__
    found.globals["job_screens"] = JOB_SCREENS
    return found


def page(request: Request, template: str, *, status: int = 200, **shown: Any) -> Response:
    """A whole page, or a piece of one, from a template.

    Args:
        request: who asks what.
        template: its path under ``templates/``.
        status: the answer's number.
        shown: what the template may name. ``token`` and ``person`` are always there.
    """
    token = security.token_of(request)
    html = (
        environment()
        .get_template(template)
        .render({"token": token, "person": person(request), "path": request.url.path, **shown})
    )
    response = HTMLResponse(html, status_code=status)
    if request.cookies.get(security.COOKIE) != token:
        response.set_cookie(
            security.COOKIE, token, httponly=True, samesite="lax", secure=request.url.scheme == "https", path="/"
        )
    return response


def is_piece(request: Request) -> bool:
    """Whether a script of our page asks for a piece of it, rather than a browser for a whole one."""
    return request.headers.get("HX-Request") == "true"


def go_to(address: str) -> Response:
    """Send the browser on after a change, so that going back repeats nothing."""
    return RedirectResponse(address, status_code=303)


def shows(path: str, handler: Callable[[Request], Response]) -> Route:
    """An address that shows something and changes nothing. The handler runs in a thread of its own."""
    return Route(path, handler, methods=["GET"])


def changes(path: str, handler: Callable[[Request, FormData], Response]) -> Route:
    """An address that changes something. The form's token is checked before the handler runs in its thread."""

    async def checked(request: Request) -> Response:
        async with request.form(max_files=40, max_fields=2000, max_part_size=4 * 1024 * 1024) as form:
            security.check_token(request, form)
            return await run_in_threadpool(handler, request, form)

    return Route(path, checked, methods=["POST"])
