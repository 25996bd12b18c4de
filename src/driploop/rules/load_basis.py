"""What the calculated load rests on: records, nameplates, loads that cannot run together, methods that are refused."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.installation.model import Load
from driploop.loads.nameplate import read_nameplate
from driploop.rules.catalogue import Found, rule
from driploop.rules.looking import asks, sentence
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict, plain

#: A year's record at a meter behind which something generates or shaves peaks.
SOLAR_READINGS = (
    "the bar on solar, wind and peak shaving belongs to the thirty-day recording; a year's record stands",
    "a meter behind such a system shows net demand, so its record shows no load at all",
)
_PLATE = ("va", "kw", "hp", "current_a", "rla_a", "mca_a")


@rule(
    "metered-load-conditions",
    title="A metered load stands only on its conditions",
    why="A peak taken in a mild month, or behind solar panels, hides the load of the worst day. The service sized by "
    "it overheats on that day.",
    requirement="metered-load",
    verdict=Verdict.ASK,
)
def metered_load_conditions(r: Readings) -> Iterator[Found]:
    for record in r.installation.metered.values():
        node = r.loads.nodes.get(record.meter or "")
        result = node.result("metered") if node is not None else None
        if result is None:
            if asks(r):
                mend = "Name the meter that the whole load goes through."
                yield Found(f"metered.{record.id}.meter", "This record belongs to no listed meter.", mend)
        elif result.permitted == "ask" and asks(r):
            wrong = sentence(f"The metered load is not yet shown to be usable: {result.why}")
            readings = SOLAR_READINGS if record.solar_wind_or_peak_shaving else ()
            mend = "Get the missing facts from the utility or the owner."
            yield Found(f"metered.{record.id}", wrong, mend, readings=readings)
        elif result.permitted == "no":
            wrong = sentence(f"The metered load may not be used: {result.why}")
            yield Found(f"metered.{record.id}", wrong, "The load is figured by another method.", Verdict.KNOW)


@rule(
    "method-refused-by-edition",
    title="A method whose numbers are not known here is not guessed",
    why="A guessed factor looks like a calculated load and is none. A service built on it may be too small.",
    requirement="approved-by-ahj",
    verdict=Verdict.KNOW,
)
def method_refused_by_edition(r: Readings) -> Iterator[Found]:
    told: set[str] = set()
    for id in sorted(r.graph.order, key=lambda id: (sum(1 for _ in r.graph.path_up(id)), id)):
        for result in r.loads.nodes[id].results:
            if result.load_va is None and result.method not in ("metered", *told):
                told.add(result.method)
                mend = "Another method governs. The office can give the numbers of the adopted book."
                yield Found(f"equipment.{id}", sentence(f"{result.title} is not computed: {result.why}"), mend)


@rule(
    "heat-pump-and-supplemental",
    title="Whether a compressor runs with its supplemental heat is known",
    why="Together they are often the largest load of a house, and a control decides whether they ever run together. "
    "Left open, both are counted.",
    requirement="load-noncoincident",
    verdict=Verdict.ASK,
)
def heat_pump_and_supplemental(r: Readings) -> Iterator[Found]:
    for load in r.installation.loads.values():
        pump = r.installation.loads.get(load.supplemental_to or "")
        if load.supplemental_to is None:
            if load.kind == "supplemental heat" and asks(r):
                wrong = f"To which heat pump {load.title} belongs is not known."
                yield Found(f"loads.{load.id}.supplemental_to", wrong, "Name it, or enter it as electric heat.")
        elif pump is not None and pump.locked_out is None and load.locked_out is None and asks(r):
            wrong = f"Whether {pump.title} can run together with {load.title} is not known."
            yield Found(f"loads.{pump.id}.locked_out", wrong, "Read the controls' sheet; until then both are counted.")


@rule(
    "evse-minimum",
    title="A vehicle charger counts at its least load or more",
    why="A charger runs for hours at its full current, in every house of the street at the same hour. The code sets a "
    "floor so that a small nameplate does not hide that.",
    requirement="evse-load",
    verdict=Verdict.KNOW,
)
def evse_minimum(r: Readings) -> Iterator[Found]:
    unread = r.edition.value("evse_unknown_nameplate").text
    least = r.edition.value("evse_minimum") if r.edition.has("evse_minimum") else None
    for load in r.installation.loads.values():
        if load.kind != "vehicle charger":
            continue
        va = _va(r, load)
        if va is None:
            if asks(r):
                wrong = f"The nameplate of {load.title} is not known; {unread} is counted at least."
                yield Found(f"loads.{load.id}", wrong, "Read its label, and the setting if it has one.", Verdict.ASK)
        elif least is not None and va < least.number:
            wrong = f"{load.title} is marked {plain(va)} VA and counts as {least.text}."
            yield Found(f"loads.{load.id}", wrong, "Nothing to do; the load already counts it so.")


#: How offices take a charger in the optional methods, whose words do not name it before 2026.
CHARGER_READINGS = (
    "a charger is an appliance like any other, so it stands in the general load and takes the step",
    "a charger runs for hours at full current, so it counts in full beside the general load",
)


@rule(
    "charger-in-the-optional-step",
    title="A charger inside the optional method's step is told",
    why="With the step less than half of the charger counts. An office that reads the section otherwise comes to a "
    "larger service, and the permit is the time to find out.",
    requirement="dwelling-optional-load",
    verdict=Verdict.KNOW,
)
def charger_in_the_optional_step(r: Readings) -> Iterator[Found]:
    if r.edition.has("evse_optional_percent"):
        return
    for id in r.graph.service_disconnects:
        governing = r.loads.nodes[id].governing
        chargers = [load.title for load in r.graph.loads_below(id) if load.kind == "vehicle charger"]
        if chargers and governing.method in ("optional", "existing"):
            wrong = f"{governing.title} counts {', '.join(chargers)} in the general load, with its step."
            mend = "Ask the office how it reads the section where the service is nearly full."
            yield Found(f"equipment.{id}", wrong, mend, section=governing.section, readings=CHARGER_READINGS)


@rule(
    "calculated-load-uses-unknowns",
    title="The load rests on nameplates that were read",
    why="What nobody read is counted high, and the service may come out larger than the house needs. One look at a "
    "label can save a size.",
    requirement="approved-by-ahj",
    verdict=Verdict.ASK,
)
def calculated_load_uses_unknowns(r: Readings) -> Iterator[Found]:
    if not asks(r):
        return
    for id in r.graph.service_disconnects:
        unread = [load for load in r.graph.loads_below(id) if _unread(load)]
        if not unread:
            continue
        largest_va, largest = max(((_counted(r, load), load) for load in unread), key=lambda p: (p[0], p[1].id))
        more = f" {len(unread) - 1} more were not read." if len(unread) > 1 else ""
        wrong = f"The nameplate of {largest.title} was not read; it counts as {plain(largest_va)} VA.{more}"
        yield Found(f"loads.{largest.id}", wrong, "Read the label with the appliance off; the largest unknown first.")


def _unread(load: Load) -> bool:
    return load.kind != "generator" and all(getattr(load, field) is None for field in _PLATE)


def _counted(r: Readings, load: Load) -> float:
    """What the calculation takes a load for. [VA]"""
    volts = next(iter(r.loads.nodes.values())).voltage_v
    circuit = r.installation.circuits.get(load.circuit or "")
    building = r.graph.building_of(load)
    plate = read_nameplate(load, circuit=circuit, building=building, system_volts=volts, edition=r.edition)
    return plate.va * load.count


def _va(r: Readings, load: Load) -> float | None:
    return None if _unread(load) else _counted(r, load)


@rule(
    "garage-in-the-floor-area",
    title="Whether the garage counts in the floor area is settled",
    why="The lighting load goes by the floor, and offices do not count the same floor. "
    "Counted too small, the service is sized for a smaller house than stands there.",
    requirement="floor-area",
    verdict=Verdict.KNOW,
)
def garage_in_the_floor_area(r: Readings) -> Iterator[Found]:
    if not asks(r):
        return
    for building in r.installation.buildings.values():
        if building.garage_area_ft2:
            area = f"{building.garage_area_ft2:,.0f} ft2"
            wrong = f"{building.title} has an attached garage of {area}."
            mend = f"Ask the office whether it counts. {r.edition.entry('floor-area').requires}"
            yield Found(f"buildings.{building.id}.garage_area_ft2", wrong, mend, readings=GARAGE_READINGS)


#: From 2023 on the garage is no longer named among what is left out.
GARAGE_READINGS = (
    "a garage is no living space, and is left out of the floor area",
    "what is not named as left out counts, and newer editions no longer name the garage",
)
