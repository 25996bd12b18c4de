"""Where everything stands: a tree drawn downwards, each branch in its own strip, so that nothing can collide.

A ``Block`` is one enclosure with the room its drawing needs and the room the words beside its supply need. Blocks of
one building stand in one frame; what the building supplies elsewhere starts below the frame. Too many branches for
one row go into further rows on a bus continued at the left; too much for a page goes onto further sheets.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from driploop.drawings.display import LANDSCAPE, PORTRAIT, Box, Page

#: Distance of a block's vertical line from its left edge. [pt]
SPINE = 16.0
#: Words beside a line start this far from it. [pt]
BESIDE = 10.0
FRAME_PAD = 9.0
FRAME_HEAD = 15.0
SIBLING_GAP = 2 * FRAME_PAD + 8.0
#: A bus continued to a further row runs this far from the left edge; the row is shifted by LANE. [pt]
RISER = 3.0
LANE = FRAME_PAD + 10.0
ROW_GAP = 12.0
#: Room under a further row's bus for each branch's overcurrent device. [pt]
DEVICE_ROOM = 24.0
BAR_END = 12.0
MARGIN = FRAME_PAD + 2.0
BRANCH_GAP = 14.0
STUB_WIDTH, STUB_HEIGHT, STUB_DROP = 108.0, 32.0, 10.0
FROM_HEIGHT = 26.0


@dataclass(frozen=True, slots=True)
class Block:
    """One enclosure to be placed. ``frame`` is its building; ``stub`` means that it is drawn on another sheet.

    ``first_width`` is the least room of its first branch, where the second one's line would else cross its words [pt];
    ``stays`` that it goes to another sheet last of all.
    """

    id: str
    width: float
    height: float
    drop_width: float = 0.0
    drop_height: float = 0.0
    frame: str | None = None
    frame_title_width: float = 0.0
    children: tuple[Block, ...] = ()
    stub: bool = False
    first_width: float = 0.0
    stays: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """A further row of branches: the continued bus goes down at ``riser`` and across at ``y`` to ``last``."""

    riser: float
    y: float
    last: float


@dataclass(frozen=True, slots=True)
class Placed:
    """Where one block stands.

    Its supply comes down at ``spine`` from ``line_y``, the words beside it start at ``words_y``, the block itself at
    ``y``. ``bus_end`` is how far right its own bus must reach; ``on_row`` says that its supply comes from a
    further row.
    """

    block: Block
    x: float
    y: float
    line_y: float
    words_y: float
    bus_end: float
    rows: tuple[Row, ...]
    on_row: bool

    @property
    def spine(self) -> float:
        """Where its vertical line runs."""
        return self.x + SPINE

    def moved(self, x: float, y: float) -> Placed:
        """The same block elsewhere. [pt]"""
        rows = tuple(Row(row.riser + x, row.y + y, row.last + x) for row in self.rows)
        return Placed(
            self.block, self.x + x, self.y + y, self.line_y + y, self.words_y + y, self.bus_end + x, rows, self.on_row
        )

    @property
    def right(self) -> float:
        """Right edge of the enclosure, widened so that its bus reaches every branch."""
        return max(self.x + self.block.width, self.bus_end + BAR_END + 4)


@dataclass(frozen=True, slots=True)
class Frame:
    """The dashed outline of one building. ``title_x`` is where its name may start."""

    building: str
    box: Box
    title_x: float

    def moved(self, x: float, y: float) -> Frame:
        """The same outline elsewhere. [pt]"""
        box = Box(self.box.x0 + x, self.box.y0 + y, self.box.x1 + x, self.box.y1 + y)
        return Frame(self.building, box, self.title_x + x)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One page of the tree: one or more branches, each with the block that supplies it from elsewhere, or None.

    ``boxes`` are the rooms of the branches, in the same order.
    """

    roots: tuple[tuple[str, str | None], ...]
    placed: tuple[Placed, ...]
    frames: tuple[Frame, ...]
    boxes: tuple[Box, ...]
    page: Page

    @property
    def width(self) -> float:
        """How far right the branches reach. [pt]"""
        return max(box.x1 for box in self.boxes)

    @property
    def height(self) -> float:
        """How far down the branches reach. [pt]"""
        return max(box.y1 for box in self.boxes)

    @property
    def fits(self) -> bool:
        """Whether it keeps within its page."""
        return self.width <= self.page.width and self.height <= self.page.height

    def shows(self, id: str | None) -> bool:
        """Whether a block is drawn here, not only pointed to."""
        return any(place.block.id == id and not place.block.stub for place in self.placed)

    def with_branch(self, other: Sheet, pages: Sequence[Page]) -> Sheet | None:
        """Both on one page, the other beside or below what stands there; None where no page has room."""
        corners = [(box.x1 + BRANCH_GAP, box.y0) for box in self.boxes]
        corners += [(box.x0, box.y1 + BRANCH_GAP) for box in self.boxes]
        for page in pages:
            for x, y in corners:
                box = Box(x, y, x + other.width, y + other.height)
                whole = Box(0, 0, self.width, self.height).joined(box)
                if whole.x1 <= page.width and whole.y1 <= page.height and not any(map(box.overlaps, self.boxes)):
                    placed = (*self.placed, *(place.moved(x, y) for place in other.placed))
                    frames = (*self.frames, *(frame.moved(x, y) for frame in other.frames))
                    return Sheet((*self.roots, *other.roots), placed, frames, (*self.boxes, box), page)
        return None


