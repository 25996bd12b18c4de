"""The difference of two installations: what is added, what goes, what changes. Work and price are read from it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from driploop.installation.model import Installation, Part

KINDS = ("buildings", "equipment", "runs", "circuits", "loads", "electrodes", "bonds", "load_management")


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field of one part: before and after, None where not known."""

    field: str
    before: Any
    after: Any


@dataclass(frozen=True, slots=True)
class Change:
    """What happens to one part. ``what`` is "added", "removed" or "changed"; ``path`` is ``equipment.house-panel``."""

    path: str
    what: str
    title: str
    fields: tuple[FieldChange, ...] = ()


def difference(before: Installation, after: Installation) -> tuple[Change, ...]:
    """Every part that is added, removed or changed between two installations, in the order of ``KINDS``."""
    return tuple(
        change for kind in KINDS for change in _changes(kind, dict(getattr(before, kind)), dict(getattr(after, kind)))
    )


def _changes(kind: str, before: dict[str, Part], after: dict[str, Part]) -> list[Change]:
    changes = []
    for id in dict.fromkeys([*before, *after]):
        old, new = before.get(id), after.get(id)
        if old is None and new is not None:
            changes.append(Change(f"{kind}.{id}", "added", new.title))
        elif new is None and old is not None:
            changes.append(Change(f"{kind}.{id}", "removed", old.title))
        elif old is not None and new is not None and (fields := field_changes(old, new)):
            changes.append(Change(f"{kind}.{id}", "changed", new.title, fields))
    return changes


def field_changes(old: Part, new: Part) -> tuple[FieldChange, ...]:
    """The fields in which two states of one part differ."""
    return tuple(
        FieldChange(name, getattr(old, name), getattr(new, name))
        for name in type(new).model_fields
        if name not in ("id", "is_new") and getattr(old, name, None) != getattr(new, name)
    )
