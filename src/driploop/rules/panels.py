"""Panels and the room round them: space, light, damage, what sits in them, who may reach them, what they say."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from driploop.installation import Equipment
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import asks, enclosures, gravity, service_equipment
from driploop.rules.overcurrent import ends_in_small_enough_device, largest_device
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_ONE_AND_TWO = frozenset({"dwelling", "dwelling unit", "two-family dwelling"})


@rule(
    "dedicated-space-kept-clear",
    title="The space of a panel belongs to the panel",
    why="A water pipe above a panel drips into it one day. "
    "What is stored before it stands in the way when somebody must open the main in the dark.",
    requirement="dedicated-space",
)
def dedicated_space_kept_clear(r: Readings) -> Iterator[Found]:
    inside = [each for each in enclosures(r) if not each.outdoors]
    for each in inside:
        if each.dedicated_space_clear is False:
            wrong = "Pipes, ducts or stored things take up the space of this enclosure."
            yield Found(f"equipment.{each.id}", wrong, "Clear it, or hang the new one elsewhere.", gravity(each))
    look = "Look above each up to the ceiling, and before it: no pipe, duct or stored thing."
    yield from _asked_once(r, inside, lambda e: e.dedicated_space_clear, "the space above and before", look)


@rule(
    "light-to-work-by",
    title="There is light to work by at an indoor panel",
    why="Who holds a lamp in the teeth has no hand free and sees half of what is live. "
    "The light must not go out with the very panel that is worked on.",
    requirement="working-light",
)
def light_to_work_by(r: Readings) -> Iterator[Found]:
    inside = [each for each in enclosures(r) if not each.outdoors and each.kind == "panel"]
    for each in inside:
        if each.lit is False:
            mend = "Put a light there, switched by hand and not by a sensor alone."
            yield Found(f"equipment.{each.id}", "There is no light to work by.", mend, gravity(each))
    yield from _asked_once(r, inside, lambda e: e.lit, "the light", "See whether a lamp lights its front.")


@rule(
    "not-exposed-to-damage",
    title="Overcurrent devices hang where nothing strikes them",
    why="A cart, a calf or a car door dents a box until the cover touches a live bar. "
    "The next person who opens it finds out.",
    requirement="panel-not-exposed-to-damage",
)
def not_exposed_to_damage(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        if each.exposed_to_damage:
            mend = "Guard it, or hang it elsewhere."
            yield Found(f"equipment.{each.id}", "It hangs where it can be struck.", mend, gravity(each))
    look = "See what moves past each: vehicles, stock, doors, mowers."
    yield from _asked_once(r, list(enclosures(r)), lambda e: e.exposed_to_damage, "whether anything strikes", look)


@rule(
    "feeder-tap-barriers",
    title="Line terminals of a panel on a feeder tap are covered",
    why="The device ahead of a tap often feeds others and is not opened for work on one panel. "
    "With that panel's main off its line terminals then stay live beside the hand.",
    requirement="feeder-tap-barriers",
)
def feeder_tap_barriers(r: Readings) -> Iterator[Found]:
    for sizing in r.conductors.runs.values():
        panel = r.installation.equipment.get(r.installation.runs[sizing.run].to or "")
        if panel is None or panel.kind != "panel" or sizing.kind != "feeder" or sizing.ocpd_a is None:
            continue
        most_a = largest_device(r, sizing)
        if (
            sizing.ampacity_a is None
            or sizing.ocpd_a <= most_a
            or not ends_in_small_enough_device(r, sizing.run, most_a)
        ):
            continue
        where = f"equipment.{panel.id}.line_terminals_covered"
        if panel.line_terminals_covered is False:
            wrong = "It hangs on a feeder tap, and its live line terminals stay open to touch when its main is off."
            yield Found(where, wrong, "Fit the maker's barrier, with the feeder off and proved dead.", gravity(panel))
        elif panel.line_terminals_covered is None and panel.is_new:
            wrong = "It hangs on a feeder tap; whether a barrier covers its line terminals is not known."
            yield Found(where, wrong, "Order it with its barrier.", Verdict.ASK)


@rule(
    "breakers-listed-for-the-panel",
    title="Breakers are of a kind that the panel's label lists",
    why="A breaker that only happens to fit grips the bar badly, runs hot at the stab and may not trip. "
    "Nobody ever tested the two together.",
    requirement="breaker-listed-for-panel",
)
def breakers_listed_for_the_panel(r: Readings) -> Iterator[Found]:
    panels = [e for e in enclosures(r) if e.kind == "panel" and e.branch_protection == "breakers" and not e.is_new]
    for each in panels:
        if each.foreign_breakers:
            mend = "Change them for breakers that the label lists, or that are classified for this panel."
            yield Found(f"equipment.{each.id}", "It holds breakers that its label does not list.", mend)
    look = "Read the types on the label inside the door and on the handles; covers stay on."
    yield from _asked_once(r, panels, lambda e: e.foreign_breakers, "the make of the breakers", look)


@rule(
    "series-rating-marked",
    title="Breakers that rely on the main for a fault are marked as a tested pair",
    why="A small breaker that meets more fault current than it can stop bursts, unless the main was tested to help it. "
    "Only a tested pair, marked on the panel, may be relied on.",
    requirement="series-rating",
)
def series_rating_marked(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        if each.series_rating == "not marked":
            wrong = "Its breakers rely on a main ahead of them, and no mark says that the pair was tested."
            mend = "Use a pair that the panel's label lists and mark it, or breakers that stop the full current."
            yield Found(f"equipment.{each.id}", wrong, mend, gravity(each))


@rule(
    "occupant-reaches-own-devices",
    title="Whoever lives there reaches the devices of their own dwelling",
    why="With the panel behind a neighbour's door, a tripped breaker is a matter of asking. "
    "In a fire or a shock nobody is asked in time.",
    requirement="occupant-access",
)
def occupant_reaches_own_devices(r: Readings) -> Iterator[Found]:
    buildings = r.installation.buildings
    for each in enclosures(r):
        home = buildings.get(each.building or "")
        if each.outdoors or home is None or home.use != "dwelling unit":
            continue
        others = [unit for unit in r.graph.dwelling_units_below(each.id) if unit.id != home.id]
        if others:
            wrong = f"The devices of {', '.join(unit.title for unit in others)} hang in {home.title}."
            yield Found(f"equipment.{each.id}", wrong, "Hang them where each family reaches its own.", gravity(each))


@rule(
    "panel-names-its-source",
    title="A fed panel outside a house says where its supply comes from",
    why="On a farm the next panel's breaker is three buildings away. "
    "Who does not know which one opens this panel opens the wrong one and believes it.",
    requirement="panel-source-marked",
)
def panel_names_its_source(r: Readings) -> Iterator[Found]:
    for each in enclosures(r):
        building = r.installation.buildings.get(each.building or "")
        source = r.installation.equipment.get(r.graph.source_of(each.id) or "")
        fed = r.graph.roles.get(each.id) in ("building disconnect", "subpanel", "feeder panel")
        if each.kind != "panel" or each.is_new or not fed or source is None:
            continue
        if building is None or building.use in _ONE_AND_TWO:
            continue
        mend = f"Mark it: fed from {source.title}."
        if each.marked is None:
            if asks(r):
                yield Found(f"equipment.{each.id}.marked", "What this panel is marked is not known.", mend, Verdict.ASK)
        elif source.title.lower() not in each.marked.lower():
            verdict = Verdict.MEND if r.proposed else Verdict.KNOW
            yield Found(f"equipment.{each.id}.marked", "It does not say where it is fed from.", mend, verdict)


@rule(
    "other-sources-named",
    title="The disconnect names every other source of the place",
    why="With the main open, a generator or a solar array still makes the wires live. "
    "Who reads on the main that there is another source looks for it first.",
    requirement="other-sources-plaque",
)
def other_sources_named(r: Readings) -> Iterator[Found]:
    for each in service_equipment(r):
        if each.is_new:  # its plaque is among the labels
            continue
        for building in r.graph.buildings_below(each.id):
            sources = building.other_sources
            where = f"equipment.{each.id}.marked"
            if sources is None:
                if asks(r):
                    wrong = f"Whether {building.title} has another source, as a generator or solar, is not known."
                    mend = "Ask the owner, and look for an inlet, a transfer switch or an array."
                    yield Found(f"buildings.{building.id}.other_sources", wrong, mend, Verdict.ASK)
            elif unnamed := [s for s in sources if s.lower() not in (each.marked or "").lower()]:
                wrong = f"No plaque at it names: {', '.join(unnamed)}, at {building.title}."
                mend = "Fix a plaque beside it that tells each other source and where it is opened."
                if each.marked is not None:
                    yield Found(where, wrong, mend, Verdict.MEND if r.proposed else Verdict.KNOW)
                elif asks(r):
                    yield Found(where, f"It was not read. {wrong}", mend, Verdict.ASK)


def _asked_once(
    r: Readings, parts: list[Equipment], fact: Callable[[Equipment], object], what: str, look: str
) -> Iterator[Found]:
    """One question for all old enclosures of which a fact is not known; the place of a new one is asked elsewhere."""
    unknown = [each for each in parts if fact(each) is None and not each.is_new]
    if unknown and asks(r):
        names = ", ".join(each.title for each in unknown)
        first = min(unknown, key=lambda each: each.id)
        yield Found(f"equipment.{first.id}", f"Not noted: {what}, of {names}.", look, Verdict.ASK)
