"""Schedules of one installation's readings: loads, conductors, bonding, grounding. Every figure cites a line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable

from driploop.circuits.motor_feeders import MotorFeeder
from driploop.conductors.results import RunSizing
from driploop.documents.found import title_of
from driploop.documents.places import part_words, place_words
from driploop.documents.tables import TableData, known, stated, table
from driploop.documents.text import NOTHING, amperes
from driploop.grounding.results import ElectrodeConductor
from driploop.installation import Run
from driploop.loads.results import LoadResult, NodeLoad
from driploop.rules import Readings
from driploop.worksheet import plain

#: A register's ``cite`` for one state of the installation: worksheet, keys of lines, ``place=`` -> reference.
Cite = Callable[..., str]


def equipment_title(readings: Readings, id: str | None) -> str:
    """A piece of equipment's name on paper."""
    found = readings.installation.equipment.get(id or "")
    return found.title if found else stated(id)


def load_table(readings: Readings, cite: Cite) -> TableData:
    """The governing load of every enclosure."""
    nodes = list(readings.loads.nodes.values())

    def row(n: NodeLoad) -> tuple[str, ...]:
        place = equipment_title(readings, n.equipment)
        sheets = (*_load_sheets(n, cite, place), cite(n.neutral.worksheet, "total", place=place))
        return (
            place, n.governing.title,
            known(round(n.governing.load_va), "VA") if n.governing.load_va is not None else "not computed",
            amperes(n.governing.current_a), amperes(n.conductor_current_a), amperes(n.neutral.current_a),
            "; ".join(sheet for sheet in sheets if sheet),
        )  # fmt: skip

    voltages = " or ".join(dict.fromkeys(f"{plain(n.voltage_v)} V" for n in nodes))
    return table(
        "Calculated load of each enclosure",
        ["Enclosure", "Governing method", ("Load", True), ("Current", True), ("Conductors carry", True),
         ("Neutral", True), "Worksheet lines"],
        nodes,
        row,
        note="Each permitted method is lawful by itself; the smallest permitted one governs. Worksheet lines: load, "
        f"current, what conductors carry; neutral. Currents at {voltages}.",
    )  # fmt: skip


def _load_sheets(node: NodeLoad, cite: Cite, place: str) -> tuple[str, ...]:
    """The lines of load, current and what conductors carry: all in the method's own worksheet where it holds them."""
    sheet, carried = node.governing.worksheet, "conductor_current"
    there = {line.key: line.result.value for line in sheet.lines}
    if there.get(carried) == {line.key: line.result.value for line in node.worksheet.lines}.get(carried):
        return (cite(sheet, "total", "current", carried, place=place),)
    return cite(sheet, "total", "current", place=place), cite(node.worksheet, carried, place=place)


def method_table(readings: Readings, cite: Cite) -> TableData:
    """Every method that applies, side by side, for each building by itself and each enclosure; the same words once."""
    same: dict[tuple[str, ...], list[str]] = defaultdict(list)
    by_itself = [
        (f"{title_of(readings.installation, id)} by itself", node) for id, node in readings.loads.buildings.items()
    ]
    enclosures = [(equipment_title(readings, node.equipment), node) for node in readings.loads.nodes.values()]
    for place, node in (*by_itself, *enclosures):
        for result in node.results:
            same[_method_words(node, result, cite(result.worksheet, "current", place=place))].append(place)
    return table(
        "Every method that applies",
        ["Building or enclosure", "Method", "Section", ("Current", True), "Standing", "Why", "Sheet"],
        same.items(),
        lambda item: ("; ".join(dict.fromkeys(item[1])), *item[0]),
    )


def _method_words(node: NodeLoad, result: LoadResult, sheet: str) -> tuple[str, ...]:
    standing = {"yes": "permitted", "no": "not permitted", "ask": "ask"}[result.permitted]
    return (
        result.title, result.section, amperes(result.current_a), "governs" if result is node.governing else standing,
        result.why, sheet,
    )  # fmt: skip


