"""Pages from templates, and the two kinds of address: one that shows, one that changes."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from driploop import __version__
from driploop.web import security
from driploop.web.roles import least_role, may
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
    ("people", "History"),
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
    html = (
        environment()
        .get_template(template)
        .render({"token": security.token_of(request), "person": person(request), "path": request.url.path, **shown})
    )
    response = HTMLResponse(html, status_code=status)
    security.keep_browser(request, response)
    return response


def is_piece(request: Request) -> bool:
    """Whether a script of our page asks for a piece of it, rather than a browser for a whole one."""
    return request.headers.get("HX-Request") == "true"


def go_to(address: str) -> Response:
    """Send the browser on after a change, so that going back repeats nothing."""
    return RedirectResponse(address, status_code=303)


class Screen(Route):
    """An address with the least trusted role that may use it."""

    least: str


def shows(path: str, handler: Callable[[Request], Response]) -> Screen:
    """An address that shows something and changes nothing. The handler runs in a thread of its own."""
    least = least_role("GET", path)

    def allowed(request: Request) -> Response:
        _let_in(request, least)
        return handler(request)

    return _screen(path, allowed, "GET", least)


def changes(path: str, handler: Callable[[Request, FormData], Response]) -> Screen:
    """An address that changes something. Role and token are checked before the handler runs in its thread."""
    least = least_role("POST", path)

    async def checked(request: Request) -> Response:
        _let_in(request, least)
        form = await _form(request)
        try:
            security.check_token(request, form)
            return await run_in_threadpool(handler, request, form)
        finally:
            await form.close()

    return _screen(path, checked, "POST", least)


async def _form(request: Request) -> FormData:
    try:
        return await request.form(max_files=40, max_fields=2000, max_part_size=4 * 1024 * 1024)
    except HTTPException as error:
        if error.status_code == 413:
            raise
        if "exceeded" in error.detail or "Too many" in error.detail:
            raise security.TooLargeError from None
        raise HTTPException(400, "The form did not arrive whole. Nothing was changed. Load the page again.") from None


def _screen(path: str, handler: Callable[..., Any], method: str, least: str) -> Screen:
    made = Screen(path, handler, methods=[method])
    made.least = least
    return made


def _let_in(request: Request, least: str) -> None:
    if may(person(request).role, least):
        return
    who = "the owner" if least == "owner" else "the owner and the crew"
    raise HTTPException(403, f"This is for {who} of the shop. Nothing was changed.", {security.WHY: "role"})
