"""What riser and site drawing share: the places of a job, the runs between them, and their words.

Only what the survey or the proposal states is told; the rest is told as not known.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from driploop.drawings import words
from driploop.drawings.display import DASHED, HEAVY, LONG_DASHED, MEDIUM, NO_BREAK
from driploop.installation import UTILITY
from driploop.installation.model import Electrode, Equipment, Run
from driploop.rules.readings import Readings
from driploop.worksheet import plain

Course = Literal["overhead", "buried", ""]
#: Stands for the place of equipment whose building nobody has noted.
NOWHERE = "place-not-known"
DOTTED = "1 2.2"
DASHES: dict[Course, str] = {"overhead": LONG_DASHED, "buried": DASHED, "": DOTTED}
_OVERHEAD = frozenset({"overhead triplex", "overhead open conductors"})
_BURIED = frozenset({"direct-buried conductors", "USE cable", "UF cable"})
_SUPPLY: dict[str | None, Course] = {"overhead": "overhead", "underground": "buried"}
SCHEMATIC = (
    "Schematic, not to scale: the survey holds lengths and heights, no bearings. Only what it holds is drawn; the rest "
    "is told as not known."
)


@dataclass(frozen=True, slots=True)
class Place:
    """One building with its dwelling units, one pole, or ``NOWHERE``: what hangs there and what is in its earth."""

    id: str
    title: str
    use: str
    equipment: tuple[str, ...]
    electrodes: tuple[str, ...]

    @property
    def pole(self) -> bool:
        """Whether it is a pole, which has neither walls nor rooms."""
        return self.use == "yard pole"


def places(readings: Readings) -> dict[str, Place]:
    """Every building and pole by its id, in the order of the survey; units count with their building."""
    site, graph = readings.installation, readings.graph
    found: dict[str, Place] = {}
    for id in dict.fromkeys([*(graph.site_of(b) or b for b in site.buildings), NOWHERE]):
        here = tuple(e for e in graph.order if e != UTILITY and place_of(readings, e) == id)
        earth = tuple(e.id for e in site.electrodes.values() if (graph.site_of(e.building) or NOWHERE) == id)
        known = site.buildings.get(id)
        if known is None and not here and not earth:
            continue
        title, use = (known.title, known.use or "use not known") if known else ("Place not known", "")
        found[id] = Place(id, title, use, here, earth)
    return found


def place_of(readings: Readings, equipment: str) -> str:
    """The place at which a piece of equipment hangs."""
    return readings.graph.site_of(readings.graph.equipment(equipment).building) or NOWHERE


def runs_between(readings: Readings) -> Iterator[tuple[Run, str, str]]:
    """Every run that leads from one place, or from the utility, to another: the run, where from, where to."""
    for run in readings.installation.runs.values():
        if run.from_ is None or run.to is None:
            continue
        start = UTILITY if run.from_ == UTILITY else place_of(readings, run.from_)
        end = place_of(readings, run.to)
        if start != end:
            yield run, start, end


def course(readings: Readings, run: Run) -> Course:
    """Whether a run hangs in the air or lies in the earth; "" where neither is known."""
    if run.overhead or (run.overhead is None and run.method in _OVERHEAD):
        return "overhead"
    if run.buried or (run.buried is None and run.method in _BURIED):
        return "buried"
    if run.from_ == UTILITY and run.overhead is None and run.buried is None:
        return _SUPPLY.get(readings.installation.utility.supply, "")
    return ""


def weight(part: Equipment | Run) -> float:
    """Line weight of a part: what is new is drawn heavy."""
    return HEAVY if part.is_new else MEDIUM


def inches(value_in: float | None) -> str:
    """A length as the trade writes it: ``30 in``, ``5 ft 6 in``; "not known"."""
    if value_in is None or value_in >= 36:
        return feet(None if value_in is None else value_in / 12)
    return f"{plain(value_in)}{NO_BREAK}in"


def feet(value_ft: float | None) -> str:
    """A length in feet and inches: ``11 ft 6 in``; "not known"."""
    if value_ft is None:
        return "not known"
    whole, rest = divmod(round(value_ft * 12, 1), 12)
    tail = f"{plain(rest)}{NO_BREAK}in" if rest else ""
    return f"{plain(whole)}{NO_BREAK}ft {tail}".rstrip() if whole or not tail else tail


def way(readings: Readings, run: Run) -> str:
    """Method, trade size and length of a run."""
    return words.way_words(run, readings.conductors.runs.get(run.id))


def wires(readings: Readings, run: Run) -> str:
    """Number of wires and size of the lines; the number alone for the utility's own conductors."""
    if run.owner == "utility" and run.line_size is None:
        return words.wires_words(words.wires_of(readings, run))
    return words.short_run_words(readings, run)


