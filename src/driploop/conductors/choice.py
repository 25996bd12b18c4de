"""A size with the worksheet that led to it."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.installation.kinds import Metal
from driploop.worksheet import Assumption, Worksheet


@dataclass(frozen=True, slots=True)
class SizeChoice:
    """Smallest neutral or equipment grounding conductor that serves."""

    size: str
    metal: Metal
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()
