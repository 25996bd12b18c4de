"""Schedules of one installation's readings: loads, conductors, bonding, grounding. Every figure cites a line."""

from __future__ import annotations

from collections.abc import Mapping

from driploop.documents.found import title_of
from driploop.documents.tables import TableData, known, stated, table
from driploop.grounding.results import ElectrodeConductor
from driploop.loads.results import LoadResult, NodeLoad
from driploop.rules import Readings
from driploop.worksheet import Worksheet, plain

#: Worksheet id -> its number on paper, for one state of the installation.
Numbers = Mapping[str, str]


def cite(
    numbers: Numbers, worksheet: Worksheet | str, key: str = "", sheets: Mapping[str, Worksheet] | None = None
) -> str:
    """The place of a figure: ``P7.3`` for line 3 of worksheet P7, ``P7`` for all of it, "" where it is not kept."""
    id = worksheet if isinstance(worksheet, str) else worksheet.id
    number = numbers.get(id, "")
    sheet = (sheets or {}).get(id) if isinstance(worksheet, str) else worksheet
    if not number or not key or sheet is None or not any(line.key == key for line in sheet.lines):
        return number
    return f"{number}.{sheet.number_of(key)}"


def equipment_title(readings: Readings, id: str | None) -> str:
    """A piece of equipment's name on paper."""
    found = readings.installation.equipment.get(id or "")
    return found.title if found else stated(id)


def load_tables(readings: Readings, numbers: Numbers, nodes: tuple[str, ...] | None = None) -> tuple[TableData, ...]:
    """The governing load of every enclosure, and every method side by side."""
    ids = tuple(readings.loads.nodes) if nodes is None else nodes
    chosen = [readings.loads.nodes[id] for id in ids if id in readings.loads.nodes]
    return _governing(readings, chosen, numbers), _methods(readings, chosen, numbers)


def _governing(readings: Readings, nodes: list[NodeLoad], numbers: Numbers) -> TableData:
    return table(
        "Calculated load of each enclosure",
        ["Enclosure", "Governing method", ("Load", True), ("Current", True),
         ("Conductors carry", True), ("Neutral", True), "Worksheets"],
        nodes,
        lambda n: (
            equipment_title(readings, n.equipment),
            n.governing.title,
            known(round(n.governing.load_va), "VA") if n.governing.load_va is not None else "not computed",
            amperes(n.governing.current_a),
            amperes(n.conductor_current_a),
            amperes(n.neutral.current_a),
            ", ".join(
                dict.fromkeys(
                    c
                    for c in (cite(numbers, s) for s in (n.governing.worksheet, n.worksheet, n.neutral.worksheet))
                    if c
                )
            ),
        ),
        note="Each permitted method is lawful by itself; the smallest permitted one governs. Currents at "
        + f"{plain(nodes[0].voltage_v)} V." if nodes else "",
    )  # fmt: skip


def _methods(readings: Readings, nodes: list[NodeLoad], numbers: Numbers) -> TableData:
    pairs = [(node, result) for node in nodes for result in node.results]

    def row(pair: tuple[NodeLoad, LoadResult]) -> tuple[str, ...]:
        node, result = pair
        mark = (
            "governs"
            if result is node.governing
            else {"yes": "permitted", "no": "not permitted", "ask": "ask"}[result.permitted]
        )
        return (
            equipment_title(readings, node.equipment), result.title, result.section, amperes(result.current_a),
            mark, result.why, cite(numbers, result.worksheet),
        )  # fmt: skip

    return table(
        "Every method that applies",
        ["Enclosure", "Method", "Section", ("Current", True), "Standing",
         "Why", "Sheet"],
        pairs,
        row,
    )  # fmt: skip


def amperes(current_a: float | None) -> str:
    """A current as the code rounds it: to the whole ampere. "–" where there is none."""
    return "–" if current_a is None else f"{int(current_a + 0.5):,} A"


def conductor_table(readings: Readings, numbers: Numbers) -> TableData:
    """One row a run: load, device, conductors, raceway, verdict."""
    runs = readings.installation.runs

    def row(id: str) -> tuple[str, ...]:
        sizing = readings.conductors.runs[id]
        run = runs[id]
        sheet = sizing.worksheet
        line = " ".join(
            word
            for word in (
                f"{sizing.sets} ×" if sizing.sets > 1 else "",
                sizing.line_size or "size not known", sizing.metal, sizing.insulation,
            )
            if word
        )  # fmt: skip
        return (
            f"{run.title}: {equipment_title(readings, run.from_)} → {equipment_title(readings, run.to)}",
            sizing.kind,
            amperes(sizing.load_a),
            stated(sizing.ocpd_a, "A"),
            line,
            stated(sizing.neutral_size),
            stated(sizing.egc_size) if sizing.kind == "feeder" else "–",
            amperes(sizing.ampacity_a),
            f"{sizing.raceway.raceway} {sizing.raceway.trade_size} in" if sizing.raceway else stated(run.method),
            _standing(sizing.kept, sizing.adequate, sizing.kind),
            cite(numbers, sheet, "line_size"),
        )

    return table(
        "Conductor schedule",
        ["Run", "Kind", ("Load", True), ("Device", True), "Lines", "Neutral",
         "Ground", ("Ampacity", True), "Method", "Standing", "Sheet"],
        list(readings.conductors.runs),
        row,
    )  # fmt: skip