def course_words(readings: Readings, run: Run) -> tuple[str, ...]:
    """How high or how deep a run is, a line a fact."""
    match course(readings, run):
        case "overhead":
            over = f" over {run.ground_below}" if run.ground_below else ", what is below not known"
            return (f"lowest point {feet(run.lowest_over_ground_ft)}{over}",)
        case "buried":
            return (f"cover {inches(run.burial_depth_in)}",)
    return ("overhead or buried: not known",)


def attachment_words(run: Run) -> tuple[str, ...]:
    """What is known where an overhead run ends: head, loop, mast, wire left out, roof."""
    head = {True: "head above the attachment", False: "head not above the attachment",
            None: "head above or below the attachment: not known"}  # fmt: skip
    loop = {True: "drip loop", False: "no drip loop", None: "drip loop: not known"}
    guyed = {True: "guyed", False: "not guyed", None: "guying not known"}
    facts = [head[run.head_above_attachment], loop[run.drip_loop]]
    if run.mast_trade_size == "none":
        facts.append("no mast")
    elif run.mast_trade_size is not None:
        facts.append(f"mast {run.mast_trade_size}{NO_BREAK}in, {guyed[run.mast_guyed]}")
    if run.mast_above_roof_in is not None:
        facts.append(f"attachment {inches(run.mast_above_roof_in)} above the roof")
    if run.over_roof_ft is not None:
        facts.append(f"conductors {feet(run.over_roof_ft)} over the roof")
    if run.from_openings_ft is not None:
        facts.append(f"{feet(run.from_openings_ft)} from the nearest opening")
    if run.tail_length_in is not None:
        facts.append(f"{inches(run.tail_length_in)} of wire left out of the head")
    return tuple(facts)


def electrode_lines(readings: Readings, electrode: Electrode) -> tuple[str, ...]:
    """Name and kind of an electrode, then its conductor and where that lands."""
    name = words.electrode_words(electrode)
    first = f"{name}, new" if electrode.is_new and "new" not in name.lower() else name
    if electrode.connected is False:
        return first, "not joined"
    size, metal = electrode.conductor_size, electrode.conductor_metal
    for system in readings.grounding.systems.values():
        for needed in system.conductors:
            if needed.electrode == electrode.id and readings.proposed and size is None:
                size, metal = needed.required_copper, "copper"
    lands = readings.installation.equipment.get(electrode.conductor_to or "")
    onward = readings.installation.electrodes.get(electrode.continues_to or "")
    to = f"to {lands.title}" if lands else "where it lands: not known" if onward is None else ""
    on = f"on to {onward.title}" if onward else ""
    return first, ", ".join(part for part in (f"conductor {words.metal_size(size, metal)}", to, on) if part)


def not_drawn(readings: Readings) -> tuple[str, ...]:
    """A note that names the runs whose ends nobody knows; empty where there are none."""
    loose = [run.title for run in readings.installation.runs.values() if run.to is None or run.from_ is None]
    return (f"Not drawn, because an end is not known: {', '.join(loose)}.",) if loose else ()
