"""One enclosure of a one-line drawing: its symbol, its words, its circuits, and the words beside its supply."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from driploop.drawings import symbols, words
from driploop.drawings.display import (
    BODY,
    DASHED,
    HEAVY,
    LINE_HEIGHT,
    NAME,
    THIN,
    Group,
    Item,
    Rect,
    Text,
    shortened,
    text_width,
    wrap,
)
from driploop.drawings.layout import BESIDE, SPINE, Placed
from driploop.drawings.symbols import Symbol
from driploop.installation import UTILITY
from driploop.installation.model import Equipment, Run
from driploop.rules.readings import Readings

TEXT_X = SPINE + 20.0
TEXT_WIDTH = 138.0
TOP = 5.0
#: Room at the bottom of an enclosure that supplies others: with and without devices or branch circuits. [pt]
DEVICE_STRIP, PLAIN_STRIP = 25.0, 8.0
ROW_HEIGHT = 8.6
COLUMN_GAP = 7.0
BESIDE_GAP = 16.0
NEUTRAL_MARK = 22.0
SERVES_WIDTH = 100.0
#: A panel's circuits stand in two columns past this many, and on a schedule sheet past twice as many.
ONE_COLUMN, TWO_COLUMNS = 12, 24
BORDER = {"kept": (THIN, ""), "new": (HEAVY, ""), "removed": (THIN, DASHED)}

Circuits = Literal["beside", "below", "elsewhere", "left out"]
Row = tuple[str, str, str, str]


@dataclass(frozen=True, slots=True)
class Cell:
    """What one enclosure prints, and the room that takes. ``drop`` are the words beside its supply."""

    id: str
    title: str
    border: words.Standing
    symbols: tuple[str, ...]
    name: tuple[str, ...]
    lines: tuple[str, ...]
    neutral: tuple[words.NeutralWords, tuple[str, ...]] | None
    rows: tuple[Row, ...]
    rows_beside: bool
    circuits_here: bool
    strip: float
    run: Run | None
    drop: tuple[str, ...]
    drop_named: bool
    wires: int | None
    neutral_in_run: bool
    enclosed: bool = True

    @property
    def widths(self) -> tuple[float, float, float, float]:
        """Widths of the four columns of circuits."""
        across = [max((text_width(row[i], BODY) for row in self.rows), default=0.0) for i in range(4)]
        return across[0], across[1], min(across[2], SERVES_WIDTH), across[3]

    @property
    def column_width(self) -> float:
        """Width of one block of circuits."""
        return sum(self.widths) + 3 * COLUMN_GAP

    @property
    def columns(self) -> int:
        """How many blocks the circuits stand in."""
        return 2 if len(self.rows) > ONE_COLUMN else 1

    @property
    def has_bus(self) -> bool:
        """Whether branches leave from a bus rather than from joined conductors."""
        return self.circuits_here or self.strip == DEVICE_STRIP

    @property
    def words_height(self) -> float:
        """Height of name, lines and neutral."""
        neutral = len(self.neutral[1]) * LINE_HEIGHT + 2 if self.neutral else 0.0
        return len(self.name) * (NAME + 2.5) + len(self.lines) * LINE_HEIGHT + neutral

    @property
    def words_width(self) -> float:
        """Width of name, lines and neutral."""
        texts = [text_width(line, NAME, bold=True) for line in self.name]
        texts += [text_width(line, BODY) for line in self.lines]
        if self.neutral:
            texts += [text_width(line, BODY) + NEUTRAL_MARK for line in self.neutral[1]]
        return max(texts)

    @property
    def rows_width(self) -> float:
        """Width of all circuits."""
        return self.columns * self.column_width + (self.columns - 1) * 2 * COLUMN_GAP if self.rows else 0.0

    @property
    def rows_height(self) -> float:
        """Height of the circuits."""
        return -(-len(self.rows) // self.columns) * ROW_HEIGHT

    @property
    def width(self) -> float:
        """Room across. [pt]"""
        if self.rows and self.rows_beside:
            return TEXT_X + self.words_width + BESIDE_GAP + self.rows_width + 7
        return TEXT_X + max(self.words_width, self.rows_width) + 7

    @property
    def height(self) -> float:
        """Room down. [pt]"""
        marks = sum(SYMBOLS[name](0, 0).height for name in self.symbols)
        marks += 18 if self.circuits_here and not self.strip else 4
        circuits = self.rows_height + 7 if self.rows else 0.0
        body = max(self.words_height, circuits) if self.rows_beside else self.words_height + circuits
        return TOP + max(body + 3, marks) + (self.strip or 2)

    @property
    def drop_width(self) -> float:
        """Room across of the words beside the supply. [pt]"""
        if self.run is None:
            return 0.0
        return max(
            (text_width(line, BODY, bold=self.drop_named and not i) for i, line in enumerate(self.drop)), default=0.0
        )

    @property
    def drop_height(self) -> float:
        """Room down of the words beside the supply. [pt]"""
        return max(24.0, len(self.drop) * LINE_HEIGHT + 6) if self.run is not None else 0.0


SYMBOLS = {
    "transformer": symbols.transformer, "meter": symbols.meter, "switch": symbols.switch, "fuse": symbols.fuse,
    "breaker": symbols.breaker, "not known": symbols.not_known, "through": symbols.through, "splice": symbols.splice,
    "transfer switch": symbols.transfer_switch,
}  # fmt: skip


def symbol_names(equipment: Equipment) -> tuple[str, ...]:
    """The symbols that stand in the line through an enclosure, the supply's side first."""
    mains = {"breaker": ("breaker",), "fuses": ("switch", "fuse"), "none": (), None: ("not known",)}[equipment.main]
    match equipment.kind:
        case "utility":
            return ("transformer",)
        case "meter":
            return ("meter", *(() if equipment.main in (None, "none") else mains))
        case "junction box":
            return ("splice",)
        case "transfer switch":
            return ("transfer switch",)
        case "disconnect":
            return mains or ("switch",)
        case _:
            return mains or ("through",)


