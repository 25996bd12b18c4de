"""What keeps strangers out of a page: headers on every answer, a token in every form, a limit on what may be sent."""

from __future__ import annotations

import secrets
from collections.abc import Mapping

from starlette.datastructures import FormData, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: Name of the cookie that holds a browser's token, of the form's field and of the header that say it again.
COOKIE, FIELD, HEADER = "driploop_token", "token", "X-Driploop-Token"
#: Most that one request may carry. [bytes]
MOST_BYTES = 32 * 1024 * 1024

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
        taken = 0

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > MOST_BYTES:
                raise HTTPException(413)
            return message

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        await self.app(scope, counted, dressed)


def token_of(request: Request) -> str:
    """The token of this browser; a new one where it brought none, put into its cookie by ``keep_token``."""
    token: str | None = getattr(request.state, "token", None) or request.cookies.get(COOKIE)
    if not token or len(token) != 43:
        token = secrets.token_urlsafe(32)
    request.state.token = token
    return token


def check_token(request: Request, form: FormData) -> None:
    """Refuse a form that was not made for this browser by one of our own pages.

    Raises:
        HTTPException: 403.
    """
    held = request.cookies.get(COOKIE, "")
    said = request.headers.get(HEADER) or form.get(FIELD)
    if not held or not isinstance(said, str) or not secrets.compare_digest(held.encode(), said.encode()):
        raise HTTPException(403, "The page was open too long, or the form came from elsewhere. Nothing was changed.")
