"""Passwords: long enough, kept only as argon2 makes them."""

from __future__ import annotations

import secrets
from functools import cache

from driploop.store.errors import StoreError

LEAST_PASSWORD, LONGEST_PASSWORD = 10, 1000


def hashed(password: str) -> str:
    """What is kept of a password. Raises StoreError for one that is too short, too long or one sign over and over."""
    if len(password) < LEAST_PASSWORD:
        raise StoreError(f"The password has {len(password)} signs; give it {LEAST_PASSWORD} or more.")
    if len(password) > LONGEST_PASSWORD:
        raise StoreError(f"The password has {len(password)} signs; give it at most {LONGEST_PASSWORD}.")
    if len(set(password)) == 1:
        raise StoreError("The password is one sign over and over. Choose one that nobody can guess.")
    from argon2 import PasswordHasher

    return PasswordHasher().hash(_bytes(password))


def matches(kept: str | None, password: str) -> bool:
    """Whether a typed password is the one that was kept."""
    from argon2 import PasswordHasher
    from argon2.exceptions import Argon2Error, InvalidHashError

    if len(password) > LONGEST_PASSWORD:
        return False
    try:
        return PasswordHasher().verify(kept or nobodys(), _bytes(password)) and kept is not None
    except (Argon2Error, InvalidHashError):
        return False


def outdated(kept: str) -> bool:
    """Whether today's argon2 would make more work of it than when it was kept."""
    from argon2 import PasswordHasher

    return PasswordHasher().check_needs_rehash(kept)


@cache
def nobodys() -> str:
    """What is checked against for a name that is not there."""
    return hashed(secrets.token_urlsafe(24))


def _bytes(password: str) -> bytes:
    return password.encode("utf-8", "replace")  # half a character pair is no reason to fail