def device_name(readings: Readings, run: Run) -> str | None:
    """Name of the symbol of the overcurrent device at the start of a run; None where there is no place for one."""
    source = readings.installation.equipment.get(run.from_ or "")
    if source is None or source.kind in ("utility", "meter", "junction box"):
        return None
    shape = {"breaker": "breaker", "fuses": "fuse"}.get(run.ocpd or "")
    if shape is None and run.ocpd is None and source.kind == "panel":
        shape = "not known"
    return shape


def utility_cell(readings: Readings) -> Cell:
    """The utility's transformer, at the top of every drawing."""
    utility = readings.installation.utility
    name = utility.name or "Utility supply"
    return Cell(
        UTILITY, name, "kept", ("transformer",), wrap(name, TEXT_WIDTH, size=NAME, bold=True),
        tuple(line for words_ in words.supply_words(utility) for line in wrap(words_, TEXT_WIDTH)),
        None, (), False, False, PLAIN_STRIP, None, (), False, None, True, enclosed=False,
    )  # fmt: skip


def equipment_cell(readings: Readings, id: str, *, circuits: Circuits, compact: bool) -> Cell:
    """The cell of one piece of equipment.

    Args:
        readings: the installation with its readings.
        id: the equipment.
        circuits: whether its circuits are listed in it, on a sheet elsewhere, or not at all.
        compact: only name, rating and neutral, for a small drawing.
    """
    equipment, run = readings.graph.equipment(id), readings.graph.feeding_run(id)
    width = TEXT_WIDTH if not compact else 96.0
    neutral = words.neutral_words(readings, id)
    if compact and neutral is not None:
        short = {True: "neutral bonded", False: "neutral apart", None: "neutral bond not known"}
        neutral = words.NeutralWords(short[neutral.bonded], neutral.bonded) if neutral.present else None
    listed = readings.graph.circuits_of(id)
    rows = tuple(words.circuit_row(circuit) for circuit in listed) if circuits in ("beside", "below") else ()
    lines = _lines(readings, equipment, compact=compact)
    if circuits == "elsewhere" and listed:
        lines.append(f"{len(listed)} circuit{'s' if len(listed) > 1 else ''}: see the circuit sheet")
    return Cell(
        id, equipment.title, words.standing(equipment), symbol_names(equipment),
        wrap(equipment.title, width, size=NAME, bold=True),
        tuple(line for line_ in lines for line in wrap(line_, width)),
        (neutral, wrap(neutral.words, width - NEUTRAL_MARK)) if neutral else None,
        rows, circuits == "beside", bool(listed), _strip(readings, id), run,
        _drop(readings, run, width=width + 20, compact=compact), not compact,
        words.wires_of(readings, run) if run is not None else None,
        run is None or words.has_neutral(readings, run),
    )  # fmt: skip


def _strip(readings: Readings, id: str) -> float:
    runs = [readings.installation.runs[run] for run in readings.graph.runs_out.get(id, ())]
    if runs and (readings.graph.circuits_of(id) or any(device_name(readings, run) for run in runs)):
        return DEVICE_STRIP
    return PLAIN_STRIP if runs else 0.0


def _lines(readings: Readings, equipment: Equipment, *, compact: bool) -> list[str]:
    if compact:
        main = equipment.main_a if equipment.main in ("breaker", "fuses") else equipment.rating_a
        role = words.role_words(readings, equipment.id)
        return [words.amperes(main), *([role] if role else [])]
    node = readings.loads.nodes.get(equipment.id)
    load = node.governing.current_a if node is not None else None
    systems = readings.grounding.systems.values()
    lands = sum(len(system.conductors) for system in systems if system.lands_at == equipment.id)
    lines = [
        words.rating_words(equipment),
        words.role_words(readings, equipment.id),
        words.place_words(equipment),
        f"calculated load {load:,.0f} A" if load is not None else "",
        words.fault_words(readings, equipment.id),
        "electrode conductor lands here" if lands else "",
    ]
    if readings.graph.feeding_run(equipment.id) is None:
        lines.append("what supplies it is not known")
    return [line for line in lines if line]


