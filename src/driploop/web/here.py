"""What a request is about: the store, the job that its address names, the plan of it, who asks."""

from __future__ import annotations

import secrets
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from threading import Lock
from typing import TYPE_CHECKING, Any

from starlette.requests import Request

from driploop.store import Edit, Saved, Store, StoredJob
from driploop.store import jobs as stored_jobs
from driploop.store.edits import tables_of_text
from driploop.survey import read_job_text
from driploop.web.kept import Kept
from driploop.web.plans import PlanCache, Planned
from driploop.web.visitors import person
from driploop.web.works import Works
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from driploop.planning import Plan


@dataclass
class Desk:
    """What the whole application shares. Once anybody has an account, somebody always has."""

    store: Store
    plans: PlanCache = field(default_factory=PlanCache)
    works: Works = field(default_factory=Works)
    kept: Kept = field(default_factory=Kept)
    editing: defaultdict[str, Lock] = field(default_factory=lambda: defaultdict(Lock))
    key: bytes = field(default_factory=lambda: secrets.token_bytes(32))
    has_accounts: bool = False

    def __post_init__(self) -> None:
        """SQLite lets in one writer at a time: who waits here gets in by turns, who waits there by luck."""
        if self.store.is_sqlite:
            turn = Lock()
            self.editing = defaultdict(lambda: turn)


class NoPlanError(DriploopError):
    """The job as it stands has no plan; the words say why."""


def desk(request: Request) -> Desk:
    """What the whole application shares."""
    found: Desk = request.app.state.desk
    return found


def job_id(request: Request) -> str:
    """The id of the job that the address names."""
    id: str = request.path_params["job"]
    return id


def stored_job(request: Request) -> StoredJob:
    """The job that the address names, read once a request. Raises NotThereError."""
    kept: StoredJob | None = getattr(request.state, "stored", None)
    if kept is None:
        kept = request.state.stored = stored_jobs.read_stored(desk(request).store, job_id(request))
    return kept


def tables_now(request: Request) -> Mapping[str, Any]:
    """The tables of the job that the address names, without its plan. Raises JobFileError where they are no job."""
    text = stored_job(request).text
    read_job_text(text, name="the job")
    return tables_of_text(text)


def planned(request: Request) -> Planned:
    """The job that the address names, with its plan or why there is none."""
    return desk(request).plans.of(stored_job(request))


def plan_of(request: Request) -> Plan:
    """The plan of the job that the address names.

    Raises:
        NoPlanError: there is none; a page says why and leads to the walk.
    """
    found = planned(request)
    if found.plan is None:
        raise NoPlanError(found.trouble)
    return found.plan


def save(request: Request, edits: Sequence[Edit]) -> Saved:
    """Write edits of the job that the address names; edits of one job wait for one another.

    Raises:
        JobFileError: an edit would bring a fault; nothing was written.
        UpdateError: a path that is no field of a job file.
    """
    with desk(request).editing[job_id(request)]:
        saved = stored_jobs.change_job(desk(request).store, job_id(request), edits, who=person(request).who)
    request.state.stored = saved.job
    return saved
