"""Buildings fed from another place: their electrodes, wires, disconnects, and old three-wire feeders."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from driploop.grounding.separate_building import ThreeWireAnswer, neutral_ampacity, three_wire_feeder
from driploop.grounding.sites import is_supply_side, sites
from driploop.installation import Graph
from driploop.installation.model import Circuit
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import at_home, gravity, rating_a
from driploop.rules.looking import Entry, asks, entries
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_DISCONNECTS = frozenset({"panel", "disconnect", "transfer switch"})


@rule(
    "electrode-at-each-building",
    title="Each building with power has its own electrodes",
    why="Lightning that strikes near a barn looks for earth at the barn. Without electrodes there it travels along "
    "the feeder into the house.",
    requirement="separate-building-electrode",
)
def electrode_at_each_building(r: Readings) -> Iterator[Found]:
    with_service = {site.id for site in sites(r.graph).values() if not site.fed}
    # A survey that lists electrodes elsewhere has looked for them.
    looked = r.proposed or bool(r.installation.electrodes)
    for place, system in r.grounding.systems.items():
        electrodes = [r.installation.electrodes[id] for id in system.electrodes]
        joined = any(e.connected is not False for e in electrodes)
        # Of one that is there and not joined electrodes-present-are-joined speaks.
        told = any(e.kind != "concrete-encased" for e in electrodes)
        if not system.required or joined or told or place in with_service:
            continue
        if not looked and not asks(r):
            continue
        at = system.lands_at
        where = f"buildings.{place}" if place in r.installation.buildings else f"equipment.{at or place}"
        wrong = "No electrode is joined to the supply here." if not electrodes else "None of the electrodes is joined."
        apart = r.edition.value("rod_spacing_ft").text
        mend = f"Join what is there, or drive two rods {apart} apart or more."
        yield Found(where, wrong, mend, None if looked else Verdict.ASK)


@rule(
    "four-wires-to-a-building",
    title="A new feeder to another building has four wires",
    why="With three wires the neutral also grounds the building, and every pipe or cable between the buildings "
    "carries part of its current. If the neutral breaks, the whole building stands at line voltage.",
    requirement="separate-building-egc",
)
def four_wires_to_a_building(r: Readings) -> Iterator[Found]:
    for entry in entries(r):
        count = r.grounding.wires[entry.run.id]
        where = f"runs.{entry.run.id}.wires"
        if count.found is None:
            if asks(r, entry.run):
                mend = "Count them with the supply dead: two lines, a neutral, and a ground or none."
                yield Found(where, "Nobody has counted the wires of this feeder.", mend, Verdict.ASK)
        elif entry.run.is_new and not count.may_stay:
            wrong = f"The new feeder has {count.found} wires; {count.needed} are needed."
            yield Found(where, wrong, "Add an equipment ground that runs with it.")


@rule(
    "old-three-wire-feeder",
    title="An old three-wire feeder stays only on its conditions",
    why="It was lawful once, where nothing but its neutral joined the two buildings. Any pipe, fence or cable shield "
    "between them carries neutral current, and shocks people and stock.",
    requirement="three-wire-feeder-existing",
)
def old_three_wire_feeder(r: Readings) -> Iterator[Found]:
    before = Graph(r.found) if r.found is not None else None
    for entry in entries(r):
        run = entry.run
        if not on_three_wires(r, entry):
            continue
        answer = _may_stay(r, entry, before)
        where = f"runs.{run.id}"
        if answer.may_stay:
            yield from _staying(entry)
        elif len(answer.against) > len(answer.assumptions):
            # Each unknown gives one reason and one assumption; a reason more is a fact that stands against it.
            mend = "Run four wires, then take the bond there out; until then the neutral is its only ground."
            yield Found(where, f"The old three-wire feeder may not stay: {answer.why}.", mend)
        elif asks(r, run):
            mend = "Settle these, or run four wires."
            yield Found(where, f"The old three-wire feeder is not shown to be lawful: {answer.why}.", mend, Verdict.ASK)


def on_three_wires(r: Readings, entry: Entry) -> bool:
    """Whether an old feeder brings three wires where new work takes four."""
    count = r.grounding.wires[entry.run.id]
    return not entry.run.is_new and count.found == 3 and count.needed == 4


def _may_stay(r: Readings, entry: Entry, before: Graph | None) -> ThreeWireAnswer:
    run = entry.run
    old = before.installation.runs.get(run.id) if before is not None else None
    node, sizing = r.loads.nodes.get(entry.equipment.id), r.conductors.runs.get(run.id)
    return three_wire_feeder(
        run,
        neutral_load_a=node.neutral.current_a if node is not None else None,
        ocpd_a=run.ocpd_a if run.ocpd_a is not None else (sizing.ocpd_a if sizing is not None else None),
        neutral_ampacity_a=neutral_ampacity(run, sizing, edition=r.edition),
        was_feeder=old is None or before is None or not is_supply_side(before, old),
        edition=r.edition,
    )


def _staying(entry: Entry) -> Iterator[Found]:
    if entry.equipment.neutral_bonded is False:
        yield Found(
            f"equipment.{entry.equipment.id}.neutral_bonded",
            "Three wires come in and the neutral is not joined to the enclosure: nothing grounds this building.",
            "Join the neutral, enclosure and electrode here, or run four wires.",
        )
    else:
        yield Found(
            f"runs.{entry.run.id}",
            "The old three-wire feeder may stay: its neutral grounds this building.",
            "Tell the owner: a pipe, fence or cable laid between the buildings later ends this.",
            Verdict.KNOW,
        )


@rule(
    "neutral-not-bonded-at-fed-building",
    title="The neutral is kept apart from ground at a fed building",
    why="A bond at the far end puts the ground wire, the earth and every metal path beside the neutral. Stock and "
    "people feel that current in wet places.",
    requirement="separate-building-egc",
)
def neutral_not_bonded_at_fed_building(r: Readings) -> Iterator[Found]:
    for entry in entries(r):
        bond, count = r.grounding.bonds.get(entry.equipment.id), r.grounding.wires[entry.run.id]
        if bond is None or bond.required != "isolated" or on_three_wires(r, entry):
            continue
        where = f"equipment.{entry.equipment.id}.neutral_bonded"
        if bond.found:
            part = "With the supply off, take the screw or strap out and put the grounds on a bar of their own."
            enough = count.found is not None and count.found >= count.needed
            mend = part if enough else f"First run four wires, since this joint is the only ground there. {part}"
            yield Found(where, "The neutral is joined to the enclosure at a fed building.", mend)
        elif bond.found is None and asks(r, entry.equipment):
            mend = "Have a licensed electrician look for a screw or strap with the feeder off and proved dead."
            yield Found(where, "Nobody has seen whether the neutral is joined here.", mend, Verdict.ASK)


# --- disconnects ----------------------------------------------------------------------------------------------------


@rule(
    "building-disconnect-present",
    title="Each fed building has a disconnect of its own",
    why="In a fire or with somebody held by the current, nobody runs to another building to find the switch.",
    requirement="building-disconnect",
)
def building_disconnect_present(r: Readings) -> Iterator[Found]:
    for entry in entries(r):
        equipment = entry.equipment
        where = f"equipment.{equipment.id}"
        if equipment.kind is None:
            if asks(r, equipment):
                wrong = "It is not known what the feeder ends in here."
                yield Found(f"{where}.kind", wrong, "See whether a switch or main opens the building.", Verdict.ASK)
        elif equipment.kind not in _DISCONNECTS:
            wrong = f"The feeder enters the building at a {equipment.kind}, which opens nothing."
            yield Found(where, wrong, "Put a disconnect at the entry, outside or inside nearest to it.")
    yield from _on_branch_circuits(r)


def _on_branch_circuits(r: Readings) -> Iterator[Found]:
    entered = set(sites(r.graph))
    for place, circuits in _branch_fed(r).items():
        if place not in entered and asks(r):
            yield Found(
                f"buildings.{place}",
                f"Circuits alone feed this building ({', '.join(c.id for c in circuits)}); no disconnect is listed.",
                "Say where the switch is that opens them. One circuit may be opened by a plain wall switch.",
                Verdict.ASK,
            )


def _branch_fed(r: Readings) -> Mapping[str, list[Circuit]]:
    """Circuits that end in another building than they start in, by that building."""
    fed: dict[str, list[Circuit]] = defaultdict(list)
    for circuit in r.installation.circuits.values():
        source = r.installation.equipment.get(circuit.from_ or "")
        place = r.graph.site_of(circuit.building)
        if place is not None and source is not None and r.graph.site_of(source.building) not in (None, place):
            fed[place].append(circuit)
    return fed


@rule(
    "building-disconnect-rating",
    title="A building's disconnect is rated for its kind of building",
    why="A small switch is soon asked to carry more than it can open. It welds shut, and then opens nothing.",
    requirement="building-disconnect-rating",
)
def building_disconnect_rating(r: Readings) -> Iterator[Found]:
    for entry in entries(r):
        equipment = entry.equipment
        if equipment.kind not in _DISCONNECTS or (equipment.kind == "panel" and equipment.main == "none"):
            continue
        least, rating = r.edition.value(_least_rating(r, entry)), rating_a(equipment)
        where = f"equipment.{equipment.id}.rating_a"
        if rating is None:
            if asks(r, equipment):
                mend = f"Read its label; {least.text} is the least here."
                yield Found(where, "The rating of the building's disconnect is not known.", mend, Verdict.ASK)
        elif rating < least.number:
            wrong = f"The building's disconnect is rated {rating:g} A; {least.text} is the least here."
            yield Found(where, wrong, f"Put in one of {least.text} or more; the feeder's own device may stay smaller.")


def _least_rating(r: Readings, entry: Entry) -> str:
    if r.graph.dwelling_units_below(entry.equipment.id):
        return "building_disconnect_one_family"
    circuits = r.graph.circuits_below(entry.equipment.id)
    if len(circuits) == 1:
        return "building_disconnect_one_circuit"
    if len(circuits) == 2 and all(c.poles == 1 for c in circuits):
        return "building_disconnect_two_circuits"
    return "building_disconnect_other"


@rule(
    "building-disconnect-grouping",
    title="No more than six handles open a building",
    why="Whoever has to make a building dead in a hurry counts on a few handles in one place. A seventh stays on.",
    requirement="building-disconnects-number",
)
def building_disconnect_grouping(r: Readings) -> Iterator[Found]:
    most = r.edition.value("building_disconnects_maximum")
    for entry in entries(r):
        equipment = entry.equipment
        if equipment.kind != "panel" or equipment.main in ("breaker", "fuses"):
            continue
        where = f"equipment.{equipment.id}.main"
        handles = len(r.graph.circuits_of(equipment.id)) + len(r.graph.runs_out.get(equipment.id, ()))
        if equipment.main is None and equipment.main_a is None:
            if asks(r, equipment):
                wrong = "It is not known whether this panel has a main."
                yield Found(where, wrong, f"Look for one handle; without it, {most.text} at most.", Verdict.ASK)
        elif equipment.main == "none" and handles > most.number:
            wrong = f"The panel has no main, and {handles} handles must be thrown to open the building."
            yield Found(where, wrong, "Put a main or a disconnect ahead of it.")


@rule(
    "building-disconnect-suitable",
    title="Where the neutral grounds a fed building, its disconnect is fit for that",
    why="A kept three-wire feeder needs a place where neutral and ground are joined, as at a service. "
    "A box made only for feeders has no such place, and somebody improvises one.",
    requirement="building-disconnect-suitable",
)
def building_disconnect_suitable(r: Readings) -> Iterator[Found]:
    for entry in entries(r):
        equipment, count = entry.equipment, r.grounding.wires.get(entry.run.id)
        if equipment.kind not in _DISCONNECTS or count is None or not count.may_stay or count.found != 3:
            continue
        if r.grounding.bonds[equipment.id].required != "bonded":
            continue
        where = f"equipment.{equipment.id}.suitable_as_service_equipment"
        mend = "Use one that is marked suitable as service equipment, or run four wires."
        if equipment.suitable_as_service_equipment is False:
            yield Found(where, "It is not marked suitable as service equipment.", mend, gravity(equipment))
        elif equipment.suitable_as_service_equipment is None and asks(r, equipment):
            wrong = "Whether it is marked suitable as service equipment is not known."
            yield Found(where, wrong, f"Read its label from outside. {mend}", Verdict.ASK)


@rule(
    "emergency-disconnect-at-fed-dwelling",
    title="A house fed from elsewhere has an emergency disconnect outdoors",
    why="Firefighters open the house from outside before they use water. A house fed from a pole far away needs that "
    "handle as much as any other.",
    requirement="dwelling-fed-by-feeder-emergency",
)
def emergency_disconnect_at_fed_dwelling(r: Readings) -> Iterator[Found]:
    outdoors = {
        r.graph.site_of(e.building)
        for e in r.installation.equipment.values()
        if e.outdoors and e.kind in _DISCONNECTS
    }  # fmt: skip
    for entry in entries(r):
        if entry.building in outdoors or not at_home(r, entry.equipment):
            continue
        where = f"equipment.{entry.equipment.id}"
        wrong = "No disconnect stands outdoors at this house, which is fed from another place."
        mend = "Mount a marked emergency disconnect outdoors on the house or within sight of it."
        if entry.equipment.outdoors is None:
            if asks(r, entry.equipment):
                yield Found(f"{where}.outdoors", "It is not known where the disconnect stands.", mend, Verdict.ASK)
        elif not (entry.equipment.is_new or entry.run.is_new):
            yield Found(where, wrong, f"When its disconnect is replaced, this is asked for: {mend}", Verdict.KNOW)
        elif _source_may_be_in_sight(r, entry):
            yield Found(where, wrong, f"Ask whether the outdoor device ahead of it serves. If not: {mend}", Verdict.ASK)
        else:
            yield Found(where, wrong, mend)


def _source_may_be_in_sight(r: Readings, entry: Entry) -> bool:
    source, length_ft = r.installation.equipment.get(entry.run.from_ or ""), entry.run.length_ft
    near = length_ft is None or length_ft <= r.edition.number("in_sight_ft")
    return source is not None and source.outdoors is True and near


@rule(
    "one-feeder-per-building",
    title="One feeder supplies a building",
    why="Whoever opens the one disconnect believes the building is dead. A second supply keeps part of it live.",
    requirement="one-feeder",
    verdict=Verdict.ASK,
)
def one_feeder_per_building(r: Readings) -> Iterator[Found]:
    into: dict[str, list[str]] = defaultdict(list)
    for entry in entries(r):
        into[entry.building].append(entry.run.id)
    own_service = {site.id for site in sites(r.graph).values() if not site.fed}
    for building, runs in into.items():
        if len(runs) + (building in own_service) > 1:
            several = f"{', '.join(runs)}" + (" and a service of its own" if building in own_service else "")
            mend = "Feed it once, or show the listed case that allows more, each disconnect marked with the others."
            yield Found(f"buildings.{building}", f"This building has more than one supply: {several}.", mend)
