"""The service disconnect and what goes with it: rating, number, place, words, surge protection."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.duties_supply import surge_level
from driploop.installation import UTILITY, Equipment
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import (
    asks,
    at_home,
    devices_above,
    enclosures,
    gravity,
    rating_a,
    service_equipment,
    service_is_renewed,
    supply_side_devices,
)
from driploop.rules.looking import unless_held
from driploop.rules.readings import Readings
from driploop.rules.service import (
    all_uses_known,
    least_rating,
    motions_of,
    on_replacement,
    outdoors_means,
    reads,
    serving_together,
    surge,
    that_need_emergency_words,
)
from driploop.worksheet import Verdict

_OPENS_HOW = "Count the handles on the enclosure from outside; no cover needs to come off."


@rule(
    "service-rating-minimum",
    title="The service disconnect is rated no less than its kind of building needs",
    why="A service that is too small for any modern house is opened, bypassed or over-fused by whoever lives there. "
    "The code sets a floor under the rating so that ordinary loads do not overheat it.",
    requirement="service-minimum-rating",
)
def service_rating_minimum(r: Readings) -> Iterator[Found]:
    for group in serving_together(r):
        where, least = f"equipment.{group[0].id}", least_rating(r, group)
        ratings = [rating_a(each) for each in group]
        known = [rating for rating in ratings if rating is not None]
        if len(known) < len(ratings):
            if asks(r):
                mend = f"Read the rating on the main or switch from outside; at least {least.text} is needed."
                yield Found(where, "The rating of the service disconnect is not known.", mend, Verdict.ASK)
        elif sum(known) < least.number:
            verdict = Verdict.MEND if any(each.is_new for each in group) else Verdict.KNOW
            wrong = f"The service disconnect is rated {sum(known):g} A; this kind of service needs {least.text}."
            yield Found(where, wrong, f"Whatever replaces it is rated {least.text} or more.", verdict)
        elif asks(r) and sum(known) < r.edition.number("minimum_service_one_family") and not all_uses_known(r, group):
            mend = "Note what each building is used for: a one-family dwelling needs a larger service."
            yield Found(where, "What the buildings on this service are used for is not known.", mend, Verdict.ASK)


@rule(
    "service-carries-the-load",
    title="The service disconnect is rated for the calculated load",
    why="A main that carries more than its rating runs hot for hours before it trips, and a fuse box may never trip. "
    "Heat ages the contacts until they burn.",
    requirement="service-minimum-rating",
)
def service_carries_the_load(r: Readings) -> Iterator[Found]:
    dropped = r.edition.number("ampere_fraction_dropped_below")
    for each in service_equipment(r):
        node, rating = r.loads.nodes.get(each.id), rating_a(each)
        if node is not None and rating is not None and node.conductor_current_a - rating >= dropped:
            wrong = (
                f"The calculated load, its continuous part at its percentage, is {node.conductor_current_a:.0f} A; "
                f"the service disconnect is rated {rating:g} A."
            )
            yield Found(
                f"equipment.{each.id}",
                wrong,
                "A larger service, less load, or a load figured by another permitted method.",
                unless_held(r, each.id, rating),
            )


@rule(
    "meter-carries-the-load",
    title="The meter equipment is rated for what goes through it",
    why="Every ampere of the place passes the meter's jaws, and nothing behind the seal trips for them. "
    "Overloaded they lose their spring, arc and burn, on the side that only the utility can open.",
    requirement="meter-rating",
)
def meter_carries_the_load(r: Readings) -> Iterator[Found]:
    dropped = r.edition.number("ampere_fraction_dropped_below")
    for each in r.installation.equipment.values():
        node = r.loads.nodes.get(each.id) if each.kind == "meter" else None
        if node is not None and each.rating_a is not None and node.current_a - each.rating_a >= dropped:
            wrong = f"The calculated load is {node.current_a:.0f} A; the meter equipment is rated {each.rating_a:g} A."
            mend = "Larger meter equipment, of a kind the utility takes, or less load."
            yield Found(f"equipment.{each.id}", wrong, mend, unless_held(r, each.id, each.rating_a))


@rule(
    "one-to-six-disconnects",
    title="The service opens with no more motions of the hand than allowed",
    why="In a fire or a flood somebody must make the building dead quickly and be sure of it. "
    "Each further handle is one more that is overlooked in the dark.",
    requirement="six-disconnects",
)
def one_to_six_disconnects(r: Readings) -> Iterator[Found]:
    most = r.edition.number("service_disconnects_maximum")
    sites: dict[str | None, list[Equipment]] = {}
    for each in service_equipment(r):
        sites.setdefault(r.graph.site_of(each.building), []).append(each)
    for group in sites.values():
        motions = [motions_of(r, each) for each in group]
        count = sum(motion for motion in motions if motion is not None)
        if count > most:
            wrong = f"The service opens with {count} motions of the hand; {most:g} are allowed."
            yield Found(f"equipment.{group[0].id}", wrong, "Put one main, or at most that many, ahead of the rest.")
        elif asks(r):
            for each, motion in zip(group, motions, strict=True):
                if motion is None:
                    wrong = "It is not known how many handles open the service."
                    yield Found(f"equipment.{each.id}", wrong, _OPENS_HOW, Verdict.ASK)


@rule(
    "mains-in-one-enclosure",
    title="No more than one main in one enclosure",
    why="Where several mains share one box, its line side stays live beside the hands that work on the load side. "
    "One main to an enclosure lets the rest of that enclosure be made dead.",
    requirement="mains-in-one-enclosure",
)
def mains_in_one_enclosure(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        motions = motions_of(r, each)
        if motions is not None and motions > 1:
            wrong = f"{motions} mains share one enclosure."
            mend = "New service equipment has one main to an enclosure; an old one may stay where it was lawful."
            yield Found(f"equipment.{each.id}", wrong, mend, gravity(each))


@rule(
    "emergency-disconnect-outdoors",
    title="A one- or two-family dwelling can be opened from outdoors",
    why="Firefighters used to pull the meter to make a burning house dead, and were burned by the arc. "
    "A disconnect outside lets them do it without tools and without entering.",
    requirement="emergency-disconnect",
)
def emergency_disconnect_outdoors(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        if at_home(r, each):
            yield from outdoors_means(r, each, devices_above(r, each.id), on_replacement(r, each))


@rule(
    "emergency-disconnect-label",
    title="The emergency disconnect carries its words",
    why="A firefighter at night reads the label, not the one-line diagram. "
    "The wrong words send a crew to open something that leaves the house live, or leave an electrician trusting it.",
    requirement="emergency-disconnect-label",
)
def emergency_disconnect_label(r: Readings) -> Iterator[Found]:
    labelled = {label.equipment: label.words for label in r.labels if label.words[0].startswith("EMERGENCY")}
    for each in that_need_emergency_words(r):
        words = labelled.get(each.id)
        where = f"equipment.{each.id}"
        if words is None:
            if each.is_new:
                yield Found(
                    where, "The words of its label are not known here.", "Ask the office for them.", Verdict.ASK
                )
        elif not each.is_new and not (each.marked and reads(each.marked, words)):
            read = f"It is marked {each.marked!r}" if each.marked else "What it is marked is not known"
            verdict = Verdict.MEND if each.marked else Verdict.ASK
            if each.marked or asks(r):
                yield Found(where, f"{read}; it needs {', '.join(words)}.", "Put the label on.", verdict)


@rule(
    "suitable-as-service-equipment",
    title="Service equipment is marked suitable for that use",
    why="Service equipment sees the full fault current of the utility with nothing ahead of it but a fuse on a pole. "
    "A box that was not built for it has no place for the bonding jumper and may burst.",
    requirement="service-equipment-suitable",
)
def suitable_as_service_equipment(r: Readings) -> Iterator[Found]:
    devices = [d for d in supply_side_devices(r) if r.graph.roles[d.id] == "emergency disconnect"]
    for each in [*service_equipment(r), *devices]:
        where = f"equipment.{each.id}"
        if each.suitable_as_service_equipment is False:
            yield Found(where, "It is not marked suitable as service equipment.", "Use equipment that is so marked.")
        elif each.suitable_as_service_equipment is None and asks(r):
            mend = "Read the maker's label on the outside or inside of the door; leave covers on."
            yield Found(where, "It is not known to be marked suitable as service equipment.", mend, Verdict.ASK)


@rule(
    "service-disconnect-marked",
    title="The service disconnect says that it is one",
    why="People open what is marked. "
    "An unmarked main is passed over in an emergency while somebody switches off single circuits.",
    requirement="service-disconnect-marked",
)
def service_disconnect_marked(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        if each.is_new:
            continue
        if each.marked is None:
            if asks(r):
                wrong = "What the service disconnect is marked is not known."
                yield Found(f"equipment.{each.id}", wrong, "Read what stands beside the handle.", Verdict.ASK)
        elif not reads(each.marked, ("SERVICE",)):
            wrong = f"The service disconnect is marked {each.marked!r}."
            yield Found(f"equipment.{each.id}", wrong, "Mark it durably as the service disconnect.")


@rule(
    "surge-protection-at-the-service",
    title="A dwelling's service has surge protection",
    why="A surge from the line kills smoke alarms, ground-fault devices and furnace controls without anyone seeing it. "
    "A device at the service takes most of it before it reaches them.",
    requirement="surge-protection-service",
)
def surge_protection_at_the_service(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        if not r.graph.dwelling_units_below(each.id):
            continue
        level = surge_level(r.graph, each.id)
        renewed = service_is_renewed(r, each.id)
        yield from surge(r, each, level, Verdict.MEND if renewed else Verdict.KNOW)


@rule(
    "surge-protection-on-feeders",
    title="A dwelling's panel on a feeder has surge protection when it is replaced",
    why="A long feeder picks up surges of its own, and what reached the main is only weakened there. "
    "The panel that holds the branch breakers is where the last of it is taken.",
    requirement="surge-protection-feeder",
)
def surge_protection_on_feeders(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        fed = r.graph.roles.get(each.id) in ("building disconnect", "subpanel", "feeder panel")
        if fed and each.is_new and each.kind == "panel" and r.graph.dwelling_units_below(each.id):
            yield from surge(r, each, [each], Verdict.MEND)


@rule(
    "surge-device-discharge-current",
    title="A dwelling's surge device carries off the current that is asked for",
    why="A small device takes a few surges and then is dead behind its cover. The house looks protected and is not.",
    requirement="spd_discharge",
)
def surge_device_discharge_current(r: Readings) -> Iterator[Found]:
    least = r.edition.value("spd_discharge")
    for each in r.installation.equipment.values():
        if each.surge_protection not in ("type 1", "type 2") or not r.graph.dwelling_units_below(each.id):
            continue
        where, known_ka = f"equipment.{each.id}.surge_discharge_ka", each.surge_discharge_ka
        if known_ka is not None and known_ka < least.number:
            wrong = f"Its surge device carries off {known_ka:g} kA; {least.text} is the least."
            yield Found(where, wrong, f"Fit one of {least.text} nominal discharge current or more.", gravity(each))
        elif known_ka is None and each.is_new:
            mend = f"Order one marked {least.text} or more."
            yield Found(where, "The discharge current of its surge device is not stated.", mend, Verdict.ASK)


@rule(
    "line-side-barriers",
    title="Line terminals of the service equipment are covered",
    why="With the main open its line terminals are still live, and only the utility can change that. "
    "A cover keeps a slipped screwdriver from turning into an arc in somebody's face.",
    requirement="line-side-barriers",
)
def line_side_barriers(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        if each.line_terminals_covered is False:
            wrong = "Live line terminals stay open to touch when the main is off."
            yield Found(
                f"equipment.{each.id}", wrong, "Fit the maker's barrier, with the utility's supply off.", gravity(each)
            )
        elif each.line_terminals_covered is None and each.is_new:
            wrong = "It is not known whether a barrier covers the line terminals."
            yield Found(f"equipment.{each.id}", wrong, "Order the equipment with its barrier.", Verdict.ASK)


@rule(
    "line-side-splices-marked",
    title="Splices and taps ahead of the service are made with devices marked for it",
    why="Ahead of the service nothing trips before the utility's fuse, so a poor splice burns until it is gone. "
    "Devices marked for the line side are tested for the current that flows there.",
    requirement="line-side-splices",
)
def line_side_splices_marked(r: Readings) -> Iterator[Found]:
    for each in r.installation.equipment.values():
        if each.line_side_splices_marked is False:
            wrong = "Splices or taps ahead of the service disconnect are not marked for the line side."
            yield Found(
                f"equipment.{each.id}", wrong, "Replace them by marked ones when the supply is off.", gravity(each)
            )


@rule(
    "terminals-tightened-to-the-mark",
    title="New terminals are tightened to the marked value, and it is written down",
    why="A screw that is only tight by feel works loose as the wire warms and cools, and the joint burns. "
    "A written value shows the next electrician, and the inspector, that it was done.",
    requirement="torque",
    verdict=Verdict.KNOW,
)
def terminals_tightened_to_the_mark(r: Readings) -> Iterator[Found]:
    new = [each for each in enclosures(r) if each.is_new]
    if new:
        wrong = f"New terminals to tighten with a torque tool: {', '.join(dict.fromkeys(each.title for each in new))}."
        mend = "Read the marked values, tighten with the supply off, and keep the record with the job."
        yield Found(f"equipment.{min(each.id for each in new)}", wrong, mend)


@rule(
    "backfed-main-held-down",
    title="A back-fed main is held down by a fastener",
    why="The blades of a back-fed breaker are live when it is pulled out. "
    "Without a fastener it comes off with the cover, in the hand of whoever took it off.",
    requirement="backfed-main",
)
def backfed_main_held_down(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        if each.backfed_main_fastened is False:
            wrong = "The back-fed main is held by its clip alone."
            yield Found(f"equipment.{each.id}", wrong, "Fit the hold-down kit listed for this panel.")


@rule(
    "one-service",
    title="A building has one service",
    why="Whoever opens the service believes that nothing in the building is live. "
    "A second supply that nobody marked kills on the other side of the same wall.",
    requirement="one-service",
    verdict=Verdict.ASK,
)
def one_service(r: Readings) -> Iterator[Found]:
    drops: dict[str, list[str]] = {}
    for run in r.installation.runs.values():
        to = r.installation.equipment.get(run.to or "")
        site = r.graph.site_of(to.building) if to is not None else None
        if run.from_ == UTILITY and site is not None:
            drops.setdefault(site, []).append(run.id)
    for site, runs in drops.items():
        units = [b for b in r.installation.buildings.values() if site in (b.part_of, b.id) and b.use == "dwelling unit"]
        if len(runs) > max(1, len(units)):
            wrong = f"{len(runs)} supplies of the utility reach this building: {', '.join(runs)}."
            mend = (
                "Find out whether this is one service in several sets, or several services that the code allows here."
            )
            yield Found(f"buildings.{site}", wrong, mend)


@rule(
    "listed-ahead-of-the-service",
    title="A disconnect ahead of the service is of a kind the code lists there",
    why="Ahead of the service nothing trips before the utility's fuse, so the code names what may stand there. "
    "A switch that is not on that list is itself the first disconnect, and its neutral is bonded in the wrong place.",
    requirement="supply-side-equipment",
    verdict=Verdict.ASK,
)
def listed_ahead_of_the_service(r: Readings) -> Iterator[Found]:
    if r.edition.has("emergency-disconnect"):
        return
    for each in supply_side_devices(r):
        if r.graph.roles[each.id] == "emergency disconnect":
            wrong = f"{r.edition.name} is not known to list an emergency disconnect ahead of the service."
            mend = "Make it the service disconnect, or a disconnect in the meter equipment; else ask the inspector."
            yield Found(f"equipment.{each.id}", wrong, mend)


@rule(
    "nothing-fed-ahead-of-the-service",
    title="No circuit is taken off ahead of the service disconnect",
    why="What is tapped ahead of the main stays live when the main is off, and has no breaker of its own size. "
    "People have died on yard lights fed from the meter.",
    requirement="supply-side-equipment",
)
def nothing_fed_ahead_of_the_service(r: Readings) -> Iterator[Found]:
    main = ("service disconnect", "site-isolating device")
    for id, circuits in r.graph.circuits_at.items():
        if id not in r.installation.equipment or r.graph.roles[id] in main:
            continue
        if not any(r.graph.roles.get(above) in main for above in r.graph.path_up(id)):
            for circuit in circuits:
                wrong = "It leaves ahead of the service disconnect."
                yield Found(f"circuits.{circuit}", wrong, "Move it to a breaker behind the service disconnect.")
