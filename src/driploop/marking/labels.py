"""Which labels an installation needs, enclosure by enclosure."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from driploop.editions import Edition
from driploop.grounding.sites import enters_building, site_id
from driploop.installation import Graph
from driploop.installation.graph import DWELLING_USES
from driploop.installation.model import Building, Circuit
from driploop.marking.results import Label
from driploop.marking.words import own_label, set_label
from driploop.worksheet import Assumption, unique

#: Dwellings for which the code speaks of emergency disconnects: one and two families.
_ONE_AND_TWO = frozenset({"dwelling", "dwelling unit", "two-family dwelling"})

Made = Label | Assumption


#: The available fault current at an enclosure, None where nobody can say. [A]
FaultAt = Callable[[str], float | None]


def read_labels(
    graph: Graph, *, fault_a: FaultAt | None = None, date: str = "", edition: Edition
) -> tuple[tuple[Label, ...], tuple[Assumption, ...]]:
    """Every label an installation needs, in the order of supply.

    Where the edition's words were not seen no words are invented: the label is left out and an assumption says so.

    Args:
        graph: the installation.
        fault_a: gives the available fault current at an enclosure; left out, its mark stays blank.
        date: of that calculation.
        edition: the code edition to ask.

    Returns:
        The labels, and what was assumed or is not known.
    """
    made = [
        *(
            part
            for id in graph.order
            if graph.equipment(id).kind != "utility"
            for part in _at(graph, id, edition, fault_a, date)
        ),
        *_two_services(graph, edition),
        *(part for circuit in graph.installation.circuits.values() for part in _receptacles(circuit, edition)),
    ]
    names = _names(graph)
    labels = tuple(replace(part, at=names.get(part.equipment, "")) for part in made if isinstance(part, Label))
    return labels, unique(part for part in made if isinstance(part, Assumption))


def _at(graph: Graph, id: str, edition: Edition, fault_a: FaultAt | None, date: str) -> Iterator[Made]:
    role, equipment = graph.roles[id], graph.equipment(id)
    match role:
        case "service disconnect":
            if not _dwelling_served(graph, id):
                yield from _fault_current(id, fault_a, date, edition)
            yield from _service_disconnect(graph, id, edition)
        case "emergency disconnect" | "meter disconnect":
            yield from _emergency_disconnect(graph, id, edition)
        case "site-isolating device":
            opens = ", ".join(building.title for building in graph.buildings_below(id))
            words = ("site-isolating device", f"opens the supply of {opens}" if opens else "opens the whole supply")
            why = "a site-isolating device is marked as such; it is not service equipment"
            section = edition.section("ag-distribution-point")
            yield own_label("site-isolating-device", id, words, where="on the device", section=section, why=why)
        case "not a disconnect":
            return
        case _ if enters_building(graph, graph.feeding_run(id)):
            yield from _building_disconnect(graph, id, edition)
        case _ if equipment.kind == "disconnect":
            yield _purpose(graph, id, edition)
    if equipment.kind == "panel":
        yield from _panel(graph, id, edition)
    if role == "service disconnect":
        yield from _one_of_several(graph, id, edition)
    if role in ("service disconnect", "site-isolating device", "emergency disconnect", "meter disconnect"):
        yield from _other_sources(graph, id, edition)


# --- disconnects -----------------------------------------------------------------------------------------------------


def _service_disconnect(graph: Graph, id: str, edition: Edition) -> Iterator[Made]:
    dwelling = _dwelling_served(graph, id)
    if dwelling and edition.has("outdoor-service-disconnect"):
        yield _words_not_known(id, edition)
        return
    if dwelling and edition.has("emergency-disconnect") and not _has_emergency_above(graph, id):
        outdoors = graph.equipment(id).outdoors
        if outdoors is None:
            yield _outdoors_not_known(id)
        elif outdoors:
            why = "it opens the dwelling from outdoors and is the service disconnect as well"
            yield _set("emergency-service-disconnect", id, _emergency_section(edition), why, edition)
            return
    why = "each service disconnect is marked as such"
    yield _set("service-disconnect", id, edition.section("service-disconnect-marked"), why, edition)


def _one_of_several(graph: Graph, id: str, edition: Edition) -> Iterator[Label]:
    """Where several service disconnects stand together each says what it serves."""
    place = site_id(graph, id)
    if sum(site_id(graph, other) == place for other in graph.service_disconnects) < 2:
        return
    why = "several disconnects stand together, and each says what it opens"
    section = edition.section("disconnects-grouped")
    yield own_label(
        "serves",
        id,
        ("serves", *_served(graph, id, _owners(graph))),
        where="on the disconnect",
        section=section,
        why=why,
    )


def _emergency_disconnect(graph: Graph, id: str, edition: Edition) -> Iterator[Made]:
    meter = graph.roles[id] == "meter disconnect"
    if not _dwelling_served(graph, id) or (meter and not _emergency_or_outdoor_rule(edition)):
        yield from _ahead_of_no_dwelling(graph, id, edition)
        return
    row, why = "emergency-not-service", "it opens the dwelling from outdoors; the service disconnect is elsewhere"
    if graph.roles[id] == "meter disconnect":
        row, why = "emergency-meter-disconnect", "part of the meter equipment; the service disconnect is elsewhere"
    yield _set(row, id, _emergency_section(edition), why, edition)


def _ahead_of_no_dwelling(graph: Graph, id: str, edition: Edition) -> Iterator[Made]:
    """The words of 230.85 are for dwellings: on a farm's pole they would send a crew to open the wrong thing."""
    section, why = edition.section("meter-disconnect-label"), "it opens the supply and is not service equipment"
    if graph.roles[id] == "meter disconnect":
        yield _set("meter-disconnect", id, section, why, edition)
        return
    words = ("disconnect", *_served(graph, id, _owners(graph)), "not service equipment")
    section = edition.section("disconnect-identified")
    yield own_label("disconnect-purpose", id, words, where="on the disconnect", section=section, why=why)


