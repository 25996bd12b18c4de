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
    """One state of the installation: its slug, what it is called, its drawing, or what to say where there is none.

    ``large`` is the address of the drawing on a page of its own, below the job's; ``wide`` one too wide for a phone.
    """

    slug: str
    title: str
    drawing: Markup | None
    nothing: str = ""
    large: str = ""
    wide: bool = False


def smalls(plan: Plan, *, at: str) -> tuple[Small, ...]:
    """The three states. ``at`` is the job's address."""
    return (
        _small("found", plan.found, plan, at=at),
        _small("proposed", plan.proposed, plan, at=at) if plan.proposed is not None else
        Small("proposed", "As proposed", None, "Nothing is proposed yet. Compare the ways to build it, and take one."),
        Small("built", "As built", None, "Nothing is recorded as built. It begins with the cut-over."),
    )  # fmt: skip


#: Wider than this, a drawing on a phone is to be drawn along rather than made small. [pt]
_WIDE = 330.0


def _small(slug: str, readings: Readings, plan: Plan, *, at: str) -> Small:
    title = f"As {slug}"
    drawing, width = one_line(readings, title, plan, at=at)
    return Small(slug, title, drawing, large=f"drawings/one-line-{slug}-1", wide=width > _WIDE)


def one_line(readings: Readings, title: str, plan: Plan, *, at: str) -> tuple[Markup, float]:
    """The small one-line of one state, and its width. What the survey holds leads to its place in the walk. [pt]"""
    from driploop.drawings import one_lines, to_svg

    found = plan.job.found

    def link(group: str) -> str | None:
        kind, _, id = group.partition("/")
        table = _TABLES.get(kind)
        return f"{at}/walk/{table}/{id}" if table and id in getattr(found, table) else None

    (drawing,) = one_lines(readings, title=title, compact=True)
    return Markup(to_svg(drawing, link=link)), drawing.width  # it escapes every word it writes
