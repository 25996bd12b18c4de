"""A fault in a job file, worded for the person who holds it: where, what was read, what is allowed, what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from driploop.worksheet import DriploopError


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault. ``line`` is None where no line can be named; ``path`` names the field with its id, "" for the file."""

    file: str
    line: int | None
    path: str
    read: str
    allowed: str
    do: str

    @property
    def text(self) -> str:
        """The fault as a short block of lines."""
        where = f"{self.file}, line {self.line}" if self.line is not None else self.file
        rows = (("read", self.read), ("allowed", self.allowed), ("do", self.do))
        body = (f"  {what:<9}{said}" for what, said in rows if said)
        return "\n".join([f"{where}: {self.path}" if self.path else where, *body])


class JobFileError(DriploopError):
    """A job file cannot be used as written. ``faults`` holds every fault found, in the order of the file."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults = tuple(faults)
        count = len(self.faults)
        heading = f"{count} faults in {self.faults[0].file}\n\n" if count > 1 else ""
        super().__init__(heading + "\n\n".join(fault.text for fault in self.faults))


@dataclass(frozen=True, slots=True)
class Found:
    """A fault before its line is known.

    ``path`` is the way through the file's tables; ``at`` leads to the very item, where a list or table holds it.
    """

    path: tuple[str, ...]
    read: str
    allowed: str
    do: str
    at: tuple[str, ...] = ()
