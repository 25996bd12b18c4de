"""The circuits of one panel as the solvers take them, read from an installation."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from driploop.installation import Circuit, Equipment, Graph, Installation
from driploop.installation.model import Wish
from driploop.panel.habits import unread_device_a
from driploop.panel.hours import Currents, Drawn
from driploop.panel.results import Half, PanelBox, PanelCircuit
from driploop.panel.words import NAME_THE_ROOM, NOT_TRACED, circuit_words, told_apart
from driploop.worksheet import Assumption

#: By circuit id: poles and rating of the breaker to put in [A], None where it asks.
Breakers = Mapping[str, tuple[int | None, float | None]]
GONE = frozenset({"remove", "abandon"})
Legs = tuple[tuple[float, ...], tuple[float, ...]]


@dataclass(slots=True)
class Gathered:
    """The circuits of one panel at full nameplate, and what had to be assumed."""

    circuits: list[PanelCircuit] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    assumptions: list[Assumption] = field(default_factory=list)


def surveyed_breakers(installation: Installation) -> dict[str, tuple[int | None, float | None]]:
    """Poles and rating as surveyed or proposed, where no protection was worked out."""
    return {id: (circuit.poles, circuit.ocpd_a) for id, circuit in installation.circuits.items()}


def first_number(position: str | None) -> int | None:
    """The space at the head of a position: 5 of ``5-7``, 12 of ``12 (tandem)``; None where there is none."""
    found = re.match(r"\s*(\d+)", position or "")
    return int(found[1]) if found else None


def half_of(position: str | None) -> Half:
    """The half of a tandem breaker that a position names: ``12a`` is the upper, ``12b`` the lower; "" where none is."""
    found = re.match(r"\s*\d+\s*([ab])\b", (position or "").lower())
    return "" if found is None else "upper" if found[1] == "a" else "lower"


def gather(
    equipment: Equipment,
    graph: Graph,
    currents: Currents,
    *,
    breakers: Breakers,
    feeders: Mapping[str, Legs],
    wishes: Iterable[Wish] = (),
) -> Gathered:
    """Everything that wants a place in a panel: circuits, feeders, and spaces kept for later wishes.

    Args:
        equipment: the panel.
        graph: the installation that is laid out.
        currents: reads what circuits draw.
        breakers: by circuit id, poles and rating of the breaker to put in.
        feeders: by run id, what it draws on both lines in each hour at full nameplate. [A]
        wishes: of the customer; those for later keep spaces.
    """
    made = Gathered()
    landing = [c for c in graph.circuits_of(equipment.id) if c.fate not in GONE and c.purpose != "spare"]
    words = {c.id: circuit_words(c, graph.installation, at_building=equipment.building) for c in landing}
    words = told_apart(words, [c.id for c in landing])
    made.assumptions += (said for c in landing if (said := _unclear(c, words[c.id])) is not None)
    partners = _partners(landing)
    for circuit in landing:
        poles, rating = breakers.get(circuit.id, (circuit.poles, circuit.ocpd_a))
        if poles is not None and poles > 2:
            made.refused.append(f"{words[circuit.id]}: three poles do not fit a single-phase panel")
            continue
        counted: Literal[1, 2] = 2 if (poles or _poles(circuit, made)) == 2 else 1
        rated = rating if rating is not None else _unrated(circuit, made)
        drawn = currents.of_circuit(circuit, poles=counted, rating_a=rated)
        made.circuits.append(_circuit(circuit, equipment, words[circuit.id], counted, rated, drawn, partners, made))
    made.circuits += _feeders(equipment, graph, feeders, made)
    made.circuits += _reserved(equipment, graph, wishes, len(currents.hours))
    return made


def _circuit(
    circuit: Circuit, equipment: Equipment, words: str, poles: int, rating_a: float, drawn: Drawn,
    partners: Mapping[str, str], made: Gathered,
) -> PanelCircuit:  # fmt: skip
    stays = not equipment.is_new and equipment.branch_protection == "breakers" and not circuit.is_new
    present = first_number(circuit.position) if stays else None
    room = " / ".join(filter(None, (circuit.building or equipment.building, circuit.room)))
    enters = circuit.enters
    if circuit.reach_ft is not None and enters is None:
        enters = "top"
        made.assumptions.append(
            Assumption(
                f"circuits.{circuit.id}.enters",
                "its wire comes in at the top",
                "a short wire is then kept near the top; look where the cable enters before the panel is hung",
                "where its wire enters the new panel",
            )
        )
    partner = partners.get(circuit.id)
    told = f"{words}, interlocked with the main" if circuit.interlocked else words
    return PanelCircuit(
        circuit.id, told, poles, rating_a, drawn.legs, partner, room, circuit.reach_ft, enters,
        tandem=poles == 1 and partner is None and rating_a <= unread_device_a(),
        present_space=present, present_half=half_of(circuit.position) if present else "",
        interlocked=bool(circuit.interlocked),
    )  # fmt: skip


def _unclear(circuit: Circuit, words: str) -> Assumption | None:
    left_out = circuit.serves is not None and circuit.serves.lower() not in words.lower()
    if not left_out and not words.startswith(NOT_TRACED) and NAME_THE_ROOM not in words:
        return None
    return Assumption(
        f"circuits.{circuit.id}.serves",
        f"nothing more: the door card says {words.partition(':')[0]}",
        "a guess on a door card opens the wrong breaker one day",
        "words that name the room and what is fed there, and not who uses it",
    )


def _partners(landing: Sequence[Circuit]) -> dict[str, str]:
    """Multiwire pairs of one-pole circuits that both land here, each naming the other."""
    here = {circuit.id: circuit for circuit in landing}
    pairs: dict[str, str] = {}
    for circuit in landing:
        other = here.get(circuit.multiwire_with or "")
        if other is not None and circuit.id not in pairs and other.id not in pairs and circuit.poles != 2:
            pairs[circuit.id], pairs[other.id] = other.id, circuit.id
    return pairs


def _poles(circuit: Circuit, made: Gathered) -> int:
    made.assumptions.append(
        Assumption(
            f"circuits.{circuit.id}.poles",
            "two poles",
            "a place for two holds one as well",
            "how many lines its device opens",
        )
    )
    return 2


def _unrated(circuit: Circuit, made: Gathered) -> float:
    rating = max(circuit.ocpd_a or 0.0, unread_device_a())
    made.assumptions.append(
        Assumption(
            f"circuits.{circuit.id}.ocpd_a",
            f"a place for a breaker of {rating:g} A; no breaker is bought for it yet",
            "its place is kept, and its stab holds the largest that it may get",
            "the size of its wire",
        )
    )
    return rating


def _feeders(equipment: Equipment, graph: Graph, feeders: Mapping[str, Legs], made: Gathered) -> Iterable[PanelCircuit]:
    hours = len(made.circuits[0].amperes[0]) if made.circuits else None
    for id in graph.runs_out.get(equipment.id, ()):
        run = graph.installation.runs[id]
        to = graph.installation.equipment.get(run.to or "")
        if run.ocpd != "breaker" or to is None or run.fate in GONE:
            continue
        building = graph.installation.buildings.get(to.building or "")
        elsewhere = building is not None and building.id != equipment.building
        title = f"{building.title}: {to.title}" if elsewhere and building is not None else to.title
        rating = run.ocpd_a or to.main_a or to.rating_a
        if rating is None:
            rating = unread_device_a()
        legs = feeders.get(id) or ((0.0,) * (hours or 1), (0.0,) * (hours or 1))
        yield PanelCircuit(id, f"Feeder to {title[:1].lower()}{title[1:]}", 2, rating, legs, kind="feeder")


def _reserved(equipment: Equipment, graph: Graph, wishes: Iterable[Wish], hours: int) -> Iterable[PanelCircuit]:
    panels = [id for id in graph.order if graph.equipment(id).kind == "panel"]
    known = graph.installation.circuits
    for wish in wishes:
        if wish.when != "later":
            continue
        home = wish.panel or (known[wish.circuit].from_ if wish.circuit in known else None)
        if home is None:
            home = next((id for id in panels if graph.equipment(id).building == wish.building), None)
        if home != equipment.id or wish.circuit in known:
            continue
        poles = 1 if wish.volts in (115, 120) else 2
        nothing = ((0.0,) * hours,) * poles
        title = f"{wish.title[:1].lower()}{wish.title[1:]}"
        yield PanelCircuit(f"later/{wish.id}", f"Spare, kept for: {title}", poles, 0.0, nothing, kind="reserved")


def surveyed_box(
    equipment: Equipment, said: list[Assumption], circuits: Sequence[PanelCircuit] = ()
) -> PanelBox | None:
    """A panel that stays, as it was surveyed; None where nobody counted its spaces.

    Args:
        equipment: the panel.
        said: grows by what had to be assumed.
        circuits: what lands in it, for the tandem breakers and the interlock that were found in place.
    """
    if equipment.spaces is None:
        return None
    spaces = equipment.spaces - equipment.spaces % 2
    limit = equipment.circuits_max
    if limit is None:
        limit = spaces
        said.append(
            Assumption(
                f"equipment.{equipment.id}.circuits_max",
                f"{spaces}, one pole for each space",
                "no tandem breaker is then placed where the label may not list it",
                "how many circuits its label allows, and in which spaces tandem breakers",
            )
        )
    if equipment.stab_limit_a is None:
        said.append(
            Assumption(
                f"equipment.{equipment.id}.stab_limit_a",
                "no more than its bus on any one stab",
                "the label may ask for less: read it before two large breakers are set side by side",
                "what its label says of breakers on one stab",
            )
        )
    held = [circuit.present_space for circuit in circuits if circuit.interlocked]
    return PanelBox(
        equipment.id,
        f"{f'{equipment.rating_a:g} A, ' if equipment.rating_a else ''}{spaces} spaces, the panel that is there",
        spaces,
        limit,
        equipment.rating_a or 0.0,
        "breaker" if equipment.main == "breaker" else "lugs",
        equipment.main_a,
        outdoors=bool(equipment.outdoors),
        tandem_spaces=_tandem_spaces(equipment, spaces, limit, circuits, said),
        stab_limit_a=equipment.stab_limit_a or equipment.rating_a,
        interlock_space=held[0] if held else None,
    )


def _tandem_spaces(
    equipment: Equipment, spaces: int, limit: int, circuits: Sequence[PanelCircuit], said: list[Assumption]
) -> tuple[int, ...]:
    """Where tandem breakers may sit: as the label lists, or where they sit today in listed positions; else nowhere."""
    if equipment.tandem_spaces is not None:
        return tuple(sorted({space for space in equipment.tandem_spaces if space <= spaces}))
    at = Counter(circuit.present_space for circuit in circuits if circuit.present_space is not None)
    shared = tuple(sorted(space for space, count in at.items() if count == 2))
    if shared and equipment.tandem_breakers == "listed positions":
        return shared
    if limit > spaces or shared:
        found = f"; what shares space {' and '.join(map(str, shared))} today is moved" if shared else ""
        said.append(
            Assumption(
                f"equipment.{equipment.id}.tandem_spaces",
                f"no space of it takes a tandem breaker{found}",
                "a tandem where the label lists none sits loose on the bus",
                "the spaces that its label lists for tandem breakers",
            )
        )
    return ()
