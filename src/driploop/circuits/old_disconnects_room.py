"""Room for what is spliced in an old enclosure: as a junction box, or beside a switch that stays in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from driploop.circuits.old_disconnects_results import Room
from driploop.conductors import RacewayConductors, box_fill
from driploop.conductors.raceway import conductor_area
from driploop.editions import Edition
from driploop.installation import Circuit, Equipment, Run
from driploop.installation.sizes import larger, rank
from driploop.worksheet import Assumption, WorksheetWriter

_FRACTIONS = {"1/4": 0.25, "1/2": 0.5, "3/4": 0.75}


def junction_box_room(
    each: Equipment, circuits: Sequence[Circuit], runs: Sequence[Run], *, edition: Edition
) -> tuple[Room, ...]:
    """Whether an old enclosure holds what is spliced in it once its works are out.

    Args:
        each: the enclosure, with its inside measures.
        circuits: circuits whose old wires end in it and go on from there, spliced.
        runs: runs that end in it and go on from there, spliced.
        edition: the code edition to ask.

    Returns:
        Box fill for the wire the table of volumes knows, pull-box dimensions for larger wire; none where nothing ends
        in it.

    Source: the edition's rules on box fill and on pull and junction boxes.
    """
    rooms = []
    if circuits:
        rooms.append(_by_volume(each, circuits, edition))
    large = [run for run in runs if run.line_size is None or _is_large(run.line_size, edition)]
    if large:
        rooms.append(_by_dimensions(each, large, edition))
    return tuple(rooms)


def wiring_space_room(
    each: Equipment,
    conductors: Sequence[RacewayConductors],
    *,
    splices: int,
    edition: Edition,
    splice_area_in2: float | None = None,
    empty: bool = False,
) -> Room:
    """Whether wires and splices fit beside the switch or breakers of an enclosure that stays, or in an emptied one.

    Args:
        each: the enclosure, with the width and depth of its wiring space.
        conductors: what lies in the fullest section of the wiring space.
        splices: how many splices lie in that section.
        edition: the code edition to ask.
        splice_area_in2: section of one splice without its wires; None: that of the two largest wires it may join. [in2]
        empty: its works are out, and its narrower side is all wiring space.

    Returns:
        The answer with its worksheet.

    Raises:
        NotInTable: a conductor the tables do not have.

    Source: the edition's rule on splices in enclosures of switches and overcurrent devices.
    """
    section = edition.section("enclosure-splices")
    writer = WorksheetWriter(f"old-disconnect/{each.id}/wiring-space", f"Wiring space of {each.title}")
    wires_in2 = largest_in2 = 0.0
    for kind in conductors:
        area = conductor_area(kind, edition=edition)
        largest_in2 = max(largest_in2, area.number)
        wires_in2 += writer.number(
            f"{kind.size} {kind.insulation or 'of unknown insulation'}", f"{kind.number} x {area.number:g} in2",
            kind.number * area.number, "in2", area.section, confirmed=area.confirmed,
        )  # fmt: skip
    writer.number("Wires", "sum", wires_in2, "in2", key="wires")
    each_in2 = splice_area_in2 if splice_area_in2 is not None else 2 * largest_in2
    filled_in2 = writer.number(
        "Wires and splices", f"{wires_in2:g} + {splices} x {each_in2:g} in2", wires_in2 + splices * each_in2, "in2",
        key="wires_and_splices",
    )  # fmt: skip
    assumed: list[Assumption] = []
    if splice_area_in2 is None and splices:
        assumed.append(
            Assumption(
                f"equipment.{each.id}", "a splice is twice as thick as its thickest wire",
                "no splice is smaller than the two wires in it", "the section of the connector that is bought",
            )
        )  # fmt: skip
    sides = (each.inside_width_in, each.inside_height_in)
    width_in = each.wiring_space_in
    if empty:
        width_in = None if None in sides else min(side for side in sides if side is not None)
    if width_in is None or each.inside_depth_in is None:
        asked = ("its width, height and depth inside",) if empty else (
            "its width beside the works, and the depth inside", "wiring_space_in", "inside_depth_in")  # fmt: skip
        assumed.append(_measure(each, *asked))
        return Room(None, writer.done(), section, tuple(assumed))
    space_in2 = writer.number("Section of the wiring space", f"{width_in:g} x {each.inside_depth_in:g} in",
                              width_in * each.inside_depth_in, "in2", key="space")  # fmt: skip
    enough = True
    for what, filled, name in (
        ("Wires at most", wires_in2, "enclosure_conductors_percent"),
        ("Wires and splices at most", filled_in2, "enclosure_splices_percent"),
    ):
        share = edition.value(name)
        most = writer.number(what, f"{share.number:g} % x {space_in2:g} in2", share.number / 100 * space_in2, "in2",
                             share.section, key=name, confirmed=share.confirmed)  # fmt: skip
        enough = enough and filled <= most + 1e-9
    writer.write("Room enough", "both within", "yes" if enough else "no", "", section, key="answer")
    return Room(enough, writer.done(), section, tuple(assumed))


def _by_volume(each: Equipment, circuits: Sequence[Circuit], edition: Edition) -> Room:
    section = edition.section("box-fill")
    assumed: list[Assumption] = []
    counts: Counter[str] = Counter()
    grounds, ground_size = 0, "14 AWG"
    known = {str(row["size"]) for row in edition.table("box_conductor_volume").rows}
    for circuit in circuits:
        size = circuit.wire_size
        if size is not None and size not in known:
            assumed.append(
                Assumption(
                    f"circuits.{circuit.id}.wire_size", f"the box is too small for {size}",
                    "the table of volumes has no wire of this size", "a pull box chosen by its dimensions",
                )
            )  # fmt: skip
            continue
        if size is None:
            assumed.append(
                Assumption(
                    f"circuits.{circuit.id}.wire_size", "its wires do not fit the volume",
                    "a box is called large enough only when every wire is counted", "the size of its wire",
                )
            )  # fmt: skip
            continue
        # Old wire in and new wire out: each line and neutral counts twice.
        counts[size] += 2 * _wires(circuit)
        if circuit.ground not in ("none", "sheath that is not a ground", "raceway", "armor"):
            grounds, ground_size = grounds + 2, larger(ground_size, size)
    volume = _volume(each)
    if not counts:
        writer = WorksheetWriter(f"old-disconnect/{each.id}/box", f"Box fill of {each.title}")
        return Room(None, writer.done(), section, tuple(assumed))
    fill = box_fill(
        dict(sorted(counts.items(), key=lambda item: rank(item[0]))), edition=edition, grounds=grounds,
        ground_size=ground_size if grounds else None, clamps=True, box_in3=volume,
        worksheet_id=f"old-disconnect/{each.id}/box",
    )  # fmt: skip
    if volume is None:
        assumed.append(_measure(each, f"width x height x depth of {fill.used_in3:g} in3 or more"))
    enough = None if assumed else fill.left_in3 is not None and fill.left_in3 >= 0
    if volume is not None and fill.used_in3 > volume:
        enough = False
    return Room(enough, fill.worksheet, section, tuple(assumed))


def _wires(circuit: Circuit) -> int:
    """Lines and neutral of a circuit; a neutral nobody denied counts."""
    poles = circuit.poles or 2
    return poles + (0 if circuit.neutral == "none" else 1)


def _volume(each: Equipment) -> float | None:
    sides = (each.inside_width_in, each.inside_height_in, each.inside_depth_in)
    return None if None in sides else (sides[0] or 0) * (sides[1] or 0) * (sides[2] or 0)


def _by_dimensions(each: Equipment, runs: Sequence[Run], edition: Edition) -> Room:
    """Raceway to the far wall: a multiple of the largest trade size and the others beside it, all in one row."""
    factor = edition.value("pull_box_angle_factor")
    writer = WorksheetWriter(f"old-disconnect/{each.id}/pull-box", f"Pull box dimensions of {each.title}")
    trade = [(run, _inches(run.trade_size)) for run in runs]
    assumed = [_run_unseen(run, edition) for run, size in trade if size is None]
    sizes = sorted((size for _, size in trade if size is not None), reverse=True)
    if not sizes:
        return Room(None, writer.done(), factor.section, tuple(assumed))
    rest = sum(sizes[1:])
    least = writer.number(
        "Least distance to the far wall", f"{factor.number:g} x {sizes[0]:g} + {rest:g} in",
        factor.number * sizes[0] + rest, "in", factor.section, key="least", confirmed=factor.confirmed,
    )  # fmt: skip
    sides = [side for side in (each.inside_width_in, each.inside_height_in) if side is not None]
    if len(sides) < 2:
        assumed.append(_measure(each, f"width and height of {least:g} in or more"))
        return Room(None, writer.done(), factor.section, tuple(assumed))
    enough = min(sides) >= least
    working = f"the shorter side is {min(sides):g} in"
    writer.write("Room enough", working, "yes" if enough else "no", "", factor.section, key="answer")
    return Room(None if assumed and enough else enough, writer.done(), factor.section, tuple(assumed))


def _run_unseen(run: Run, edition: Edition) -> Assumption:
    """What is not known of a run that ends in a box: its wire first, then its raceway."""
    smallest = edition.value("pull_box_from").text
    if run.line_size is None:
        return Assumption(
            f"runs.{run.id}.line_size", f"wire of {smallest} or larger, for which the enclosure is too small",
            "a box is called large enough only when every wire is counted", f"wire smaller than {smallest}, seen",
        )  # fmt: skip
    return Assumption(
        f"runs.{run.id}.trade_size", "the enclosure is too small for it",
        "a box is called large enough only when every raceway is counted", "its trade size",
    )  # fmt: skip


def _is_large(size: str, edition: Edition) -> bool:
    return rank(size) >= rank(str(edition.value("pull_box_from").value))


def _inches(trade_size: str | None) -> float | None:
    """A trade size as a number: "1-1/4" is 1.25. None where it cannot be read."""
    if trade_size is None:
        return None
    whole, _, fraction = trade_size.rpartition("-")
    if fraction in _FRACTIONS:
        return float(whole or 0) + _FRACTIONS[fraction]
    return float(trade_size) if trade_size.replace(".", "", 1).isdigit() else None


def _measure(each: Equipment, would_change: str, *fields: str) -> Assumption:
    asked = fields or ("inside_width_in", "inside_height_in", "inside_depth_in")
    missing = next((name for name in asked if getattr(each, name) is None), asked[0])
    return Assumption(
        f"equipment.{each.id}.{missing}", "it has not room enough",
        "a box too small crushes the splices in it", would_change,
    )  # fmt: skip
