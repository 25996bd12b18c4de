"""Volume that conductors, clamps, devices and grounds take in a box."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from driploop.editions import Edition
from driploop.installation.sizes import rank
from driploop.worksheet import Cited, Worksheet, WorksheetWriter


@dataclass(frozen=True, slots=True)
class BoxFill:
    """Volume taken and, where a box was named, what is left of it. [in3]"""

    used_in3: float
    left_in3: float | None
    worksheet: Worksheet


def box_volume(box: str, trade_size: str, *, edition: Edition) -> Cited:
    """Volume of a standard metal box. [in3] Raises NotInTable listing the boxes. Source: the edition's box table."""
    return edition.table("metal_boxes").cell("volume_in3", box=box, trade_size=trade_size)


def conductor_volume(size: str, *, edition: Edition) -> Cited:
    """Volume one conductor takes. [in3] Raises NotInTable. Source: the edition's table of volume allowances."""
    return edition.table("box_conductor_volume").cell("volume_in3", size=size)


def ground_allowances(grounds: int, *, edition: Edition) -> float:
    """How many conductor volumes so many equipment grounds and bonding jumpers take together.

    Source: the edition's rule on box fill: all as one, or some as one and a share for each more.
    """
    if grounds == 0:
        return 0.0
    if not edition.has("box_grounds_as_one"):
        return 1.0
    more = max(0, grounds - int(edition.number("box_grounds_as_one")))
    return 1.0 + more * edition.number("box_ground_share")


def box_fill(
    conductors: Mapping[str, int],
    *,
    edition: Edition,
    grounds: int = 0,
    ground_size: str | None = None,
    clamps: bool = False,
    devices: Mapping[str, int] | None = None,
    fittings: int = 0,
    box_in3: float | None = None,
    worksheet_id: str = "box",
) -> BoxFill:
    """Volume taken in a box, and what is left.

    Args:
        conductors: how many of each size enter from outside and end or are spliced in it; one that runs through
            unbroken counts once; a pigtail that does not leave the box does not count.
        edition: the code edition to ask.
        grounds: equipment grounding conductors and bonding jumpers together.
        ground_size: the largest of them; None: the largest conductor, which is never less.
        clamps: whether cable clamps stand inside.
        devices: yokes by the size of the largest conductor on each.
        fittings: luminaire studs and hickeys, each kind once.
        box_in3: volume of the box with its extension and raised cover. [in3]
        worksheet_id: id of the worksheet.

    Raises:
        NotInTable: a size the table of volume allowances does not have.
        ValueError: nothing enters the box.

    Source: the edition's rules on box fill.
    """
    sizes = [size for size, count in conductors.items() if count] + list(devices or ())
    if not sizes:
        raise ValueError("conductors: at least one conductor must enter the box")
    largest = max(sizes, key=rank)
    section = edition.section("box-fill")
    writer = WorksheetWriter(worksheet_id, "Box fill")
    used = 0.0

    def take(what: str, count: float, size: str) -> None:
        nonlocal used
        each = conductor_volume(size, edition=edition)
        used += writer.number(
            what, f"{count:g} x {each.number:g} in3", count * each.number, "in3", section, confirmed=each.confirmed
        )

    for size, count in conductors.items():
        take(f"{size} conductors", count, size)
    if clamps:
        take("Clamps, all as one", 1, largest)
    if fittings:
        take("Support fittings", fittings, largest)
    for size, count in (devices or {}).items():
        take(f"Devices on {size}", 2 * count, size)
    if grounds:
        take(f"{grounds} grounds", ground_allowances(grounds, edition=edition), ground_size or largest)
    writer.number("Volume taken", "sum", used, "in3", section, key="used")
    left = None
    if box_in3 is not None:
        left = writer.number("Left in the box", f"{box_in3:g} - {used:g}", box_in3 - used, "in3", section, key="left")
    return BoxFill(used, left, writer.done())