def lay_out(root: Block, *, taken_height: float, pages: Sequence[Page] = (PORTRAIT, LANDSCAPE)) -> tuple[Sheet, ...]:
    """The tree on as few sheets as its branches allow, each sheet within one of the pages.

    Args:
        root: the top of the tree.
        taken_height: room on every page that title and legend need. [pt]
        pages: the pages to choose from, the preferred one first.

    Returns:
        The sheets, each after the one that supplies it. A block with so many branches that not even their stubs fit
        gives a sheet taller than its page.
    """
    usable = tuple(Page(page.width, page.height - taken_height) for page in pages)
    cut: dict[str, tuple[Block, str]] = {}
    top = _pruned(root, usable, cut)
    return _gathered(_branches(top, None, usable, cut), usable)


def _gathered(branches: Iterable[Sheet], pages: Sequence[Page]) -> tuple[Sheet, ...]:
    """Branches share a sheet where there is room, the sheet of their supply or a later one before an earlier one."""
    sheets: list[Sheet] = []
    for branch in branches:
        supply = branch.roots[0][1]
        first = next((number for number, sheet in enumerate(sheets) if sheet.shows(supply)), 0)
        for number in (*range(first, len(sheets)), *range(first)):
            both = sheets[number].with_branch(branch, pages)
            if both is not None:
                sheets[number] = both
                break
        else:
            sheets.append(branch)
    return tuple(sheets)


def single_sheet(root: Block, *, page: Page) -> Sheet:
    """The whole tree on one sheet, wrapped to the page's width whatever its height."""
    return _sheet(root, None, page)


def _branches(
    root: Block, fed_from: str | None, pages: Sequence[Page], cut: dict[str, tuple[Block, str]]
) -> Iterator[Sheet]:
    yield _best_sheet(root, fed_from, pages)
    for block in _blocks(root):
        if block.stub:
            below, parent = cut[block.id]
            yield from _branches(below, parent, pages, cut)


def _blocks(root: Block) -> Iterator[Block]:
    stack = [root]
    while stack:
        block = stack.pop()
        yield block
        stack.extend(reversed(block.children))


def _best_sheet(root: Block, fed_from: str | None, pages: Sequence[Page]) -> Sheet:
    tried = [_sheet(root, fed_from, page) for page in pages]
    return next((sheet for sheet in tried if sheet.fits), tried[0])


