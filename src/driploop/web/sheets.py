"""Every worksheet of a plan by its id, and how a table on a page points at the lines of one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from urllib.parse import quote

from driploop.worksheet import Worksheet

if TYPE_CHECKING:
    from driploop.planning import Plan

#: How well a published value is known, in words.
KNOWN = {
    "": "", "page": "read in print", "derived": "follows from others", "memory": "from memory, not yet read",
    "carried": "carried from the edition before",
}  # fmt: skip
#: Around the number of a reference inside the text of a cell, until the page makes links of it.
_OPEN, _SHUT = "\ue000", "\ue001"
_TOKEN = re.compile(f"{_OPEN}(\\d+){_SHUT}")


def sheet_of(plan: Plan, id: str) -> Worksheet | None:
    """The worksheet of this id in what will stand in this plan; only the stage that it belongs to is read."""
    stage = id.partition("/")[0]
    return next((sheet for sheet in _STAGES.get(stage, _of_the_plan)(plan) if sheet.id == id), None)


def all_sheets(plan: Plan) -> dict[str, Worksheet]:
    """Every worksheet of what will stand in this plan, by id, in the order of the readings."""
    stages = dict.fromkeys((_of_the_plan, *_STAGES.values()))
    return {sheet.id: sheet for stage in stages for sheet in stage(plan) if sheet.lines}


def _of_the_plan(plan: Plan) -> Iterator[Worksheet]:
    from driploop.planning import worksheets_of

    yield from worksheets_of(plan.final)


def _headroom(plan: Plan) -> Iterator[Worksheet]:
    from driploop.web.told import steps_sheet

    if plan.headroom is not None:
        yield plan.headroom.worksheet
        yield steps_sheet(plan.headroom)


def _circuits(plan: Plan) -> Iterator[Worksheet]:
    found, proposed = plan.protections
    yield from (each.worksheet for each in (proposed if proposed is not None else found).values())


def _duties(plan: Plan) -> Iterator[Worksheet]:
    yield from (duty.worksheet for duty in plan.final.duties if duty.worksheet is not None)


def _disconnects(plan: Plan) -> Iterator[Worksheet]:
    yield from (room.worksheet for each in plan.final.old_disconnects for room in each.rooms)


def _faults(plan: Plan) -> Iterator[Worksheet]:
    yield from plan.final.faults.worksheets


def _voltages(plan: Plan) -> Iterator[Worksheet]:
    voltages = plan.final.voltages
    yield from voltages.worksheets
    yield from (start.worksheet for start in voltages.starts)
    yield from (found.worksheet for found in voltages.open_neutrals)


def _earth(plan: Plan) -> Iterator[Worksheet]:
    yield plan.earth.soil.worksheet
    yield from (system.worksheet for system in plan.earth.systems.values())


def _drops(plan: Plan) -> Iterator[Worksheet]:
    from driploop.web.told import clearances_sheets

    yield from (drop.worksheet for drop in plan.drops.values())
    yield from clearances_sheets(plan)


def _panels(plan: Plan) -> Iterator[Worksheet]:
    yield from (panel.worksheet for panel in plan.panels)


def _told(plan: Plan) -> Iterator[Worksheet]:
    from driploop.web.told import told_sheets

    yield from told_sheets(plan.final)


#: Which stage holds a worksheet, by how its id begins; the rest are of loads, conductors and grounding.
_STAGES: dict[str, Callable[[Plan], Iterator[Worksheet]]] = {
    "headroom": _headroom, "headroom-steps": _headroom, "circuit": _circuits, "duty": _duties,
    "old-disconnect": _disconnects, "fault": _faults, "voltage": _voltages, "start": _voltages,
    "open-neutral": _voltages, "earth": _earth, "drop": _drops, "clearances": _drops, "panel": _panels,
    "wires": _told, "trip": _told, "voltage-at": _told, "neutral-to-earth": _told, "open-neutral-loads": _told,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reference:
    """A worksheet, and the numbers of the lines that are meant, first the one meant most."""

    sheet: Worksheet
    lines: tuple[int, ...] = ()

    def address(self, state: str, line: int | None = None) -> str:
        """Its address below the job's."""
        number = line if line is not None else next(iter(self.lines), None)
        return f"/sheets/{state}/{quote(self.sheet.id)}" + (f"?line={number}" if number is not None else "")


@dataclass(slots=True)
class Citing:
    """Stands where the packet's register stands: tables cite through it, and pages make links of what it hands out."""

    kept: list[Reference] = field(default_factory=list)

    def __call__(self, sheet: Worksheet, *keys: str, place: str = "") -> str:
        """A mark in the text of a cell; "" for a worksheet without lines. ``place`` is not needed: a page has room."""
        if not sheet.lines:
            return ""
        there = {line.key for line in sheet.lines}
        self.kept.append(Reference(sheet, tuple(dict.fromkeys(sheet.number_of(key) for key in keys if key in there))))
        return f"{_OPEN}{len(self.kept) - 1}{_SHUT}"

    def references(self, words: Iterable[str]) -> tuple[Reference, ...]:
        """What the marks in some cells stand for, each worksheet once."""
        found: dict[str, Reference] = {}
        for text in words:
            for mark in _TOKEN.finditer(text):
                reference = self.kept[int(mark[1])]
                before = found.get(reference.sheet.id)
                lines = (*(before.lines if before else ()), *reference.lines)
                found[reference.sheet.id] = Reference(reference.sheet, tuple(dict.fromkeys(lines)))
        return tuple(found.values())
