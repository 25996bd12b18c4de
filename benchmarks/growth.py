"""A job made larger in memory: the same places again and again, each with its own supply from the utility."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from driploop.installation import Installation, Job

#: The folders of an installation that hold parts by id.
PARTS = ("buildings", "equipment", "runs", "circuits", "loads", "electrodes", "bonds", "metered")
#: The fields of those parts that hold an id, or a tuple of ids.
REFERENCES = frozenset(
    {
        "id",
        "part_of",
        "building",
        "from_",
        "to",
        "multiwire_with",
        "circuit",
        "panel",
        "supplemental_to",
        "never_with",
        "conductor_to",
        "continues_to",
        "equipment",
        "meter",
    }
)
UTILITY = "utility"


def repeated(job: Job, *, copies: int) -> Job:
    """The job with its installation as found `copies` times over. The proposal stays with the first."""
    grown = {name: dict(getattr(job.found, name)) for name in PARTS}
    for number in range(2, copies + 1):
        for name in PARTS:
            grown[name] |= _copied(job.found, name, suffix=f"-{number}")
    return job.model_copy(update={"found": job.found.model_copy(update=grown)})


def _copied(found: Installation, name: str, *, suffix: str) -> dict[str, Any]:
    parts = getattr(found, name).values()
    copies = (part.model_copy(update=_renamed(part, suffix)) for part in parts)
    return {part.id: part for part in copies}


def _renamed(part: Any, suffix: str) -> dict[str, Any]:
    changes: dict[str, Any] = {}
    for field in REFERENCES & set(type(part).model_fields):
        value = getattr(part, field)
        if isinstance(value, tuple):
            changes[field] = tuple(id + suffix for id in value)
        elif value not in (None, "", UTILITY):
            changes[field] = value + suffix
    return changes
