"""The small drawing of the decision sheet: the device that decides, what is ahead of it, what it feeds."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.drawings import symbols, words
from driploop.drawings.display import (
    BODY,
    DASHED,
    HEAVY,
    LINE_HEIGHT,
    MEDIUM,
    NAME,
    THIN,
    Drawing,
    Group,
    Item,
    Rect,
    Text,
    wrap,
)
from driploop.drawings.sheets import moved
from driploop.drawings.site_places import DOTTED
from driploop.drawings.symbols import line
from driploop.installation import UTILITY
from driploop.installation.model import Run
from driploop.rules.readings import Readings

WIDTH = 232.0
INDENT, SPINE, PAD = 22.0, 14.0, 6.0
MOST_FED = 3
#: Room for half a heavy line at both sides. [pt]
EDGE = 1.0
#: What ends the service or stands ahead of its end: the devices a decision is about.
DECIDING = ("service disconnect", "emergency disconnect", "meter disconnect", "site-isolating device")


def deciding_device(readings: Readings) -> str | None:
    """The outdoor device that decides what the rest becomes; without one outdoors, the first service disconnect.

    Returns:
        Its id; None where the survey lists no such device.
    """
    roles, graph = readings.graph.roles, readings.graph
    found = [id for id in graph.order if roles.get(id) in DECIDING]
    outdoors = [id for id in found if graph.equipment(id).outdoors is True]
    service = [id for id in found if roles[id] in ("service disconnect", "site-isolating device")]
    return next(iter(outdoors or service or found), None)


def decision_drawing(readings: Readings, device: str) -> Drawing:
    """The chain from the utility to a device and to what it feeds, with neutral and wires of each.

    Args:
        readings: the installation that will stand, with its readings.
        device: id of the equipment the decision is about.
    """
    pen = _Chain(readings, device)
    above = [id for id in reversed([*readings.graph.path_up(device)]) if id != UTILITY]
    pen.supply()
    for id in (*above, device):
        pen.box(id, x=0.0)
    pen.fed()
    title = readings.graph.equipment(device).title
    return Drawing(
        f"decision-{readings.installation.state}", title,
        f"From the utility down to {title} and what it feeds: where the neutral is bonded, the wires of each run.",
        WIDTH + 2 * EDGE, pen.y + 2, moved(pen.items, EDGE, 0),
    )  # fmt: skip


@dataclass(slots=True)
class _Chain:
    readings: Readings
    device: str
    items: list[Item]
    y: float
    left_at: float

    def __init__(self, readings: Readings, device: str) -> None:
        self.readings, self.device, self.items, self.y, self.left_at = readings, device, [], 0.0, 0.0

    def supply(self) -> None:
        """The utility at the top."""
        utility = self.readings.installation.utility
        name = wrap(utility.name or "Utility supply", WIDTH - 36, bold=True)[0]
        self.items.append(
            Group(
                "equipment/utility",
                name,
                (*symbols.transformer(SPINE, 0).items, Text(SPINE + 16, 16, name, BODY, True)),
            )
        )
        self.y = self.left_at = 27.0

    def box(self, id: str, *, x: float) -> None:
        """The run into an enclosure, then the enclosure."""
        run = self.readings.graph.feeding_run(id)
        straight = x == 0
        gap = 26.0 if straight else 22.0
        if run is None:
            self._gap_without_supply(gap)
        else:
            self._run(run, gap, x=x)
        self.y += gap
        texts, tall = self._words(id, WIDTH - x - 2 * PAD)
        if run is not None and not straight:
            level = self.y + 12
            self.items.append(line((SPINE, level), (x, level), weight=HEAVY if run.is_new else MEDIUM))
        self._enclosure(id, texts, tall, x=x)
        self.y += tall
        if straight:
            self.left_at = self.y

    def _gap_without_supply(self, gap: float) -> None:
        self.items.append(line((SPINE, self.y), (SPINE, self.y + gap), dash=DOTTED))
        self.items.append(Text(SPINE + 14, self.y + gap / 2 + 2.4, "what supplies it is not known"))

    def _run(self, run: Run, gap: float, *, x: float) -> None:
        count = words.wires_of(self.readings, run)
        spine = SPINE if x == 0 else x + SPINE
        told = f"{words.wires_words(count)}, {run.title}"
        text = wrap(told, WIDTH - spine - 16)[0]
        marks: list[Item] = [Text(spine + 14, self.y + gap / 2 + 2.4, text)]
        if x == 0:
            marks.append(line((SPINE, self.y), (SPINE, self.y + gap), weight=HEAVY if run.is_new else MEDIUM))
        if count is not None:
            neutral = words.has_neutral(self.readings, run)
            if x:
                marks.append(line((spine, self.y + 2), (spine, self.y + gap - 2)))
            marks += symbols.wire_ticks(spine, self.y + gap / 2, count, neutral=neutral)
        self.items.append(Group(f"run/{run.id}", run.title, tuple(marks)))

    def _words(self, id: str, room: float) -> tuple[list[tuple[str, float, bool]], float]:
        equipment = self.readings.graph.equipment(id)
        texts = [(text, NAME, True) for text in wrap(equipment.title, room, size=NAME, bold=True)]
        facts = [words.rating_words(equipment), words.role_words(self.readings, id)]
        texts += [(text, BODY, False) for fact in facts if fact for text in wrap(fact, room)]
        neutral = words.neutral_words(self.readings, id)
        told = wrap(neutral.words, room - 22) if neutral is not None else ()
        tall = sum(NAME + 2 if bold else LINE_HEIGHT for _, _, bold in texts) + len(told) * (LINE_HEIGHT + 0.6) + 7
        return texts, tall

    def _enclosure(self, id: str, texts: list[tuple[str, float, bool]], tall: float, *, x: float) -> None:
        equipment = self.readings.graph.equipment(id)
        weight = HEAVY if id == self.device else MEDIUM if equipment.is_new else THIN
        dash = DASHED if words.standing(equipment) == "removed" else ""
        marks: list[Item] = [Rect(x, self.y, WIDTH - x, tall, weight, dash, radius=2)]
        level = self.y + 2.0
        for text, size, bold in texts:
            level += NAME + 2 if bold else LINE_HEIGHT
            marks.append(Text(x + PAD, level - (1.5 if bold else 1.0), text, size, bold))
        neutral = words.neutral_words(self.readings, id)
        if neutral is not None:
            told = wrap(neutral.words, WIDTH - x - 2 * PAD - 22)
            if neutral.present:
                marks += symbols.neutral_mark(x + PAD, level + 6.4, bonded=neutral.bonded)
            indent = 22 if neutral.present else 0
            for text in told:
                level += LINE_HEIGHT + 0.6
                marks.append(Text(x + PAD + indent, level - 0.6, text))
        self.items.append(Group(f"equipment/{id}", equipment.title, tuple(marks)))

    def fed(self) -> None:
        """What the device feeds, a few of it drawn, the rest counted."""
        runs = [self.readings.installation.runs[run] for run in self.readings.graph.runs_out.get(self.device, ())]
        drawn = runs[:MOST_FED]
        for run in drawn:
            self.box(run.to or "", x=INDENT)
            last = next(mark for mark in reversed(self.items) if isinstance(mark, Group))
            top = next(mark.y for mark in last.items if isinstance(mark, Rect))
            self.items.insert(0, line((SPINE, self.left_at), (SPINE, top + 12), weight=MEDIUM))
        if len(runs) > MOST_FED:
            self.y += 12
            more = f"and {len(runs) - MOST_FED} more, alike: see the one-line"
            self.items.append(Group("fed/more", "further feeders", (Text(INDENT, self.y - 2, more),)))
