"""The survey: one job file in, one ``Job`` out, every fault told at once; and small changes that keep its comments.

Public: read_job, read_job_text, JobFileError, Fault, job_text, update_job, changes_between, UpdateError,
write_atomic, migrate_job, json_schema, starter.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from driploop.survey.faults import Fault, JobFileError
from driploop.survey.read import read_job, read_job_text

if TYPE_CHECKING:
    from driploop.survey.emit import job_text
    from driploop.survey.new import starter
    from driploop.survey.schema import json_schema
    from driploop.survey.taken import changes_between
    from driploop.survey.write import UpdateError, migrate_job, update_job, write_atomic

__all__ = [
    "Fault",
    "JobFileError",
    "UpdateError",
    "changes_between",
    "job_text",
    "json_schema",
    "migrate_job",
    "read_job",
    "read_job_text",
    "starter",
    "update_job",
    "write_atomic",
]

_HOMES = {"job_text": "emit", "starter": "new", "json_schema": "schema", "changes_between": "taken"}


def __getattr__(name: str) -> Any:
    # Loaded on first use: who reads a job need not be able to write one.
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES.get(name, 'write')}"), name)
