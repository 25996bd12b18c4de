"""Where equipment hangs, and the room in front of it."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation import Equipment
from driploop.installation.graph import DWELLING_USES
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import (
    asks,
    at_home,
    enclosures,
    gravity,
    holds_overcurrent_devices,
    missing,
    service_equipment,
    was_there,
)
from driploop.rules.readings import Readings
from driploop.rules.service import on_replacement, outdoors_means
from driploop.worksheet import Verdict

_INCHES = 12
#: Voltage to ground of every system this program knows: 120/240 V and 208Y/120 V. [V]
_VOLTS_TO_GROUND = 120


@rule(
    "no-panel-in-a-bathroom",
    title="No overcurrent devices in a dwelling's bathroom",
    why="Wet hands and bare feet on a wet floor meet metal that may be live. "
    "Steam also rusts the contacts until breakers no longer trip.",
    requirement="panel-not-in-bathroom",
)
def no_panel_in_a_bathroom(r: Readings) -> Iterator[Found]:
    yield from _in_room(r, "bathroom", "It hangs in a bathroom.")
    for each in enclosures(r):
        building = r.installation.buildings.get(each.building or "")
        # Only a dwelling's bathrooms count; what stays as found would be worth knowing at most.
        matters = (building is None or building.use in (None, *DWELLING_USES)) and (each.is_new or not r.proposed)
        unseen = each.room is None and each.outdoors is not True and holds_overcurrent_devices(each)
        if unseen and matters and asks(r):
            mend = "Note the room: bathrooms, clothes closets and the space over steps are not allowed."
            yield Found(f"equipment.{each.id}", "In what room it hangs is not known.", mend, Verdict.ASK)


@rule(
    "no-panel-in-a-clothes-closet",
    title="No overcurrent devices among clothes",
    why="A breaker that trips on a fault may throw sparks, and clothes on a rail catch fire quickly. "
    "The door is closed, and nobody sees it start.",
    requirement="panel-not-in-closet",
)
def no_panel_in_a_clothes_closet(r: Readings) -> Iterator[Found]:
    yield from _in_room(r, "clothes closet", "It hangs in a clothes closet.")


@rule(
    "no-panel-over-steps",
    title="No overcurrent devices over the steps of a stair",
    why="Whoever works on it stands on a tread, with one foot lower than the other. "
    "A start or a shock that would be survived on a floor becomes a fall.",
    requirement="panel-not-over-steps",
)
def no_panel_over_steps(r: Readings) -> Iterator[Found]:
    yield from _in_room(r, "over steps", "It hangs over steps.")


@rule(
    "working-space-depth",
    title="There is depth enough to work in front of the equipment",
    why="Whoever is startled or shocked must be able to fall back from live parts. "
    "With a wall or a freezer behind, the body is pressed against them.",
    requirement="working-space",
)
def working_space_depth(r: Readings) -> Iterator[Found]:
    table = r.edition.table("working_depth")
    row = table.within("volts_to_ground_from", "volts_to_ground_to", _VOLTS_TO_GROUND)
    least_in = table.cite(row, "condition_1_ft").number * _INCHES
    for each in enclosures(r):
        if each.working_depth_in is not None and each.working_depth_in < least_in:
            yield _too_little(r, each, "deep", each.working_depth_in, least_in)


@rule(
    "working-space-width",
    title="There is width enough to work in front of the equipment",
    why="A person needs room for both elbows, and the door must open far enough to let that person out. "
    "Squeezed between shelves, a hand finds the live part by itself.",
    requirement="working-space",
)
def working_space_width(r: Readings) -> Iterator[Found]:
    least_in = r.edition.number("working_width_in")
    for each in enclosures(r):
        if each.working_width_in is not None and each.working_width_in < least_in:
            yield _too_little(r, each, "wide", each.working_width_in, least_in)


@rule(
    "working-space-height",
    title="There is headroom to work at the equipment",
    why="A stooping person loses balance easily and reaches for the nearest metal. "
    "Only old services of modest size in dwellings are forgiven a low ceiling.",
    requirement="working-space",
)
def working_space_height(r: Readings) -> Iterator[Found]:
    least_in = r.edition.number("working_height_ft") * _INCHES
    forgiven_to = r.edition.value("headroom_exempt_rating")
    for each in enclosures(r):
        height_in = each.working_height_in
        if height_in is None or height_in >= least_in:
            continue
        building = r.installation.buildings.get(each.building or "")
        dwelling = building is not None and building.use in DWELLING_USES
        if dwelling and each.rating_a is None:
            wrong = f"Headroom is {height_in:g} in; in an old dwelling that is forgiven to {forgiven_to.text} only."
            if asks(r):
                yield Found(f"equipment.{each.id}", wrong, "Read the rating on its label.", Verdict.ASK)
        elif not dwelling or (each.rating_a or 0) > forgiven_to.number:
            yield _too_little(r, each, "high", height_in, least_in)


@rule(
    "place-of-new-equipment",
    title="The place of new equipment is chosen by its measures",
    why="A place that is only found too tight with the box on the wall costs a second day and a second hole. "
    "Measured first, the apprentice knows where to drill.",
    requirement="working-space",
    verdict=Verdict.ASK,
)
def place_of_new_equipment(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        unknown = missing(
            (
                ("depth in front", each.working_depth_in),
                ("width in front", each.working_width_in),
                ("headroom", each.working_height_in),
                ("height of the handle", each.handle_height_in),
                ("whether it is readily accessible", each.readily_accessible),
            )
        )
        if each.is_new and unknown:
            yield Found(f"equipment.{each.id}", f"Not known of its place: {unknown}.", _choose_a_place(r))


@rule(
    "handle-not-too-high",
    title="The highest handle can be reached from the floor",
    why="In an emergency the shortest person in the house must be able to switch it off. "
    "Nobody fetches a ladder in the dark.",
    requirement="handle-height",
)
def handle_not_too_high(r: Readings) -> Iterator[Found]:
    # The limit is given in feet to two places; whole inches are what it means.
    most_in = round(r.edition.number("handle_height_ft") * _INCHES)
    for each in enclosures(r):
        if each.handle_height_in is not None and each.handle_height_in > most_in:
            wrong = f"The centre of its highest handle is {each.handle_height_in:g} in up; {most_in} in is the most."
            yield Found(f"equipment.{each.id}", wrong, "Hang it lower.", gravity(each))


@rule(
    "readily-accessible",
    title="Overcurrent devices can be reached without keys, tools or climbing",
    why="Whoever smells burning must get to the breaker at once. A panel behind a neighbour's locked door stays on.",
    requirement="location-readily-accessible",
)
def readily_accessible(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        if each.readily_accessible is False:
            mend = "Clear the way to it or move it; each occupant must reach the devices of the occupancy."
            yield Found(f"equipment.{each.id}", "It is not readily accessible.", mend)


@rule(
    "service-disconnect-near-entry",
    title="An inside service disconnect stands where the service conductors enter",
    why="Service conductors inside a wall have no breaker ahead of them that would stop a fault. "
    "Each foot of them is a foot where a nail can start a fire that nothing puts out.",
    requirement="service-disconnect-location",
    verdict=Verdict.ASK,
)
def service_disconnect_near_entry(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        run = r.graph.feeding_run(each.id)
        if each.outdoors is not False or run is None or not (each.is_new or run.is_new):
            continue
        length = f"{run.length_ft:g} ft" if run.length_ft is not None else "an unknown length"
        wrong = f"The service conductors to this inside disconnect are {length} long."
        mend = "Settle with the inspector how far inside they may run; many towns have a number. Else go outdoors."
        yield Found(f"equipment.{each.id}", wrong, mend)


@rule(
    "disconnects-grouped",
    title="The service disconnects of one building hang together",
    why="Whoever opens one disconnect believes the building is dead. "
    "A second one round the corner keeps half of it live under the hands of firefighters and electricians.",
    requirement="disconnects-grouped",
)
def disconnects_grouped(r: Readings) -> Iterator[Found]:
    sites: dict[str, list[Equipment]] = {}
    for each in service_equipment(r):
        site = r.graph.site_of(each.building)
        if site is not None:
            sites.setdefault(site, []).append(each)
    for group in sites.values():
        places = {each.outdoors for each in group}
        if places >= {True, False}:
            verdict = Verdict.MEND if any(each.is_new for each in group) else Verdict.ASK
            wrong = "Some service disconnects of this building hang outdoors and some inside."
            yield Found(
                f"equipment.{group[0].id}", wrong, "Bring them to one place, each marked with its load.", verdict
            )


@rule(
    "outdoor-service-disconnect",
    title="The service disconnect of a one- or two-family dwelling is outdoors",
    why="With the service disconnect outside, opening it makes everything indoors dead but the meter. "
    "Indoors it can only be reached through the smoke, and live conductors run to it through the wall.",
    requirement="outdoor-service-disconnect",
)
def outdoor_service_disconnect(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        if at_home(r, each):
            yield from outdoors_means(r, each, [each], on_replacement(r, each), called="service disconnect")


# --- shared ----------------------------------------------------------------------------------------------------------


def _in_room(r: Readings, room: str, wrong: str) -> Iterator[Found]:
    """Overcurrent devices in a room that is not allowed. One renewed in its old place is left to the rule on that."""
    for each in enclosures(r):
        before = was_there(r, each)
        stayed = each.is_new and before is not None and before.room == room
        if each.room == room and holds_overcurrent_devices(each) and not stayed:
            yield Found(f"equipment.{each.id}", wrong, "Move it when it is renewed.", gravity(each))


def _too_little(r: Readings, equipment: Equipment, way: str, is_in: float, least_in: float) -> Found:
    wrong = f"The working space is {is_in:g} in {way}; {least_in:g} in is needed."
    mend = "Clear the space, or choose another place."
    verdict = gravity(equipment)
    if equipment.is_new and was_there(r, equipment) is not None:
        # Renewed where the old one hung: how much of the new rule then holds is the inspector's to say.
        verdict, mend = Verdict.ASK, f"{mend} If neither can be, get the inspector's written leave before the quote."
    return Found(f"equipment.{equipment.id}", wrong, mend, verdict)


def _choose_a_place(r: Readings) -> str:
    table = r.edition.table("working_depth")
    row = table.within("volts_to_ground_from", "volts_to_ground_to", _VOLTS_TO_GROUND)
    deep_in = table.cite(row, "condition_1_ft").number * _INCHES
    wide_in, high_in = r.edition.number("working_width_in"), r.edition.number("working_height_ft") * _INCHES
    return (
        f"Choose a place with {deep_in:g} in in front, {wide_in:g} in wide and {high_in:g} in high, easily reached, "
        f"the highest handle at most {round(r.edition.number('handle_height_ft') * _INCHES)} in up."
    )
