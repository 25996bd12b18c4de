"""The figures that ways to build are compared by, each a line of a worksheet."""

from __future__ import annotations

from driploop.alternatives.frames import Frame
from driploop.alternatives.results import Figures, MethodRoom, WishRoom
from driploop.alternatives.wiring import conductor_feet
from driploop.alternatives.wishes import later_loads
from driploop.editions import Edition
from driploop.installation import Circuit, Equipment
from driploop.loads.gather import own_rating
from driploop.loads.results import LoadResult, NodeLoad
from driploop.loads.typical import of_site
from driploop.loads.writing import conductor_current_of
from driploop.rules import Readings
from driploop.worksheet import WorksheetWriter, plain

_MAINS = ("service disconnect", "site-isolating device")


def figures_of(frame: Frame, readings: Readings, *, edition: Edition) -> Figures:
    """The figures of one way, as read."""
    sheet = WorksheetWriter(f"figures/{frame.id}", f"Figures of: {frame.title}")
    service, node, rating_a = _service(readings)
    title = readings.graph.equipment(service).title
    load_a = node.conductor_current_a
    sheet.number("Rating", f"main and bus of {title}, the smaller", rating_a, "A", key="rating")
    section = node.governing.section
    sheet.number("Load with the wishes for now", node.governing.title, load_a, "A", section, key="load")
    headroom_a = sheet.number("Left", f"{plain(rating_a)} - {plain(load_a)}", rating_a - load_a, "A", key="headroom")
    rooms = tuple(_room(sheet, result, rating_a) for result in node.results)
    wishes = _wishes(sheet, readings, service, rating_a, edition=edition)
    touched = [each for each in _old(readings) if _touched(readings, each)]
    extended = [each for each in touched if _extended(readings, each)]
    lost = [each for each in _old(readings) if _ground_by_neutral_ends(readings, each)]
    _names(sheet, "Old circuits touched", touched, key="circuits_touched")
    _names(sheet, "Of these led on to another place", extended, key="circuits_extended")
    _names(sheet, "Three-wire ranges and dryers lost", lost, key="three_wire_lost")
    feet, unknown = conductor_feet(readings.conductors.runs, readings.installation.runs)
    for number, (what, length) in enumerate(feet.items(), start=1):
        sheet.number(f"New {what}", "two lines, neutral and ground by the length of their runs", length, "ft",
                     key=f"conductor_{number}")  # fmt: skip
    if unknown:
        sheet.write("Length not known", ", ".join(unknown), len(unknown), "runs", key="length_unknown")
    new, total = _enclosures(frame, readings)
    sheet.number("Enclosures in the end", "meters, boxes, switches and panels", total, key="enclosures_total")
    sheet.number("Of these new", "as bought", new, key="enclosures_new")
    steps, off = _steps(readings, touched)
    share = len(off) / len(steps) if steps else 0.0
    sheet.number("Steps of work", "; ".join(steps) or "none", len(steps), key="steps")
    sheet.number("Of these with the supply off", "; ".join(off) or "none", len(off), key="power_off_steps")
    sheet.number("Share with the supply off", f"{len(off)} / {len(steps)}", share, key="power_off_share")
    return Figures(
        service=service, rating_a=rating_a, headroom_a=headroom_a, by_method=rooms, wish_steps=wishes,
        circuits_touched=_ids(touched), circuits_extended=_ids(extended), three_wire_lost=_ids(lost),
        conductor_ft=feet, enclosures_new=new, enclosures_total=total, power_off_share=share,
        power_off_steps=tuple(off), steps=tuple(steps), worksheet=sheet.done(), length_unknown=tuple(unknown),
    )  # fmt: skip


def _service(readings: Readings) -> tuple[str, NodeLoad, float]:
    """The service disconnect that is left with the least, its load and its rating."""
    graph = readings.graph
    mains = [id for id in graph.order if graph.roles[id] in _MAINS] or list(graph.order)[:1]
    first = {graph.roles[id] for id in mains}
    if "site-isolating device" in first:
        mains = [id for id in mains if graph.roles[id] == "site-isolating device"]
    known = {id: own_rating(graph.equipment(id)) or of_site("service_a") for id in mains}
    least = min(mains, key=lambda id: (known[id] - readings.loads.nodes[id].conductor_current_a, id))
    return least, readings.loads.nodes[least], known[least]