def _drop(readings: Readings, run: Run | None, *, width: float, compact: bool) -> tuple[str, ...]:
    if run is None:
        return ()
    body = (words.short_run_words(readings, run),) if compact else words.run_words(readings, run)
    heads = () if compact else wrap(run.title, width, bold=True)[:1]
    return (*heads, *(line for words_ in body for line in wrap(words_, width)))


def draw_cell(cell: Cell, placed: Placed) -> Group:
    """The enclosure where the layout put it."""
    x, y, spine = placed.x, placed.y, placed.spine
    weight, dash = BORDER[cell.border]
    items: list[Item] = []
    level = y
    if cell.enclosed:
        level += TOP
        items.append(Rect(x, y, placed.right - x, placed.block.height, weight, dash, radius=2))
        items.append(symbols.line((spine, y), (spine, level)))
    for name in cell.symbols:
        symbol = SYMBOLS[name](spine, level)
        items.extend(symbol.items)
        level += symbol.height
    items += _below_symbols(cell, placed, level)
    items += _cell_words(cell, x + TEXT_X, y + TOP)
    return Group(f"equipment/{cell.id}", cell.title, tuple(items))


def _below_symbols(cell: Cell, placed: Placed, level: float) -> list[Item]:
    """Bus bars under the main device, and the arrow that stands for branch circuits."""
    spine = placed.spine
    if not cell.strip:
        if not cell.circuits_here:
            return []
        level += 2
        stem = symbols.line((spine, level - 2), (spine, level))
        return [stem, symbols.bus(spine - 8, spine + 8, level), *symbols.arrow_down(spine, level, 13)]
    bar = bus_level(cell, placed)
    left = min([row.riser for row in placed.rows] + [spine - 8])
    right = max(placed.bus_end + 8, spine + 20 if cell.circuits_here else 0.0)
    items: list[Item] = [symbols.line((spine, level), (spine, bar))]
    if cell.has_bus:
        items.append(symbols.bus(left, right, bar))
    elif placed.bus_end > spine:
        items += [symbols.line((spine, bar), (placed.bus_end, bar)), symbols.dot(spine, bar)]
    for row in placed.rows:
        across = ((row.riser, bar), (row.riser, row.y), (row.last + 8, row.y))
        items.append(symbols.line(*across, weight=symbols.BUS_WEIGHT))
    if cell.circuits_here:
        items += symbols.arrow_down(spine + 14, bar, 13)
    return items


def bus_level(cell: Cell, placed: Placed) -> float:
    """Where the bus runs in an enclosure that supplies others."""
    return placed.y + placed.block.height - cell.strip + 3


def _cell_words(cell: Cell, x: float, y: float) -> list[Item]:
    items: list[Item] = []
    level = y
    for line in cell.name:
        level += NAME + 2.5
        items.append(Text(x, level - 3.2, line, NAME, True))
    for line in cell.lines:
        level += LINE_HEIGHT
        items.append(Text(x, level - 2.2, line))
    if cell.neutral:
        neutral, lines = cell.neutral
        level += 2
        if neutral.present:
            items.extend(symbols.neutral_mark(x, level + LINE_HEIGHT - 4.6, bonded=neutral.bonded))
        for line in lines:
            level += LINE_HEIGHT
            items.append(Text(x + NEUTRAL_MARK if neutral.present else x, level - 2.2, line))
    if cell.rows_beside:
        return [*items, *_circuit_rows(cell, x + cell.words_width + BESIDE_GAP, y + 3)]
    return [*items, *_circuit_rows(cell, x, level + 5)]


def _circuit_rows(cell: Cell, x: float, y: float) -> list[Item]:
    per_column = -(-len(cell.rows) // cell.columns)
    items: list[Item] = []
    for number, row in enumerate(cell.rows):
        column, place = divmod(number, per_column)
        left = x + column * (cell.column_width + 2 * COLUMN_GAP)
        for field, width in zip(row, cell.widths, strict=True):
            items.append(Text(left, y + (place + 1) * ROW_HEIGHT - 2, shortened(field, width + 0.5)))
            left += width + COLUMN_GAP
    return items


def draw_drop(cell: Cell, placed: Placed, *, start_y: float, device: Symbol | None) -> Group | None:
    """The supply of a cell: from the bus above at ``start_y`` through its device to the enclosure; None for the top."""
    if cell.run is None:
        return None
    spine = placed.spine
    weight, dash = BORDER[words.standing(cell.run)]
    items: list[Item] = list(device.items) if device else []
    top = start_y + (device.height if device else 0.0)
    items.append(symbols.line((spine, top), (spine, placed.y), weight=weight, dash=dash))
    level = placed.words_y + 3
    if cell.wires is not None:
        items.extend(symbols.wire_ticks(spine, level + 9, cell.wires, neutral=cell.neutral_in_run))
    for number, line in enumerate(cell.drop):
        level += LINE_HEIGHT
        items.append(Text(spine + BESIDE, level - 2.2, line, BODY, number == 0 and cell.drop_named))
    return Group(f"run/{cell.run.id}", cell.run.title, tuple(items))
