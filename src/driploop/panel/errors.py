"""Faults of panel layouts, worded for whoever can mend them."""

from __future__ import annotations

from driploop.worksheet import DriploopError


class NoSolverError(DriploopError):
    """The optional solver is not installed."""