def _pruned(block: Block, pages: Sequence[Page], cut: dict[str, tuple[Block, str]]) -> Block:
    """The block with branches cut off to sheets of their own until what is left fits a page."""
    here = replace(block, children=tuple(_pruned(child, pages, cut) for child in block.children))
    while not _best_sheet(here, "above", pages).fits and any(not child.stub for child in here.children):
        here = _cut_largest(here, pages, cut)
    return here


def _cut_largest(block: Block, pages: Sequence[Page], cut: dict[str, tuple[Block, str]]) -> Block:
    """The largest branch of the first fork goes; a chain without a fork is cut at its top."""
    whole = [child for child in block.children if not child.stub]
    if len(whole) == 1 and _forks(whole[0]):
        replacement = _cut_largest(whole[0], pages, cut)
        return replace(block, children=tuple(replacement if c.id == whole[0].id else c for c in block.children))
    largest = max(whole, key=lambda child: (not child.stays, _area(child, pages[0])))
    cut[largest.id] = (largest, block.id)
    stub = Block(largest.id, STUB_WIDTH, STUB_HEIGHT, drop_height=STUB_DROP, stub=True)
    return replace(block, children=tuple(stub if child.id == largest.id else child for child in block.children))


def _forks(block: Block) -> bool:
    """Whether somewhere below a block has two or more branches, one of them still whole."""
    return any(len(below.children) > 1 and any(not child.stub for child in below.children) for below in _blocks(block))


def _area(block: Block, page: Page) -> float:
    sheet = _sheet(block, "above", page)
    return sheet.width * sheet.height


def _sheet(root: Block, fed_from: str | None, page: Page) -> Sheet:
    placer = _Placer()
    start = FROM_HEIGHT if fed_from is not None else 0.0
    bottom = placer.place(root, MARGIN, start, page.width - 2 * MARGIN)
    right = max([placed.right for placed in placer.placed] + [frame.box.x1 for frame in placer.frames])
    right = max(right, MARGIN + placer.width(root, page.width - 2 * MARGIN))
    box = Box(0.0, 0.0, right + MARGIN - FRAME_PAD, bottom)
    return Sheet(((root.id, fed_from),), tuple(placer.placed), tuple(placer.frames), (box,), page)


