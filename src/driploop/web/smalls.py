"""The small one-lines of a job: found, proposed, built, side by side, with links to the walk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from markupsafe import Markup

if TYPE_CHECKING:
    from driploop.planning import Plan
    from driploop.rules import Readings

_TABLES = {"equipment": "equipment", "run": "runs", "outline": "buildings"}


@dataclass(frozen=True, slots=True)
class Small:
    """One state of the installation: its slug, what it is called, its drawing, and what to say where there is none."""

    slug: str
    title: str
    drawing: Markup | None
    nothing: str = ""


def smalls(plan: Plan, *, at: str) -> tuple[Small, ...]:
    """The three states. ``at`` is the job's address."""
    proposed = plan.proposed
    return (
        Small("found", "As found", one_line(plan.found, "As found", plan, at=at)),
        Small("proposed", "As proposed", one_line(proposed, "As proposed", plan, at=at) if proposed else None,
              "Nothing is proposed yet. Compare the ways to build it, and take one."),
        Small("built", "As built", None, "Nothing is recorded as built. It begins with the cut-over."),
    )  # fmt: skip


def one_line(readings: Readings, title: str, plan: Plan, *, at: str) -> Markup:
    """The small one-line of one state. What the survey holds leads to its place in the walk."""
    from driploop.drawings import one_lines, to_svg

    found = plan.job.found

    def link(group: str) -> str | None:
        kind, _, id = group.partition("/")
        table = _TABLES.get(kind)
        return f"{at}/walk/{table}/{id}" if table and id in getattr(found, table) else None

    (drawing,) = one_lines(readings, title=title, compact=True)
    return Markup(to_svg(drawing, link=link))  # it escapes every word it writes
