"""What the store hands out."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any


@dataclass(frozen=True, slots=True)
class Who:
    """Who does something. ``id`` is None for the one owner of a program that nobody else can reach."""

    name: str
    id: str | None = None


@dataclass(frozen=True, slots=True)
class JobRow:
    """A job in the list."""

    id: str
    title: str
    stage: str
    waits_on: str
    revision: int
    changed_at: datetime


@dataclass(frozen=True, slots=True)
class StoredJob:
    """A job with its file."""

    row: JobRow
    text: str


@dataclass(frozen=True, slots=True)
class Edit:
    """One thing to change: its path in the job file, the new value, and what stood there when it was typed.

    None is nothing there, as a value and as what was seen.
    """

    path: str
    value: Any
    seen: Any = None


@dataclass(frozen=True, slots=True)
class Conflict:
    """The same thing, changed by somebody else in between: both values, and who."""

    path: str
    yours: Any
    theirs: Any
    seen: Any
    who: str
    at: datetime | None


@dataclass(frozen=True, slots=True)
class Saved:
    """What became of a set of edits. What is in ``conflicts`` was not written and waits for a decision."""

    job: StoredJob
    written: tuple[str, ...]
    conflicts: tuple[Conflict, ...] = ()


@dataclass(frozen=True, slots=True)
class PastChange:
    """One change of the history."""

    id: int
    revision: int
    at: datetime
    who: str
    path: str
    before: Any
    after: Any
    undoes: int | None = None
    undone: bool = False


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who may sign in."""

    id: str
    name: str
    sign_in: str
    role: str
    active: bool

    @property
    def who(self) -> Who:
        """As the history names them."""
        return Who(self.name, self.id)


@dataclass(frozen=True, slots=True)
class Photograph:
    """A photograph of one item of a job. Its files stand beside the database by their digest."""

    id: str
    job: str
    item: str
    caption: str
    digest: str
    kind: str
    width: int
    height: int
    bytes: int
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class BackedUp:
    """What a backup or an export holds. ``missing`` are ids of photographs whose files were not there."""

    path: Path
    jobs: int
    photographs: int
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Restored:
    """What came back from a backup, and where that which was there before has gone."""

    jobs: int
    photographs: int
    aside: Path | None