class _Placer:
    """Places one tree. Widths are remembered, for they are asked at every level."""

    def __init__(self) -> None:
        self.placed: list[Placed] = []
        self.frames: list[Frame] = []
        self._widths: dict[tuple[str, float], float] = {}
        self._rows: dict[tuple[str, float], tuple[tuple[Block, ...], ...]] = {}

    def place(self, block: Block, x: float, line_y: float, limit: float) -> float:
        """Place a block that starts a frame (or has none), and all below it. Returns the bottom. [pt]"""
        return self._place_framed(block, x, line_y, line_y, limit, on_row=False)

    def _place_framed(
        self, block: Block, x: float, line_y: float, words_y: float, limit: float, *, on_row: bool
    ) -> float:
        frame_top = words_y + block.drop_height
        y = frame_top + (FRAME_HEAD if block.frame is not None else 0.0)
        inside_bottom = y + self._inside_height(block)
        floor = inside_bottom + (FRAME_PAD if block.frame is not None else 0.0)
        first = len(self.placed)
        bottom = self._place(block, x, y, line_y, words_y, floor, limit, on_row=on_row)
        if block.frame is not None:
            self._frame(block, x, Box(x - FRAME_PAD, frame_top, x, floor), self.placed[first:])
        return bottom

    def _frame(self, block: Block, x: float, box: Box, placed: Sequence[Placed]) -> None:
        inside = {block.id, *(b.id for b in _same_frame(block))}
        right = x + SPINE + BESIDE + block.frame_title_width
        for place in placed:
            if place.block.id in inside:
                right = max(right, place.right)
                if place.block.id != block.id:
                    right = max(right, place.spine + BESIDE + place.block.drop_width)
        framed = replace(box, x1=right + FRAME_PAD)
        self.frames.append(Frame(block.frame or "", framed, x + SPINE + BESIDE))

    def _place(
        self, block: Block, x: float, y: float, line_y: float, words_y: float, floor: float, limit: float,
        *, on_row: bool,
    ) -> float:  # fmt: skip
        slot = len(self.placed)
        here = Placed(block, x, y, line_y, words_y, x + SPINE, (), on_row)
        self.placed.append(here)
        rows = self.rows(block, limit)
        shift = LANE if len(rows) > 1 else 0.0
        bottom, further, bus_end = max(y + block.height, floor), [], x + SPINE
        for number, row in enumerate(rows):
            left, row_y = x + shift, y + block.height
            if number:
                row_y = bottom + ROW_GAP
            row_bottom = bottom
            for child in row:
                spine = left + SPINE
                if number == 0 and _inside(block, child):
                    words = row_y
                    child_y = words + child.drop_height
                    child_bottom = self._place(child, left, child_y, row_y, words, floor, limit - shift, on_row=False)
                else:
                    words = max(row_y, floor) + 4 if number == 0 else row_y + DEVICE_ROOM
                    child_bottom = self._place_framed(child, left, row_y, words, limit - shift, on_row=bool(number))
                row_bottom = max(row_bottom, child_bottom)
                least = block.first_width if child is row[0] else 0.0
                left += max(self.width(child, limit - shift), least) + SIBLING_GAP
            if number:
                further.append(Row(x + RISER, row_y, spine))
            else:
                bus_end = spine
            bottom = row_bottom
        self.placed[slot] = replace(here, bus_end=bus_end, rows=tuple(further))
        return bottom

    def _inside_height(self, block: Block) -> float:
        below = [child.drop_height + self._inside_height(child) for child in block.children if _inside(block, child)]
        return block.height + max(below, default=0.0)

    def width(self, block: Block, limit: float) -> float:
        """Room a block and all below it take across. [pt]"""
        key = (block.id, limit)
        if key not in self._widths:
            own = max(block.width, SPINE + BESIDE + max(block.drop_width, block.frame_title_width))
            rows = self.rows(block, limit)
            shift = LANE if len(rows) > 1 else 0.0
            across = [self._row_width(block, row, limit - shift) for row in rows]
            self._widths[key] = max(own, shift + max(across, default=0.0))
        return self._widths[key]

    def _row_width(self, block: Block, row: Sequence[Block], limit: float) -> float:
        bar = SPINE + BAR_END + 4  # the supply's enclosure reaches this far past the last branch
        widths = [self.width(child, limit) for child in row]
        if len(row) > 1:
            widths[0] = max(widths[0], block.first_width)
        return max(sum(widths) + SIBLING_GAP * (len(row) - 1), sum(widths[:-1]) + SIBLING_GAP * (len(row) - 1) + bar)

    def rows(self, block: Block, limit: float) -> tuple[tuple[Block, ...], ...]:
        """A block's branches in rows: those in its own frame first, all of them in the first row."""
        key = (block.id, limit)
        if key not in self._rows:
            own = [child for child in block.children if _inside(block, child)]
            ordered = own + [child for child in block.children if not _inside(block, child)]
            if not ordered:
                self._rows[key] = ()
            elif self._row_width(block, ordered, limit) <= limit:
                self._rows[key] = (tuple(ordered),)
            else:
                self._rows[key] = self._wrapped(block, ordered, len(own), limit - LANE)
        return self._rows[key]

    def _wrapped(self, block: Block, ordered: Sequence[Block], own: int, limit: float) -> tuple[tuple[Block, ...], ...]:
        rows: list[list[Block]] = [list(ordered[:own])]
        for child in ordered[own:]:
            if rows[-1] and self._row_width(block, [*rows[-1], child], limit) > limit:
                rows.append([])
            rows[-1].append(child)
        return tuple(tuple(row) for row in rows)


def _inside(block: Block, child: Block) -> bool:
    return block.frame is not None and child.frame == block.frame and not child.stub


def _same_frame(block: Block) -> Iterator[Block]:
    for child in block.children:
        if _inside(block, child):
            yield child
            yield from _same_frame(child)
