"""What can go wrong when the code is asked: no such edition, no such name, no such cell."""

from __future__ import annotations

from driploop.worksheet import DriploopError


class UnknownEdition(DriploopError):  # noqa: N818
    """No edition of this name is on the shelf."""


class NotInEdition(DriploopError):  # noqa: N818
    """The edition has no such name, has no such rule, or its value is not known here."""


class NotInTable(DriploopError):  # noqa: N818
    """The table has no such row, or the cell asked for is blank."""


class OverlayFault(DriploopError):  # noqa: N818
    """A local overlay cannot be used as written; the message lists every fault found."""