def conductor_table(readings: Readings, cite: Cite) -> TableData:
    """One row a run: load, device, conductors, verdict."""

    def row(id: str) -> tuple[str | tuple[str, str], ...]:
        sizing, run = readings.conductors.runs[id], readings.installation.runs[id]
        ends = f"{equipment_title(readings, run.from_)} → {equipment_title(readings, run.to)}"
        return (
            (run.title, ends),
            _load_of(sizing),
            stated(sizing.ocpd_a, "A"),
            lines_of(sizing),
            stated(sizing.neutral_size),
            stated(sizing.egc_size) if sizing.kind == "feeder" else NOTHING,
            amperes(sizing.ampacity_a),
            stated(run.method),
            _standing(sizing),
            cite(
                sizing.worksheet, "load", "device", "line_size", "neutral_size", "egc_size", "ampacity",
                place=run.title,
            ),
        )  # fmt: skip

    return table(
        "Conductor schedule",
        ["Run", ("Load", True), ("Device", True), "Lines", "Neutral", "Ground", ("Ampacity", True), "Method",
         "Standing", "Worksheet lines"],
        list(readings.conductors.runs),
        row,
        note="Worksheet lines: load, device, lines, neutral, ground; the ampacity stands above the lines.",
    )  # fmt: skip


def _load_of(sizing: RunSizing) -> str:
    """The load as the worksheet's own line has it, so that schedule and line cannot part."""
    value = next((line.result.value for line in sizing.worksheet.lines if line.key == "load"), None)
    return amperes(value) if isinstance(value, int | float) else stated(value)


def lines_of(sizing: RunSizing) -> str:
    """The line conductors of a run in words, its sets told: ``2 × 4/0 AWG aluminum XHHW-2``."""
    size = sizing.line_size or "size not known"
    sets = f"{sizing.sets} ×" if sizing.sets > 1 else ""
    return " ".join(word for word in (sets, size, sizing.metal, sizing.insulation) if word)


def _standing(sizing: RunSizing) -> str:
    if sizing.kind == "utility":
        return "utility's"
    if not sizing.kept:
        return f"new {sizing.kind}"
    return {True: "stays", False: "falls short", None: "open question"}[sizing.adequate]


def motor_feeder_table(readings: Readings, cite: Cite) -> TableData:
    """One row a feeder of several motors: what its wire must carry, and the largest device by its motors."""
    runs = readings.installation.runs

    def row(each: MotorFeeder) -> tuple[str, ...]:
        loads = readings.installation.loads
        return (
            runs[each.run].title,
            "; ".join([*dict.fromkeys(loads[id].title for id in each.motors), *each.unread]),
            amperes(round(each.carry.number, 2)),
            amperes(each.most.number) if each.most is not None else NOTHING,
            stated(each.device_a, "A"),
            {True: "too large", False: "within", None: "ask"}[each.device_too_large] if each.device_a else NOTHING,
            cite(each.worksheet, "carry", "most_device", place=runs[each.run].title),
        )  # fmt: skip

    return table(
        "Feeders of several motors",
        ["Feeder", "Motors", ("Wire carries", True), ("Largest device", True), ("Device", True), "Standing",
         "Worksheet lines"],
        list(readings.motor_feeders.values()),
        row,
        note="Wire: the largest motor raised, the others and other load in full. Device: the largest motor's own, the "
        "others in full, rounded down; a larger one may be chosen by the wire's own ampacity.",
    )  # fmt: skip


def raceway_table(readings: Readings, cite: Cite) -> TableData:
    """One row a run in a raceway: trade size and how full it is."""
    runs = readings.installation.runs

    def row(sizing: RunSizing) -> tuple[str, ...]:
        assert sizing.raceway is not None
        r, run = sizing.raceway, runs[sizing.run]
        return (
            run.title, r.raceway, f"{r.trade_size} in", known(round(r.fill_percent, 1), "%"),
            known(round(r.allowed_percent, 1), "%"),
            cite(r.worksheet, "raceway", "fill", "allowed", place=run.title),
        )  # fmt: skip

    return table(
        "Raceway schedule",
        ["Run", "Raceway", ("Trade size", True), ("Fill", True), ("Allowed", True), "Worksheet lines"],
        [sizing for sizing in readings.conductors.runs.values() if sizing.raceway is not None],
        row,
        note="Worksheet lines: trade size, fill, allowed fill.",
    )


