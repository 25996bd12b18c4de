"""Who asks. On this machine alone there is one owner, who needs no password."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Receive, Scope, Send

from driploop.store import Who


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who stands behind a request: a name, an account's id (None for the owner of a machine nobody else reaches)."""

    name: str
    role: str
    id: str | None = None

    @property
    def who(self) -> Who:
        """As the history names them."""
        return Who(self.name, self.id)


OWNER = Visitor("the owner", "owner")


class OneOwner:
    """Takes everybody at this machine for the owner, and turns away whoever comes from another."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request; ``request.state.person`` is set."""
        if scope["type"] == "http":
            scope.setdefault("state", {})["person"] = OWNER
            if not is_loopback((scope.get("client") or ("",))[0]):
                await PlainTextResponse("These pages are open to this machine alone.", 403)(scope, receive, send)
                return
        await self.app(scope, receive, send)


def is_loopback(host: str) -> bool:
    """Whether an address is reached from, or is, this machine alone."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def person(request: Request) -> Visitor:
    """Who asks."""
    visitor: Visitor = request.state.person
    return visitor
