"""The survey: one job file in, one ``Job`` out, every fault told at once; and small changes that keep its comments.

Public: read_job, read_job_text, JobFileError, Fault, job_text, update_job, changes_between, UpdateError,
write_atomic, migrate_job, json_schema, starter.
"""

from driploop.survey.emit import job_text
from driploop.survey.faults import Fault, JobFileError
from driploop.survey.new import starter
from driploop.survey.read import read_job, read_job_text
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
