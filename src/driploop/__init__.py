"""driploop: one survey of a tired electrical service in, a service packet out.

``read_job`` reads a job file, ``plan`` reads everything from it. Each calculation is also a plain function in its
stage's folder: ``loads``, ``conductors``, ``grounding``, ``rules``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from driploop.planning import Plan, plan
    from driploop.survey import read_job, read_job_text

__version__ = "0.1.0"
__all__ = ["Plan", "plan", "read_job", "read_job_text"]

_HOMES = {
    "plan": "driploop.planning", "Plan": "driploop.planning",
    "read_job": "driploop.survey", "read_job_text": "driploop.survey",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    # Loaded on first use, so that the command line answers --help before anything heavy is read.
    if name in _HOMES:
        from importlib import import_module

        value = getattr(import_module(_HOMES[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module 'driploop' has no attribute {name!r}")