def _building_disconnect(graph: Graph, id: str, edition: Edition) -> Iterator[Made]:
    building = _building(graph, id)
    one_or_two = building is not None and building.use in _ONE_AND_TWO
    if one_or_two and edition.has("dwelling-fed-by-feeder-emergency") and graph.equipment(id).outdoors:
        why = "it opens from outdoors a dwelling that is fed by a feeder"
        section = edition.section("dwelling-fed-by-feeder-emergency")
        yield _set("emergency-feeder-disconnect", id, section, why, edition)
    yield _purpose(graph, id, edition)


def _purpose(graph: Graph, id: str, edition: Edition) -> Label:
    building = _building(graph, id)
    if enters_building(graph, graph.feeding_run(id)) and building is not None:
        words = ["disconnect", building.title]
    else:
        served = [graph.equipment(to).title for to in _fed_by(graph, id)]
        words = ["disconnect", " and ".join(served) or graph.equipment(id).title]
    source = graph.installation.equipment.get(graph.source_of(id) or "")
    if source is not None:
        words.append(f"fed from {source.title}")
    section = edition.section("disconnect-identified")
    why = "each disconnect says what it opens"
    return own_label("disconnect-purpose", id, words, where="on the disconnect", section=section, why=why)


def _fault_current(id: str, fault_a: FaultAt | None, date: str, edition: Edition) -> Iterator[Made]:
    available_a = fault_a(id) if fault_a is not None else None
    figure = "______" if available_a is None else f"{math.ceil(available_a / _STEP_A) * _STEP_A:,}"
    words = (f"available fault current {figure} A", f"calculated on {date or '____-__-__'}")
    why = "service equipment other than a dwelling's is marked with current and date; kept up after every change"
    section = edition.section("fault-current-mark")
    yield own_label("available-fault-current", id, words, where="on the enclosure", section=section, why=why)
    if available_a is None:
        yield Assumption(
            where="utility.available_fault_current_a",
            assumed="the mark is left blank: neither the utility's figure nor its transformer is known",
            why_safe="a blank is seen; a guessed current might pass equipment that cannot stand it",
            would_change="the utility's figure in writing, or the size and impedance of its transformer",
        )


