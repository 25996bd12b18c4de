"""What keeps strangers out of a page: headers on every answer, a token in every form, a limit on what may be sent."""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Mapping
from urllib.parse import urlsplit

from starlette.datastructures import FormData, Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from driploop.web.visitors import person

#: Name of the cookie that tells browsers apart, of the form's field and of the header that bring the token back.
COOKIE, FIELD, HEADER = "driploop_token", "token", "X-Driploop-Token"
#: Tells our own script why a change was refused.
WHY = "X-Driploop-Why"
#: Most that one request may carry. [bytes]
MOST_BYTES = 32 * 1024 * 1024
TOO_LARGE = "This is too large. One file may have 32 megabytes at most, a form of words far less. Nothing was kept."

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self'; "
        "font-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; "
        "base-uri 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=(), usb=()",
}


class SafeAnswers:
    """Puts ``HEADERS`` on every answer, keeps pages out of shared caches, and refuses what is too large to read."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        taken, state, begun = 0, scope.setdefault("state", {}), False

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > state.get("most_bytes", MOST_BYTES):
                raise TooLargeError
            return message

        async def dressed(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        if _said_length(scope) > MOST_BYTES:
            await PlainTextResponse(TOO_LARGE, 413, {"Connection": "close"})(scope, receive, dressed)
            return
        try:
            await self.app(scope, counted, dressed)
        except TooLargeError:
            if begun:
                raise
            await PlainTextResponse(TOO_LARGE, 413, {"Connection": "close"})(scope, receive, dressed)


class TooLargeError(HTTPException):
    """More was sent than is read."""

    def __init__(self) -> None:
        super().__init__(413, TOO_LARGE)


def _said_length(scope: Scope) -> int:
    said = Headers(scope=scope).get("content-length", "")
    return int(said) if said.isascii() and said.isdigit() and len(said) < 20 else 0


def token_of(request: Request) -> str:
    """The token that forms of this browser bring back: its session's, else one made from the cookie it is known by."""
    return person(request).form_key or _token_of(request, _browser(request))


def keep_browser(request: Request, response: Response) -> None:
    """Give a browser that has no session the cookie it will be known by."""
    if not person(request).form_key and request.cookies.get(COOKIE) != _browser(request):
        response.set_cookie(
            COOKIE, _browser(request), httponly=True, samesite="lax", secure=request.url.scheme == "https", path="/"
        )


def check_token(request: Request, form: FormData) -> None:
    """Refuse a form that was not made for this browser, or this session, by one of our own pages.

    Raises:
        HTTPException: 403.
    """
    said = request.headers.get(HEADER) or form.get(FIELD)
    held = person(request).form_key or (
        _token_of(request, request.cookies[COOKIE]) if request.cookies.get(COOKIE) else ""
    )
    fits = held and isinstance(said, str) and hmac.compare_digest(held.encode(), said.encode("utf-8", "replace"))
    if not fits or _from_elsewhere(request):
        raise HTTPException(
            403, "The page was open too long, or the form came from elsewhere. Nothing was changed.", {WHY: "token"}
        )


def _browser(request: Request) -> str:
    known: str | None = getattr(request.state, "browser", None) or request.cookies.get(COOKIE)
    if not known or len(known) != 43:
        known = secrets.token_urlsafe(32)
    request.state.browser = known
    return known


def _token_of(request: Request, browser: str) -> str:
    key: bytes = request.app.state.desk.key
    return hmac.new(key, browser.encode("utf-8", "replace"), hashlib.sha256).hexdigest()


def _from_elsewhere(request: Request) -> bool:
    """Whether the browser itself says that a page of another place sent this."""
    if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return True
    origin = request.headers.get("origin")
    try:
        return origin is not None and urlsplit(origin).netloc.lower() != request.headers.get("host", "").lower()
    except ValueError:
        return True
