"""The changes of jobs as rows: of all jobs, of one job since it was seen, and how many a deletion takes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import func, or_, select

from driploop.store import Store
from driploop.store.records import BESIDE, loaded
from driploop.store.tables import changes, jobs, notes, photographs

_SHOWN = (
    changes.c.id, changes.c.job, jobs.c.title, changes.c.at, changes.c.person, changes.c.who, changes.c.path,
    changes.c.before, changes.c.after,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class ShopChange:
    """One change of any job. ``person`` is the account's id, None for the owner of a machine nobody else reaches."""

    id: int
    job: str
    title: str
    at: datetime
    person: str | None
    who: str
    path: str
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class Extent:
    """How much hangs on a job."""

    changes: int
    photographs: int
    notes: int


def shop_history(store: Store, *, search: str = "", before: int = 0, count: int = 100) -> tuple[ShopChange, ...]:
    """The changes of all jobs, last first.

    Args:
        search: words that must all occur in the job's headings, in who did it or in what was changed.
        before: only changes before this one; 0 for the last ones.
        count: so many are handed out at most.
    """
    c = changes.c
    asked = select(*_SHOWN).join(jobs, jobs.c.id == c.job).order_by(c.id.desc())
    for word in search.lower().split()[:20]:
        places = (jobs.c.looked_up, func.lower(changes.c.who), func.lower(changes.c.path))
        asked = asked.where(or_(*(place.contains(word, autoescape=True) for place in places)))
    if before:
        asked = asked.where(changes.c.id < before)
    with store.reading() as connection:
        rows = connection.execute(asked.limit(count)).all()
    return tuple(_shop_change(row) for row in rows)


def changes_since(store: Store, job: str, *, since: int, count: int = 20) -> tuple[ShopChange, ...]:
    """What was changed in a job's file after a revision of it, the last first."""
    c = changes.c
    asked = select(*_SHOWN).join(jobs, jobs.c.id == c.job).where(c.job == job, c.revision > since)
    with store.reading() as connection:
        rows = connection.execute(asked.order_by(c.id.desc()).limit(count)).all()
    return tuple(_shop_change(row) for row in rows if not row.path.startswith(BESIDE))


def revision_of(store: Store, job: str) -> int | None:
    """How often a job was written; None where it is gone. The cheapest question that tells whether anything changed."""
    with store.reading() as connection:
        return connection.execute(select(jobs.c.revision).where(jobs.c.id == job)).scalar_one_or_none()


def extent_of(store: Store, job: str) -> Extent:
    """How much goes when a job goes."""
    with store.reading() as connection:
        counted = [
            connection.execute(select(func.count()).select_from(table).where(table.c.job == job)).scalar_one()
            for table in (changes, photographs, notes)
        ]
    return Extent(*counted)


def _shop_change(r: Any) -> ShopChange:
    return ShopChange(r.id, r.job, r.title, r.at, r.person, r.who, r.path, loaded(r.before), loaded(r.after))