#: A mark is rounded up to this, so that a small change elsewhere does not make it false. [A]
_STEP_A = 100


# --- panels, plaques, receptacles ------------------------------------------------------------------------------------


def _panel(graph: Graph, id: str, edition: Edition) -> Iterator[Label]:
    title = graph.equipment(id).title
    why = "every circuit is written down by what it feeds and where; spares as spares"
    section = edition.section("directory")
    yield own_label("directory", id, ("circuit directory", title), where="inside the door", section=section, why=why)
    source = graph.installation.equipment.get(graph.source_of(id) or "")
    building = _building(graph, id)
    if source is None or graph.roles[id] == "service disconnect" or (building and building.use in _ONE_AND_TWO):
        return
    why = "a panel outside one- and two-family dwellings says where its supply comes from"
    section = edition.section("panel-source-marked")
    words = (title, f"fed from {source.title}")
    yield own_label("source", id, words, where="on the panel", section=section, why=why)


def _other_sources(graph: Graph, id: str, edition: Edition) -> Iterator[Made]:
    below = [graph.installation.buildings.get(site_id(graph, id)), *graph.buildings_below(id)]
    known = {building.id: building for building in below if building is not None}
    sources = [
        f"{source} at {building.title}" for building in known.values() for source in building.other_sources or ()
    ]
    if sources:
        emergency = _emergency_section(edition) if _dwelling_served(graph, id) else None
        section = emergency or edition.section("disconnect-identified")
        words = ("other sources here", *sources, "open these too")
        why = "opening this disconnect does not make the place dead"
        yield own_label("other-sources", id, words, where="beside the disconnect", section=section, why=why)
    for building in known.values():
        if building.other_sources is None:
            yield Assumption(
                where=f"buildings.{building.id}.other_sources",
                assumed="no plaque for other sources is made, but one may be needed",
                why_safe="nobody is told that the place is dead",
                would_change="a generator, solar or storage: each is named on a plaque with its place",
            )


def _two_services(graph: Graph, edition: Edition) -> Iterator[Label]:
    tops = ("service disconnect", "site-isolating device")
    by_place = {site_id(graph, id): id for id in sorted(graph.order, reverse=True) if graph.roles[id] in tops}
    if len(by_place) < 2:
        return
    farm = graph.installation.site_kind == "farm"
    section = edition.section("ag-two-services-plaque" if farm else "one-service")
    for place, id in reversed(by_place.items()):
        others = [graph.equipment(other).title for elsewhere, other in by_place.items() if elsewhere != place]
        words = ("more than one supply here", "others at:", *reversed(others))
        why = "whoever opens this supply must know of the others"
        yield own_label("other-supplies", id, words, where="beside the disconnect", section=section, why=why)


def _receptacles(circuit: Circuit, edition: Edition) -> Iterator[Label]:
    if circuit.receptacles and circuit.gfci and circuit.ground == "none":
        words = circuit.serves or circuit.title
        why = "receptacles with a ground hole and no equipment ground, protected by GFCI, say so"
        label = set_label(
            "gfci-no-equipment-ground",
            circuit.from_ or "",
            section=edition.section("ungrounded-receptacles"),
            why=why,
            edition=edition,
            where=f"at each receptacle of {words}",
            id=f"gfci-no-equipment-ground/{circuit.id}",
        )
        if label is not None:
            yield label


# --- what is served --------------------------------------------------------------------------------------------------


def _dwelling_served(graph: Graph, id: str) -> bool:
    """Whether a disconnect belongs to a one- or two-family dwelling and to nothing else."""
    building = _building(graph, id)
    if building is not None and building.use in DWELLING_USES:
        site = graph.installation.buildings.get(site_id(graph, id), building)
        return site.use in _ONE_AND_TWO
    return graph.whole_dwelling(id) is not None