def _standing(kept: bool, adequate: bool | None, kind: str) -> str:
    if kind == "utility":
        return "utility's"
    if not kept:
        return "new"
    return {True: "stays", False: "falls short", None: "open question"}[adequate]


def fault_table(readings: Readings) -> TableData:
    """In which way kept conductors fall short."""
    pairs = [(id, fault) for id, sizing in readings.conductors.runs.items() for fault in sizing.faults]
    return table(
        "Where conductors fall short",
        ["Run", "What"],
        pairs,
        lambda pair: (readings.installation.runs[pair[0]].title, pair[1]),
    )


def bonding_tables(readings: Readings, numbers: Numbers) -> tuple[TableData, ...]:
    """Where the neutral is bonded, how many wires each run has, every jumper."""
    grounding = readings.grounding
    sheets = {sheet.id: sheet for sheet in grounding.worksheets}
    bonds = table(
        "Neutral at each enclosure",
        ["Enclosure", "Must be", "Found", "Why", "Section"],
        [b for b in grounding.bonds.values() if b.required != "no neutral"],
        lambda b: (
            equipment_title(readings, b.equipment), b.required,
            {True: "bonded", False: "isolated", None: "not known"}[b.found] if not readings.proposed else "–",
            b.why, b.section,
        ),
    )  # fmt: skip
    wires = table(
        "Wires of each run",
        ["Run", ("Needs", True), ("Has", True), "Why", "Section"],
        grounding.wires.values(),
        lambda w: (readings.installation.runs[w.run].title, str(w.needed), stated(w.found), w.why, w.section),
    )
    jumpers = table(
        "Bonding jumpers and bonding conductors",
        ["Jumper", "Where", "Size", "Or", "Why", "Section", "Sheet"],
        grounding.jumpers,
        lambda j: (
            j.kind, _where(readings, j.where), f"{j.size} {j.metal}", stated(j.other_metal_size), j.why, j.section,
            cite(numbers, j.worksheet, j.key, sheets),
        ),
    )  # fmt: skip
    return bonds, wires, jumpers


def _where(readings: Readings, where: str) -> str:
    installation = readings.installation
    kind, _, id = where.rpartition(".")
    for parts in (installation.equipment, installation.runs, installation.buildings, installation.bonds):
        if id in parts and (not kind or parts is getattr(installation, kind, None)):
            return parts[id].title
    return where


def electrode_tables(readings: Readings, numbers: Numbers) -> tuple[TableData, ...]:
    """The electrode system of each building, and each electrode's conductor."""
    grounding = readings.grounding
    sheets = {sheet.id: sheet for sheet in grounding.worksheets}
    sheets |= {system.worksheet.id: system.worksheet for system in grounding.systems.values()}
    systems = table(
        "Electrode systems",
        ["At", "Lands at", "Electrodes", "Second electrode", "Why", "Section"],
        grounding.systems.values(),
        lambda s: (
            title_of(readings.installation, s.building), equipment_title(readings, s.lands_at),
            ", ".join(readings.installation.electrodes[e].title for e in s.electrodes) or "none present",
            {True: "needed", False: "no", None: "not known"}[s.needs_second_electrode] if s.required else "–",
            s.why, s.section,
        ),
    )  # fmt: skip

    def row(c: ElectrodeConductor) -> tuple[str, ...]:
        return (
            readings.installation.electrodes[c.electrode].title if c.electrode in readings.installation.electrodes
            else c.electrode,
            equipment_title(readings, c.lands_at), c.required_copper, c.required_aluminum or "copper only",
            f"{c.found_size} {c.found_metal or ''}".strip() if c.found_size else "–",
            c.why, c.section, cite(numbers, c.worksheet, c.key, sheets),
        )  # fmt: skip

    conductors = table(
        "Grounding electrode conductors",
        ["Electrode", "Lands at", "Copper", "Aluminum", "Is there", "Why",
         "Section", "Sheet"],
        [c for s in grounding.systems.values() for c in s.conductors],
        row,
    )  # fmt: skip
    return systems, conductors
