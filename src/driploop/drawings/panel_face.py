"""The face of a panel with its cover on: what sits in which space, on which line, and what it feeds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from driploop.drawings.display import (
    BODY,
    DASHED,
    HEAVY,
    MEDIUM,
    NAME,
    PORTRAIT,
    THIN,
    Drawing,
    Group,
    Item,
    Polyline,
    Rect,
    Text,
    shortened,
)
from driploop.drawings.legend import Entry
from driploop.drawings.sheets import finished
from driploop.panel import PanelReading, Place, leg_of
from driploop.panel.geometry import row_of, rows_of, side_of
from driploop.panel.results import PanelCircuit, PanelProblem, Side

ROW = 16.0
#: A row of a panel with tandem breakers: two handles and two names stand in it.
TALL_ROW = 21.0
#: What all rows may take of a sheet, before taller rows are made less tall.
ALL_ROWS = 540.0
#: From the left edge: where the breakers of each side begin, and how wide they are. [pt]
BREAKER: dict[Side, float] = {"left": 185.0, "right": 287.0}
WIDE = 68.0
MIDDLE = 263.0
MAIN_HEIGHT, TOP = 34.0, 12.0
HANDLE = 9.0
NUMBER_FROM_MIDDLE = 12.5

_KEY: tuple[Entry, ...] = (
    (lambda x, y: (Rect(x, y - 4, 20, 8, MEDIUM), Rect(x + 7, y - 2, 6, 4, THIN, fill="black")), "breaker, its handle"),
    (lambda x, y: (Rect(x, y - 4, 20, 8, THIN, DASHED),), "spare, closed by a filler plate"),
    (lambda x, y: (Polyline(((x + 10, y - 5), (x + 10, y + 5)), HEAVY),), "handles tied: both open together"),
    (lambda x, y: (Text(x + 10, y + 2.5, "A", BODY, True, "middle"),), "the line that feeds this row, left and right"),
)
_NOTES = (
    "Spaces are numbered with the odd ones left. Compare with the label inside the door before a breaker is set; "
    "the label decides. With the main off, its line side is still live.",
)


def panel_faces(panels: Iterable[PanelReading]) -> tuple[Drawing, ...]:
    """The face of every panel that was laid out, one to a sheet.

    Args:
        panels: the readings, in the order of the paper.
    """
    laid = [(each, each.problem, each.solved) for each in panels]
    shown = [(each, problem, solved.layout) for each, problem, solved in laid if problem is not None and solved]
    return tuple(
        _sheet(each, problem, layout, number, len(shown)) for number, (each, problem, layout) in enumerate(shown, 1)
    )


def _sheet(
    reading: PanelReading, problem: PanelProblem, layout: Iterable[Place], number: int, count: int
) -> Drawing:  # fmt: skip
    box = problem.box
    circuits = {circuit.id: circuit for circuit in problem.circuits}
    top = TOP + (MAIN_HEIGHT if box.main == "breaker" else 20.0)
    placed = tuple(layout)
    row_height = ROW
    if any(place.half for place in placed):
        row_height = min(TALL_ROW, max(ROW, ALL_ROWS / rows_of(box)))
    items: list[Item] = [_enclosure(problem, top, row_height), _main(problem)]
    for row in range(rows_of(box)):
        level = top + row * row_height + row_height / 2 + 3
        items.append(Text(MIDDLE, level, leg_of(2 * row + 1), NAME, True, "middle"))
        items += [Text(_number_at(side), level, str(2 * row + add), BODY, anchor="middle")
                  for side, add in (("left", 1), ("right", 2))]  # fmt: skip
    taken: set[int] = set()
    for place in placed:
        taken |= set(place.spaces)
        items.append(_breaker(circuits[place.circuit], place, top, row_height, unrated=_unrated(reading, place)))
    items += [_spare(space, top, row_height) for space in range(1, box.spaces + 1) if space not in taken]
    items += _ties(placed, circuits, top, row_height)
    told = "; ".join(f"space {line.spaces}: {line.words}" for line in reading.directory if line.circuit)
    return finished(
        items, top + rows_of(box) * row_height + 10, page=PORTRAIT, id=f"panel-face-{number}",
        title=f"Face of the panel: {reading.title}", description=f"{box.title}. {told}", number=number, count=count,
        entries=_KEY, notes=_NOTES,
    )  # fmt: skip


def _unrated(reading: PanelReading, place: Place) -> bool:
    line = next(line for line in reading.directory if line.circuit == place.circuit)
    return not line.amperes


def _number_at(side: str) -> float:
    return MIDDLE - NUMBER_FROM_MIDDLE if side == "left" else MIDDLE + NUMBER_FROM_MIDDLE


def _enclosure(problem: PanelProblem, top: float, row_height: float) -> Item:
    height = top + rows_of(problem.box) * row_height + 4
    return Rect(BREAKER["left"] - 8, 2, BREAKER["right"] + WIDE + 2 - BREAKER["left"], height, MEDIUM, radius=3)


def _main(problem: PanelProblem) -> Item:
    box = problem.box
    if box.main == "lugs":
        return Group("main", "main lugs", (Text(MIDDLE, TOP + 6, "main lugs", BODY, True, "middle"),))
    words = f"main {box.main_a:g} A" if box.main_a is not None else "main breaker"
    body = Rect(MIDDLE - 42, 6, 84, MAIN_HEIGHT - 4, HEAVY)
    handle = Rect(MIDDLE - 8, 10, 16, 8, THIN, fill="black")
    return Group("main", words, (body, handle, Text(MIDDLE, 30, words, BODY, True, "middle")))


def _breaker(circuit: PanelCircuit, place: Place, top: float, row_height: float, *, unrated: bool) -> Item:
    space = min(place.spaces)
    side = side_of(space)
    x, y = BREAKER[side], top + row_of(space) * row_height
    height = len(place.spaces) * row_height - 2
    if place.half:
        height = row_height / 2 - 1.5
        y += row_height / 2 - 0.5 if place.half == "lower" else 0.0
    size = "" if circuit.kind == "reserved" or unrated else f"{circuit.rating_a:g}"
    dash = DASHED if circuit.kind == "reserved" else ""
    middle = y + 1 + height / 2
    items: list[Item] = [Rect(x, y + 1, WIDE - 14, height, MEDIUM if not dash else THIN, dash)]
    if not dash:
        items.append(Rect(x + (WIDE - 14) / 2 - HANDLE / 2 - 8, middle - 2, HANDLE, 4, THIN, fill="black"))
    if size:
        items.append(Text(x + WIDE - 18, middle + 2.5, size, BODY, True, "end"))
    items.append(_words(circuit.words, side, middle + 2.5))
    return Group(f"circuits/{circuit.id}", circuit.words, tuple(items))


def _words(words: str, side: Side, y: float) -> Text:
    room = BREAKER["left"] - 14
    if side == "left":
        return Text(room, y, shortened(words, room), BODY, anchor="end")
    start = BREAKER["right"] + WIDE
    return Text(start, y, shortened(words, PORTRAIT.width - start), BODY)


def _spare(space: int, top: float, row_height: float) -> Item:
    x, y = BREAKER[side_of(space)], top + row_of(space) * row_height
    return Rect(x, y + 1, WIDE - 14, row_height - 2, THIN, DASHED)


def _ties(places: Iterable[Place], circuits: dict[str, PanelCircuit], top: float, row_height: float) -> Iterator[Item]:
    at = {place.circuit: place.spaces[0] for place in places if circuits[place.circuit].poles == 1}
    for id, space in at.items():
        other = at.get(circuits[id].partner or "")
        if other is not None and space < other:
            x = BREAKER[side_of(space)] + (WIDE - 14) / 2 - 8
            y = top + row_of(space) * row_height + row_height / 2
            yield Polyline(((x, y), (x, y + row_height)), HEAVY)
