"""What each role may do, in one table: who looks, who works on the jobs, who keeps the shop."""

from __future__ import annotations

from typing import Literal

from driploop.store.tables import ROLES

Method = Literal["GET", "POST"]
#: For whom an address is that asks nobody who they are.
ANYBODY = "anybody"
#: What a role may do, as the shop's page tells it.
ROLE_WORDS = {
    "owner": "everything: the jobs, the people, backups, deleting",
    "crew": "everything in the jobs but deleting one",
    "view": "look at the jobs and their papers, change nothing",
}
#: Addresses that ask for another role than their kind: who may look may see, who is of the crew may change.
_OTHERWISE: dict[tuple[Method, str], str] = {
    ("GET", "/sign-in"): ANYBODY,
    ("POST", "/sign-in"): ANYBODY,
    ("GET", "/invitation/{word}"): ANYBODY,
    ("POST", "/invitation/{word}"): ANYBODY,
    # A form that nobody who may only look could send.
    ("GET", "/jobs/new"): "crew",
    # What touches nobody but the person who does it.
    ("POST", "/sign-out"): "view",
    ("POST", "/account/password"): "view",
    ("POST", "/account/sessions/end"): "view",
    ("POST", "/jobs/{job}/looked"): "view",
    # What cannot be brought back.
    ("GET", "/jobs/{job}/delete"): "owner",
    ("POST", "/jobs/{job}/delete"): "owner",
}
#: Everything below these is the owner's.
_OWNERS = ("/shop", "/people")


def least_role(method: Method, path: str) -> str:
    """The least trusted role that may use an address, by the path of its route; ``ANYBODY`` where none is asked for."""
    if (method, path) in _OTHERWISE:
        return _OTHERWISE[method, path]
    if any(path == start or path.startswith(f"{start}/") for start in _OWNERS):
        return "owner"
    return "view" if method == "GET" else "crew"


def may(role: str, least: str) -> bool:
    """Whether a role is trusted as much as another, or more. Who has none may do what anybody may."""
    return least == ANYBODY or (role in ROLES and ROLES.index(role) <= ROLES.index(least))