def fault_table(readings: Readings) -> TableData:
    """In which way kept conductors fall short."""
    runs: dict[str, Run] = readings.installation.runs
    return table(
        "Where conductors fall short",
        ["Run", "What"],
        [(id, "; ".join(sizing.faults)) for id, sizing in readings.conductors.runs.items() if sizing.faults],
        lambda pair: (runs[pair[0]].title, pair[1]),
    )


def neutral_table(readings: Readings) -> TableData:
    """Where the neutral is bonded and where it is kept apart."""
    return table(
        "Neutral at each enclosure",
        ["Enclosure", "Must be", "Found", "Why", "Section"],
        [b for b in readings.grounding.bonds.values() if b.required != "no neutral"],
        lambda b: (
            equipment_title(readings, b.equipment), b.required,
            {True: "bonded", False: "isolated", None: "not known"}[b.found] if not readings.proposed else NOTHING,
            b.why, b.section,
        ),
    )  # fmt: skip


def wire_table(readings: Readings) -> TableData:
    """How many wires each run has and needs."""
    return table(
        "Wires of each run",
        ["Run", ("Needs", True), ("Has", True), "Why", "Section"],
        readings.grounding.wires.values(),
        lambda w: (readings.installation.runs[w.run].title, str(w.needed), stated(w.found), w.why, w.section),
    )


def jumper_table(readings: Readings, cite: Cite) -> TableData:
    """Every bonding jumper and bonding conductor."""
    sheets = {sheet.id: sheet for sheet in readings.grounding.worksheets}
    return table(
        "Bonding jumpers and bonding conductors",
        ["Jumper", "Where", "Size", "Or", "Why", "Section", "Sheet"],
        readings.grounding.jumpers,
        lambda j: (
            j.kind, (where := place_words(j.where, readings.installation)), f"{j.size} {j.metal}",
            stated(j.other_metal_size), j.why, j.section,
            cite(sheets[j.worksheet], j.key, place=where) if j.worksheet in sheets else "",
        ),
    )  # fmt: skip


def system_table(readings: Readings) -> TableData:
    """The electrode system of each building."""
    electrodes = readings.installation.electrodes
    return table(
        "Electrode systems",
        ["At", "Lands at", "Electrodes", "Second electrode", "Why", "Section"],
        readings.grounding.systems.values(),
        lambda s: (
            title_of(readings.installation, s.building), equipment_title(readings, s.lands_at),
            ", ".join(electrodes[e].title for e in s.electrodes) or "none present",
            {True: "needed", False: "no", None: "not known"}[s.needs_second_electrode] if s.required else NOTHING,
            s.why, s.section,
        ),
    )  # fmt: skip


def electrode_conductor_table(readings: Readings, cite: Cite) -> TableData:
    """The conductor to each electrode: least size, and what is there."""
    systems = readings.grounding.systems.values()
    sheets = {sheet.id: sheet for sheet in readings.grounding.worksheets} | {
        s.worksheet.id: s.worksheet for s in systems
    }

    def row(c: ElectrodeConductor) -> tuple[str, ...]:
        electrode = readings.installation.electrodes.get(c.electrode)
        sheet = sheets.get(c.worksheet)
        return (
            part_words(electrode, readings.installation) if electrode else c.electrode,
            equipment_title(readings, c.lands_at), c.required_copper, c.required_aluminum or "copper only",
            f"{c.found_size} {c.found_metal or ''}".strip() if c.found_size else NOTHING,
            c.why, c.section, cite(sheet, c.key, f"{c.key} aluminum") if sheet else "",
        )  # fmt: skip

    return table(
        "Grounding electrode conductors",
        ["Electrode", "Lands at", "Copper", "Aluminum", "Is there", "Why", "Section", "Sheet"],
        [c for s in systems for c in s.conductors],
        row,
    )
