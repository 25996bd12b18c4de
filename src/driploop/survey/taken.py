"""From one job to another that wishes and proposes otherwise: the changes to its file, no more than differ."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from driploop.installation import Job
from driploop.survey.emit import proposal_tables
from driploop.survey.fields import keys_of
from driploop.survey.layout import BY_ID, SINGLE
from driploop.survey.places import Path


def changes_between(before: Job, after: Job) -> dict[str, Any]:
    """What ``update_job`` must change in the file of one job so that it wishes and proposes as another does.

    Args:
        before: the job as its file has it.
        after: the same survey with other wishes and another proposal.

    Returns:
        New values by path; None for what goes. Empty where both say the same.
    """
    return {".".join(path): value for path, value in _differences(_tables(before), _tables(after), ())}


def _tables(job: Job) -> dict[str, Any]:
    wishes = {id: each.model_dump(by_alias=True, exclude_defaults=True, exclude={"id"})
              for id, each in job.wishes.items()}  # fmt: skip
    proposal = {"proposal": proposal_tables(job.proposal)} if job.proposal is not None else {}
    return {"wishes": wishes, **proposal}


def _differences(before: Mapping[str, Any], after: Mapping[str, Any], path: Path) -> Iterator[tuple[Path, Any]]:
    """Fields, and whole parts, that stand otherwise; what goes first, so that nothing stands twice in between."""
    for key in before:
        if key not in after:
            yield (*path, key), None
    for key, value in after.items():
        here = (*path, key)
        if key not in before:
            yield here, value
        elif _holds_fields(here):
            yield from _differences(before[key], value, here)
        elif before[key] != value:
            yield here, value


def _holds_fields(path: Path) -> bool:
    """Whether a path leads to a table of fields or of parts, and not to one field."""
    if path[0] in BY_ID:
        return len(path) <= 2
    shape = keys_of(SINGLE[path[0]])[path[1]].shape if len(path) > 1 else None
    return shape is None or (shape.model is not None and len(path) <= 3)
