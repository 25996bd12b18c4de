"""Circuits and their protection: the tables of the packet, and the same as data."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from driploop.circuits import Protection
from driploop.documents.as_data import assumption_data, worksheet_data
from driploop.documents.places import part_words
from driploop.documents.schedules import Cite
from driploop.documents.tables import TableData, stated, table
from driploop.installation import Graph
from driploop.planning import Plan
from driploop.worksheet import Verdict

_MARKS = {Verdict.MEND: "mend", Verdict.ASK: "ask", Verdict.KNOW: "know"}
_KEYS = ("ampacity", "largest", "device")


def protections_of(plan: Plan) -> tuple[Mapping[str, Protection], Mapping[str, Protection] | None]:
    """The protection of every circuit as found, and as proposed where something is proposed."""
    return plan.protections


def by_panel(graph: Graph, protections: Mapping[str, Protection]) -> dict[str, list[Protection]]:
    """The circuits of each enclosure, nearest the supply first; under "" those of which nobody said where they start.

    Spares stand nowhere: nothing hangs on them.
    """
    groups: dict[str, list[Protection]] = {}
    circuits = graph.installation.circuits
    placed = [(id, circuit.id) for id in graph.order for circuit in graph.circuits_of(id)]
    seen = {circuit for _, circuit in placed}
    for panel, id in (*placed, *(("", id) for id in circuits if id not in seen)):
        if circuits[id].purpose != "spare":
            groups.setdefault(panel, []).append(protections[id])
    return groups


def circuit_tables(plan: Plan, cite: Cite) -> list[TableData]:
    """Every circuit of what will stand, panel by panel; then what is to be mended, asked or known of them."""
    found, proposed = protections_of(plan)
    shown = proposed if proposed is not None else found
    graph = plan.final.graph
    groups = by_panel(graph, shown)
    tables = [_panel(title_of_panel(graph, panel), circuits, cite) for panel, circuits in groups.items()]
    every = [each for circuits in groups.values() for each in circuits]
    return [*tables, _remarks(every, {each.circuit: circuit_words(graph, each.circuit) for each in every})]


def circuit_words(graph: Graph, circuit: str) -> str:
    """What a circuit feeds; with its panel where another feeds the same."""
    return part_words(graph.installation.circuits[circuit], graph.installation).removeprefix("Circuit: ")


def title_of_panel(graph: Graph, panel: str) -> str:
    """The enclosure's name on paper."""
    equipment = graph.installation.equipment.get(panel)
    return equipment.title if equipment is not None else "Start not known"


def _panel(title: str, circuits: list[Protection], cite: Cite) -> TableData:
    return table(
        f"Circuits at {title}",
        ["Circuit", "Wire", "Found today", ("Wire takes", True), ("Largest", True), "Breaker to put in", "Ground",
         "Worksheet lines"],
        circuits,
        lambda each: (
            each.title, each.wire, (each.found, device_found(each)), stated(each.ordinary_a, "A"), largest(each),
            proposed(each), each.ground.state, cite(each.worksheet, *_KEYS, place=each.title),
        ),
    )  # fmt: skip


def device_found(each: Protection) -> str:
    """The device that is there today: ``30 A plug fuse``."""
    if each.found_a is None:
        return each.found_kind or "device not read" if each.found != "new" else ""
    return f"{each.found_a:g} A {each.found_kind or 'device'}"


def largest(each: Protection) -> str:
    """The largest device, or that none may be chosen."""
    return stated(each.largest_a, "A") if each.largest_a is not None else "refused"


def proposed(each: Protection) -> str | tuple[str, str]:
    """The device to put in; beneath it the exception it rests on, or why there is none."""
    if each.refused:
        words, until = "new wire" if each.new_wire else "ask first", until_then(each)
        return (words, until) if until else words
    small = [each.exception.name] if each.exception and (each.largest_a or 0) > (each.ordinary_a or 0) else []
    small += [start_words(each)] if each.start is not None else []
    return (each.device.words, ", ".join(small)) if small else each.device.words


def start_words(each: Protection) -> str:
    """Whether the breaker to put in stays closed while its machine starts; "" where nothing starts on it."""
    told = {None: "", "holds": "rides the start", "may open": "may open at the start", "opens": "opens at the start"}
    return told[each.start]


def until_then(each: Protection) -> str:
    """What may protect the wire until it is renewed, or asked about; "" where nothing may."""
    return f"until then {each.until_then_a:g} A" if each.until_then_a is not None else ""


def _remarks(circuits: list[Protection], names: Mapping[str, str]) -> TableData:
    order = tuple(_MARKS)
    same: dict[tuple[Verdict, str, str], list[str]] = {}
    for each in circuits:
        for remark in each.remarks:
            same.setdefault((remark.verdict, remark.words, remark.section), []).append(names[each.circuit])
    items = sorted(same.items(), key=lambda item: order.index(item[0][0]))
    return table(
        "To mend, to ask and to know before these breakers are bought",
        ["", "Circuits", "What", "Section"],
        items,
        lambda item: (_MARKS[item[0][0]], "; ".join(dict.fromkeys(item[1])), item[0][1], item[0][2]),
    )


def protection_data(each: Protection) -> dict[str, Any]:
    """One circuit's protection as JSON-ready data."""
    return {
        "circuit": each.circuit,
        "title": each.title,
        "wire": each.wire,
        "poles": each.poles,
        "ampacity_a": each.ampacity_a,
        "ordinary_a": each.ordinary_a,
        "largest_a": each.largest_a,
        "least_a": each.least_a,
        "refused": each.refused,
        "new_wire": each.new_wire,
        "until_then_a": each.until_then_a,
        "device": {
            "kind": each.device.kind,
            "poles": each.device.poles,
            "rating_a": each.device.rating_a,
            "in_the_panel_a": each.device.in_the_panel_a,
        },
        "exception": {"name": each.exception.name, "section": each.exception.section} if each.exception else None,
        "found": {"verdict": each.found, "rating_a": each.found_a, "kind": each.found_kind, "words": each.found_words},
        "overload": each.overload,
        "start": each.start,
        "ground": {
            "state": each.ground.state,
            "serves": each.ground.serves,
            "least_size": each.ground.least_size,
            "receptacles": each.ground.receptacles,
            "panel": each.ground.panel,
            "section": each.ground.section,
        },
        "remarks": [{"verdict": r.verdict.value, "words": r.words, "section": r.section} for r in each.remarks],
        "worksheet": worksheet_data(each.worksheet),
        "assumptions": [assumption_data(a) for a in each.assumptions],
    }
