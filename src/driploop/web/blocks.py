"""What a page of readings is made of: blocks of words, drawings and tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from markupsafe import Markup

from driploop.web.sheets import Citing
from driploop.web.shown import ShownTable

if TYPE_CHECKING:
    from driploop.drawings import Drawing
    from driploop.planning import Plan


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing with its links, what it shows, and how wide it must be to be read. [pt]"""

    title: str
    svg: Markup
    width: float
    parts: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class PathStep:
    """One step of a path through the installation: words, and where it leads on the page."""

    words: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Block:
    """One part of a page. ``paths`` are ways that can be followed step by step."""

    anchor: str
    title: str
    lead: str = ""
    pictures: tuple[Picture, ...] = ()
    tables: tuple[ShownTable, ...] = ()
    paths: tuple[tuple[str, tuple[PathStep, ...]], ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def empty(self) -> bool:
        """Whether there is nothing to see."""
        return not (self.pictures or any(table.rows for table in self.tables) or self.paths or self.notes)


@dataclass(slots=True)
class Making:
    """What builders of pages share: the plan whose final state is shown, which state that is, where the job is."""

    plan: Plan
    state: str
    at: str
    citing: Citing = field(default_factory=Citing)

    def place(self, table: str, id: str) -> str:
        """The address of the page of one place."""
        return f"{self.at}/places/{table}/{id}?state={self.state}"


def picture(drawing: Drawing, link: Callable[[str], str | None]) -> Picture:
    """A drawing with its links, and the same links as a list of words."""
    from driploop.drawings import to_svg
    from driploop.drawings.display import Group

    parts: dict[str, str] = {}
    for item in drawing.items:
        if isinstance(item, Group) and (address := link(item.id)):
            parts.setdefault(address, item.title)
    svg = Markup(to_svg(drawing, link=link))  # it escapes every word it writes
    return Picture(drawing.title, svg, drawing.width, tuple((words, address) for address, words in parts.items()))


#: Which table a group of a drawing stands for.
TABLES = {
    "equipment": "equipment", "run": "runs", "runs": "runs", "outline": "buildings", "electrode": "electrodes",
    "earth": "buildings", "voltage": "equipment",
}  # fmt: skip


def to_places(making: Making) -> Callable[[str], str | None]:
    """Links from a drawing's parts to the page of each place."""
    installation = making.plan.final.installation

    def link(group: str) -> str | None:
        kind, _, id = group.partition("/")
        if kind == "circuits":
            if id in installation.circuits:
                return making.place("circuits", id)
            return making.place("equipment", id) if id in installation.equipment else None
        table = TABLES.get(kind)
        return making.place(table, id) if table and id in getattr(installation, table) else None

    return link
