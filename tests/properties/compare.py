"""What a plan says, without the order in which it says it, and how safe each answer is."""

from __future__ import annotations

from collections import Counter
from typing import Any

from driploop.installation import rank
from driploop.loads import NodeLoad
from driploop.planning import Plan
from driploop.rules import Readings
from driploop.worksheet import Verdict

Facts = dict[str, Any]


def rounded(number: float | None) -> float | None:
    """Sums in another order differ in the last digits."""
    return None if number is None else round(number, 3)


def facts_of(readings: Readings, findings: Any) -> Facts:
    """Every number, size, verdict and finding of one installation, as sets and mappings."""
    grounding = readings.grounding
    return {
        "roles": dict(readings.graph.roles),
        "loads": {id: _load(node) for id, node in readings.loads.nodes.items()},
        "buildings": {id: _load(node) for id, node in readings.loads.buildings.items()},
        "runs": {
            id: (
                s.kind, rounded(s.load_a), s.ocpd_a, s.line_size, s.metal, s.insulation, s.sets, rounded(s.ampacity_a),
                s.basis, s.neutral_size, s.egc_size, s.wires, s.raceway and s.raceway.trade_size, s.adequate,
                frozenset(s.faults),
            )
            for id, s in readings.conductors.runs.items()
        },
        "bonds": {id: (b.required, b.found) for id, b in grounding.bonds.items()},
        "wires": {id: (w.needed, w.found, w.may_stay) for id, w in grounding.wires.items()},
        "jumpers": Counter((j.id, j.kind, j.where, j.size, j.metal) for j in grounding.jumpers),
        "systems": {
            id: (
                s.required, s.lands_at, s.needs_second_electrode,
                frozenset((c.electrode, c.lands_at, c.required_copper, c.adequate) for c in s.conductors),
            )
            for id, s in grounding.systems.items()
        },
        "labels": Counter((label.id, label.equipment) for label in readings.labels),
        "findings": Counter((f.rule, f.verdict, f.where) for f in findings),
    }  # fmt: skip


def _load(node: NodeLoad) -> tuple[Any, ...]:
    results = frozenset((r.method, r.permitted, rounded(r.load_va)) for r in node.results)
    amperes = (node.conductor_current_a, node.neutral.current_a)
    return (node.governing.method, rounded(node.load_va), *map(rounded, amperes), results)


def demands_of(plan: Plan) -> dict[tuple[str, str], float]:
    """What the final installation asks for, each as a number that is larger where more is asked."""
    final = plan.final
    asked: dict[tuple[str, str], float] = {}
    for id, node in final.loads.nodes.items():
        asked |= {("load", id): node.current_a, ("conductor", id): node.conductor_current_a}
        asked["neutral", id] = node.neutral.current_a
    for id, sizing in final.conductors.runs.items():
        if sizing.kind == "utility" or sizing.kept:
            continue
        metal = str(sizing.metal)
        # A line that no conductor of the tables serves asks for more than any.
        asked[f"line {metal}", id] = rank(sizing.line_size) if sizing.line_size else 1000
        if sizing.neutral_size or not sizing.line_size:
            asked[f"neutral {metal}", id] = rank(sizing.neutral_size) if sizing.neutral_size else 1000
        if sizing.egc_size and sizing.egc_metal:
            asked[f"ground {sizing.egc_metal}", id] = rank(sizing.egc_size)
    for jumper in final.grounding.jumpers:
        asked[f"jumper {jumper.metal}", jumper.id] = rank(jumper.size)
    for system in final.grounding.systems.values():
        for conductor in system.conductors:
            asked["electrode conductor", conductor.electrode] = rank(conductor.required_copper)
    return asked


def doubts_of(plan: Plan) -> dict[tuple[str, str], int]:
    """What the final installation is trusted with: 0 shown to serve, 1 open, 2 must be mended."""
    final = plan.final
    trust = {True: 0, None: 1, False: 2}
    doubts = {("run", id): trust[s.adequate] for id, s in final.conductors.runs.items() if s.kind != "utility"}
    doubts |= {("wires", id): 0 if w.may_stay else 2 for id, w in final.grounding.wires.items()}
    for id, system in final.grounding.systems.items():
        second = system.needs_second_electrode
        doubts["second electrode", id] = trust[None if second is None else not second]
        for conductor in system.conductors:
            doubts["electrode conductor", conductor.electrode] = trust[conductor.adequate]
    return doubts


def raised_at(plan: Plan, table: str, id: str) -> set[Verdict]:
    """What the findings of the final installation say of one part: to be mended, to be asked."""
    findings = plan.proposed_findings if plan.proposed else plan.found_findings
    place = f"{table}.{id}"
    here = (f for f in findings if f.where == place or f.where.startswith(f"{place}."))
    return {f.verdict for f in here if f.verdict is not Verdict.KNOW}