def _room(sheet: WorksheetWriter, result: LoadResult, rating_a: float) -> MethodRoom:
    if result.current_a is None:
        return MethodRoom(result.method, result.title, result.permitted, None, None)
    load_a = conductor_current_of(result)
    permitted = {"yes": "permitted", "no": "not permitted", "ask": "to be asked"}[result.permitted]
    working = f"{plain(rating_a)} - {plain(load_a)}, {permitted}"
    room_a = sheet.number(f"Left by: {result.title}", working, rating_a - load_a, "A", result.section,
                          key=f"method_{result.method.replace(' ', '_')}")  # fmt: skip
    return MethodRoom(result.method, result.title, result.permitted, load_a, room_a)


def _wishes(
    sheet: WorksheetWriter, readings: Readings, service: str, rating_a: float, *, edition: Edition
) -> tuple[WishRoom, ...]:
    rooms: list[WishRoom] = []
    for wish, load_a in later_loads(readings, service, edition=edition):
        number, left_a = len(rooms) + 1, rating_a - load_a
        working = f"{plain(rating_a)} - {plain(load_a)}, with all wishes before it"
        sheet.number(f"Left with {wish.title}", working, left_a, "A", key=f"wish_{number}")
        rooms.append(WishRoom(wish.id, wish.title, wish.when or "not known", left_a, left_a >= 0))
    return tuple(rooms)


# --- old circuits --------------------------------------------------------------------------------------------------


def _old(readings: Readings) -> list[Circuit]:
    """Old circuits that are there in the end, as they were found."""
    found = readings.found.circuits if readings.found is not None else {}
    return [each for id, each in found.items() if id in readings.installation.circuits]


def _touched(readings: Readings, old: Circuit) -> bool:
    now = readings.installation.circuits[old.id]
    panel = readings.installation.equipment.get(now.from_ or "")
    return now.from_ != old.from_ or now.is_new or (panel is not None and panel.is_new)


def _extended(readings: Readings, old: Circuit) -> bool:
    now = readings.installation.circuits[old.id]
    if now.is_new:
        return False
    if now.extend_ft is not None:
        return now.extend_ft > 0
    before = readings.found.equipment.get(old.from_ or "") if readings.found is not None else None
    after = readings.installation.equipment.get(now.from_ or "")
    if before is None or after is None:
        return now.from_ != old.from_
    return now.from_ != old.from_ or _place(before) != _place(after)


def _place(each: Equipment) -> tuple[object, ...]:
    return each.building, each.outdoors, each.room, each.location


def _ground_by_neutral_ends(readings: Readings, old: Circuit) -> bool:
    return bool(old.frame_grounded_by_neutral) and not readings.installation.circuits[old.id].frame_grounded_by_neutral


def _names(sheet: WorksheetWriter, what: str, circuits: list[Circuit], *, key: str) -> None:
    working = ", ".join(each.serves or each.title for each in circuits) or "none"
    sheet.number(what, working, len(circuits), key=key)


def _ids(circuits: list[Circuit]) -> tuple[str, ...]:
    return tuple(each.id for each in circuits)


# --- enclosures and steps of work ----------------------------------------------------------------------------------


def _enclosures(frame: Frame, readings: Readings) -> tuple[int, int]:
    boxes = [each for each in readings.installation.equipment.values() if each.kind != "utility"]
    # Two mains and their meter are compartments of one enclosure.
    shared = 2 if frame.kind == "meter and two mains" else 0
    return sum(each.is_new for each in boxes) - shared, len(boxes) - shared


def _steps(readings: Readings, touched: list[Circuit]) -> tuple[list[str], list[str]]:
    """The steps of work, and those that need the supply off. Common practice: new parts are hung, laid and driven
    beside the old; what was there is taken out, joined or landed only when all is dead and tested."""
    found, now = readings.found, readings.installation
    before = found.equipment if found is not None else {}
    live: list[str] = []
    dead: list[str] = []
    for each in now.equipment.values():
        if each.is_new and each.kind != "utility":
            (dead if each.id in before else live).append(f"{'change' if each.id in before else 'hang'} {each.title}")
    dead += [f"take out {each.title}" for id, each in before.items() if id not in now.equipment]
    for run in now.runs.values():
        sizing = readings.conductors.runs[run.id]
        if run.is_new and sizing.kind != "utility":
            live.append(f"lay {run.title}")
            dead.append(f"join {run.title}")
    dead += [f"land {each.serves or each.title}" for each in touched]
    live += [f"drive {each.title}" for each in now.electrodes.values() if each.is_new]
    floors = found.buildings if found is not None else {}
    live += [
        f"lay the equipotential plane of {each.title}"
        for id, each in now.buildings.items()
        if each.equipotential_plane and id in floors and floors[id].equipotential_plane is False
    ]
    return [*live, *dead], dead
