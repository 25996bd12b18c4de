"""Who asks. On this machine alone there is one owner, who needs no password; else whoever has signed in."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass

from starlette.requests import Request

from driploop.store import Who


@dataclass(frozen=True, slots=True)
class Visitor:
    """Who stands behind a request: a name, an account's id (None for the owner of a machine nobody else reaches).

    ``form_key`` is what the forms of a signed-in browser must bring back; "" where nobody has signed in.
    """

    name: str
    role: str
    id: str | None = None
    form_key: str = ""

    @property
    def who(self) -> Who:
        """As the history names them."""
        return Who(self.name, self.id)


OWNER = Visitor("the owner", "owner")
#: Somebody who has not signed in: no role, so nothing is open but the door itself.
STRANGER = Visitor("", "")


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


def place_of(request: Request) -> str:
    """The network address that a request comes from."""
    return request.client.host if request.client else ""
