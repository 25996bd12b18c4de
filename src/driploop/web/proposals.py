"""Paths of the proposal: which lead to a field of its own, which to a part that it adds or changes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from driploop.survey.fields import keys_of
from driploop.survey.layout import BY_ID, SINGLE

if TYPE_CHECKING:
    from driploop.installation import Installation
    from driploop.planning import Plan

PROPOSAL = "proposal"
#: The tables of parts that a proposal may add to or change.
BY_ID_PROPOSED = tuple(
    key.name for key in keys_of(SINGLE[PROPOSAL]).values() if key.shape.kind == "parts" and key.name in BY_ID
)


def split(path: str) -> tuple[str, str | None, str] | None:
    """Table, id and key of a path of the proposal: ``("proposal", None, "kind")``, or ``("proposal.runs", "service",
    "wires")``; None for another path."""
    steps = path.split(".")
    if steps[0] != PROPOSAL:
        return None
    if len(steps) == 2:
        return PROPOSAL, None, steps[1]
    if len(steps) == 4 and steps[1] in BY_ID_PROPOSED:
        return f"{PROPOSAL}.{steps[1]}", steps[2], steps[3]
    return None


def is_proposed(tables: Mapping[str, Any], plan: Plan | None, table: str, id: str) -> bool:
    """Whether a proposal may say something of a part: one that it names already, or one that will stand."""
    name = table.removeprefix(f"{PROPOSAL}.")
    if id in tables.get(PROPOSAL, {}).get(name, {}):
        return True
    return plan is not None and plan.proposed is not None and id in getattr(plan.proposed.installation, name)


def title_of_part(final: Installation | None, table: str, id: str) -> str:
    """What a part that will stand is called; "" where none will."""
    part = getattr(final, table).get(id) if final is not None else None
    return str(part.title) if part is not None else ""


def address_of_proposed(path: str) -> str:
    """The address below a job of a field or part of the proposal."""
    steps = path.split(".")
    at = f"?at={steps[1]}.{steps[2]}" if len(steps) > 2 and steps[1] in BY_ID_PROPOSED else ""
    anchor = f"#f-{path.replace('.', '-')}" if split(path) is not None else ""
    return f"/proposal{at}{anchor}"