def _emergency_or_outdoor_rule(edition: Edition) -> bool:
    return edition.has("emergency-disconnect") or edition.has("outdoor-service-disconnect")


Owners = Mapping[str, Sequence[str]]


def _owners(graph: Graph) -> Owners:
    """The service disconnects that supply each dwelling unit, or building, by its id."""
    owners: dict[str, list[str]] = {}
    for id in graph.service_disconnects:
        for building in _supplied(graph, id):
            owners.setdefault(building.id, []).append(id)
    return owners


def _supplied(graph: Graph, id: str) -> tuple[Building, ...]:
    return graph.dwelling_units_below(id) or graph.buildings_below(id)


def _served(graph: Graph, id: str, owners: Owners) -> list[str]:
    """What a disconnect opens, in words: its dwelling units, its buildings, what it feeds, or itself."""
    buildings = _supplied(graph, id)
    shared = any(
        other != id and other not in graph.path_up(id) and id not in graph.path_up(other)
        for building in buildings
        for other in owners.get(building.id, ())
    )
    if buildings and not shared:
        return [building.title for building in buildings]
    return [graph.equipment(to).title for to in _fed_by(graph, id)] or [graph.equipment(id).title]


def _names(graph: Graph) -> Mapping[str, str]:
    """What to call each enclosure; two of one name are told apart by what they serve, or by their ids."""
    count = Counter(graph.equipment(id).title for id in graph.order)
    alike = [id for id in graph.order if count[graph.equipment(id).title] > 1]
    owners = _owners(graph)
    told = {id: f"{graph.equipment(id).title} ({', '.join(_served(graph, id, owners))})" for id in alike}
    twice = Counter(told.values())
    names = {id: graph.equipment(id).title for id in graph.order}
    names |= {id: name if twice[name] == 1 else f"{graph.equipment(id).title} ({id})" for id, name in told.items()}
    return names


def _has_emergency_above(graph: Graph, id: str) -> bool:
    return any(graph.roles.get(up) in ("emergency disconnect", "meter disconnect") for up in graph.path_up(id))


def _fed_by(graph: Graph, id: str) -> list[str]:
    ends = (graph.installation.runs[run].to for run in graph.runs_out.get(id, ()))
    return [end for end in ends if end in graph.installation.equipment]


def _building(graph: Graph, id: str) -> Building | None:
    return graph.installation.buildings.get(graph.equipment(id).building or "")


# --- not known -------------------------------------------------------------------------------------------------------


def _set(row: str, id: str, section: str | None, why: str, edition: Edition) -> Made:
    label = set_label(row, id, section=section, why=why, edition=edition) if section is not None else None
    return label if label is not None else _words_not_known(id, edition)


def _emergency_section(edition: Edition) -> str | None:
    """The section on emergency disconnect labels; None in an edition without, or where it was not seen."""
    if not edition.has("emergency-disconnect-label") or not edition.known("emergency-disconnect-label"):
        return None
    return edition.section("emergency-disconnect-label")


def _words_not_known(id: str, edition: Edition) -> Assumption:
    lacking = "are not known here" if edition.has("emergency-disconnect-label") else "are not set by it"
    return Assumption(
        where=f"equipment.{id}.marked",
        assumed=f"{edition.name}: the words of this disconnect's label {lacking}, so none is printed",
        why_safe="a label with invented words is worse than one still missing",
        would_change="the office's answer: the words, colours and letter height it wants",
    )


def _outdoors_not_known(id: str) -> Assumption:
    return Assumption(
        where=f"equipment.{id}.outdoors",
        assumed="indoors: it gets no emergency disconnect label",
        why_safe="an emergency label on a disconnect that nobody reaches from outdoors misleads the fire service",
        would_change="true: the label of an emergency disconnect",
    )
