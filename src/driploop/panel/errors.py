"""Faults of panel layouts and panel lists, worded for whoever can mend them."""

from __future__ import annotations

from driploop.worksheet import DriploopError


class NoSolver(DriploopError):
    """The optional solver is not installed."""


class PanelFileError(DriploopError):
    """A list of panels cannot be used; the message names every fault."""
