"""A proposal that cannot be built from what was found."""

from __future__ import annotations

from driploop.worksheet import DriploopError


class ProposalError(DriploopError):
    """Names the place in the job file and what to do."""

    def __init__(self, where: str, what: str) -> None:
        super().__init__(f"{where}: {what}")
        self.where = where
        self.what = what
