"""The door: by which name and way a request comes, who stands behind it, and whether they must sign in first."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Collection
from typing import TYPE_CHECKING
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from driploop.store import Store, people
from driploop.web.visitors import OWNER, STRANGER, Visitor, is_loopback

if TYPE_CHECKING:
    from driploop.web.here import Desk

#: What a proxy adds to a request that it passes on.
_PASSED_ON = ("forwarded", "x-forwarded-for", "x-forwarded-proto", "x-forwarded-host", "x-real-ip")
#: What is open before anybody has signed in.
_OPEN = re.compile(r"/static/.*|/sign-in|/invitation/[^/]*")
_NOBODY_YET = "These pages are open to their own machine alone: nobody has an account yet."
#: Most that a stranger may send; an account's form is small. [bytes]
STRANGERS_BYTES = 64 * 1024


def session_cookie(scheme: str) -> str:
    """The name of the cookie of a session. Over https a browser takes one of this name from this program alone."""
    return "__Host-driploop_session" if scheme == "https" else "driploop_session"


class KnownWays:
    """Refuses a name that is none of this program's, and a request passed on by a proxy that was not announced.

    A page elsewhere may have its own name lead to this machine: then the name gives it away. A proxy on this machine
    makes strangers look like its owner: so it is believed only when ``behind_proxy`` says that there is one, and then
    nobody is taken for the owner.
    """

    def __init__(self, app: ASGIApp, *, names: Collection[str], any_number: bool, behind_proxy: bool) -> None:
        self.app, self.names, self.any_number, self.behind_proxy = app, frozenset(names), any_number, behind_proxy

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] == "http" and (said := self._wrong(scope)):
            await PlainTextResponse(said[1], said[0])(scope, receive, send)
            return
        await self.app(scope, receive, send)

    def _wrong(self, scope: Scope) -> tuple[int, str] | None:
        headers = Headers(scope=scope)
        if any(name in headers for name in _PASSED_ON):
            if not self.behind_proxy:
                return 403, "A proxy passed this on. Start driploop with --behind-proxy if there is to be one."
            if not is_loopback((scope.get("client") or ("",))[0]):
                return 403, "A proxy on another machine passed this on. It must stand on the same machine as driploop."
            _as_passed_on(scope, headers)
        name = _host_name(headers.get("host", ""))
        if name in self.names or (self.any_number and _is_number(name)):
            return None
        return 400, (
            "This program is not known by the name in the address. Use its number, or start it with --name NAME."
        )


def _as_passed_on(scope: Scope, headers: Headers) -> None:
    """The client and the scheme as the nearest proxy saw them: what stands last was put there by it."""
    client = headers.get("x-forwarded-for", "").rpartition(",")[2].strip()
    if client:
        scope["client"] = (client[:60], 0)
    scheme = headers.get("x-forwarded-proto", "").rpartition(",")[2].strip().lower()
    if scheme in ("http", "https"):
        scope["scheme"] = scheme


def _host_name(host: str) -> str:
    """A Host header without its port, in small letters."""
    match = re.fullmatch(r"(\[[0-9a-f:.]+\]|[^:\[\]]+)(?::\d{1,5})?", host.strip().lower())
    return match[1].rstrip(".") if match else ""


def _is_number(name: str) -> bool:
    try:
        ipaddress.ip_address(name.strip("[]"))
    except ValueError:
        return False
    return True


class Door:
    """Finds out who asks.

    While nobody has an account and the program listens to this machine ``alone``, whoever is at it is the owner. Else
    one must sign in.
    """

    def __init__(self, app: ASGIApp, *, alone: bool) -> None:
        self.app, self.alone = app, alone

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request; ``request.state.person`` is set."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        state, request = scope.setdefault("state", {}), Request(scope)
        state["person"] = STRANGER
        desk: Desk = scope["app"].state.desk
        if request.url.path.startswith("/static/"):
            await self.app(scope, receive, send)
            return
        if not desk.has_accounts:
            desk.has_accounts = bool(await run_in_threadpool(people.everybody, desk.store))
        alone = self.alone and is_loopback((scope.get("client") or ("",))[0])
        if not desk.has_accounts and alone:
            state["person"] = OWNER
        elif word := request.cookies.get(session_cookie(scope["scheme"])):
            state["person"] = await run_in_threadpool(_signed_in, desk.store, word)
        if state["person"] is STRANGER:
            state["most_bytes"] = STRANGERS_BYTES
            if not _OPEN.fullmatch(request.url.path):
                refused = _sent_to_sign_in(request) if desk.has_accounts else PlainTextResponse(_NOBODY_YET, 403)
                await refused(scope, receive, send)
                return
        await self.app(scope, receive, send)


def _signed_in(store: Store, word: str) -> Visitor:
    session = people.session_of(store, word[:200])
    if session is None:
        return STRANGER
    found = session.person
    return Visitor(found.name, found.role, found.id, session.form_key)


def _sent_to_sign_in(request: Request) -> ASGIApp:
    """A whole page leads to the sign-in and back; a piece of one, or a change, is told so and nothing is done."""
    if request.method in ("GET", "HEAD") and request.headers.get("HX-Request") != "true":
        back = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"/sign-in?back={quote(back, safe='')}", status_code=303)
    words = "You are not signed in any more. Nothing was changed. Sign in under /sign-in, then do it again."
    return PlainTextResponse(words, 401)
