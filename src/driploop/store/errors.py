"""What can go wrong with stored jobs, in words for the person at the screen."""

from __future__ import annotations

from driploop.worksheet import DriploopError


class StoreError(DriploopError):
    """The database, or a file beside it, cannot do what was asked."""


class NotThereError(StoreError):
    """What was asked for is not stored, or was deleted."""


class BusyError(StoreError):
    """The database could not be reached, or others held it too long; nothing was written, and trying again may help."""
