"""Readings for drawings: an installation with what each stage would say, so that only the drawing is tested."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from driploop.conductors.results import ConductorReading, RunKind, RunSizing
from driploop.editions import load_edition
from driploop.grounding.results import (
    ElectrodeConductor,
    ElectrodeSystem,
    GroundingReading,
    Jumper,
    NeutralBond,
    WireCount,
)
from driploop.installation import Building, Circuit, Electrode, Equipment, Graph, Installation, Job, Run, Utility
from driploop.loads.results import LoadReading
from driploop.rules.readings import Readings
from driploop.worksheet import Worksheet

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
EXAMPLE_NAMES = ("orchard", "bungalow", "two-family", "goat-dairy")


def readings_of(installation: Installation, *, found: Installation | None = None) -> Readings:
    """Readings in which every stage answers what the installation itself says."""
    graph = Graph(installation)
    return Readings(
        job=Job(found=found or installation), edition=load_edition("NEC 2023"), installation=installation, graph=graph,
        loads=LoadReading({}), conductors=ConductorReading({run.id: _sizing(graph, run) for run in _runs(graph)}),
        grounding=_grounding(graph), found=found,
    )  # fmt: skip


def example(name: str) -> Readings:
    """Readings of one of the example jobs as found."""
    job = tomllib.loads((EXAMPLES / f"{name}.toml").read_text(encoding="utf-8"))
    known = {
        kind: job.get(kind, {}) for kind in ("buildings", "equipment", "runs", "circuits", "electrodes", "utility")
    }
    return readings_of(installation(site_kind=job["site"]["kind"], **known))


def _runs(graph: Graph) -> list[Run]:
    return list(graph.installation.runs.values())


def _sizing(graph: Graph, run: Run) -> RunSizing:
    kind: RunKind = "utility" if run.owner == "utility" else "service" if graph.is_service_run(run) else "feeder"
    return RunSizing(
        run=run.id, kind=kind, load_a=None, ocpd_a=run.ocpd_a, line_size=run.line_size, metal=run.metal,
        insulation=run.insulation, sets=run.sets, ampacity_a=None, basis="as found", neutral_size=run.neutral_size,
        neutral_insulated=run.neutral_insulated, egc_size=run.egc_size, egc_metal=run.egc_metal, wires=run.wires,
        raceway=None, kept=not run.is_new, adequate=None, faults=(), worksheet=Worksheet(f"conductor/{run.id}", run.id),
    )  # fmt: skip


def _grounding(graph: Graph) -> GroundingReading:
    upstream = ("service disconnect", "not a disconnect", "emergency disconnect", "meter disconnect")
    bonds = {
        id: NeutralBond(
            id, "bonded" if role in upstream else "isolated", graph.equipment(id).neutral_bonded, "why", "250.24"
        )
        for id, role in graph.roles.items()
    }
    wires = {
        run.id: WireCount(run.id, 3 if graph.is_service_run(run) else 4, run.wires, False, "why", "250.32")
        for run in _runs(graph)
    }
    systems = {id: system for id in graph.installation.buildings if (system := _system(graph, id)) is not None}
    return GroundingReading(bonds, wires, tuple(_jumpers(graph)), systems, ())


def _system(graph: Graph, building: str) -> ElectrodeSystem | None:
    electrodes = [e for e in graph.installation.electrodes.values() if e.building == building]
    if not electrodes:
        return None
    lands = next((e.conductor_to for e in electrodes if e.conductor_to), None)
    conductors = tuple(
        ElectrodeConductor(
            e.id, e.conductor_to or "", "4 AWG", None, e.conductor_size, e.conductor_metal, None, "why", "250.66",
            f"grounding/electrodes/{building}", e.id,
        )
        for e in electrodes if e.conductor_to
    )  # fmt: skip
    return ElectrodeSystem(
        building, True, lands, tuple(e.id for e in electrodes), conductors, None, "why", "250.50",
        Worksheet(f"grounding/electrodes/{building}", building),
    )  # fmt: skip


def _jumpers(graph: Graph) -> list[Jumper]:
    main = [
        Jumper(
            f"main-{id}", "main bonding jumper", id, "4 AWG", "copper", "250.28", "why", f"grounding/main/{id}", "size"
        )
        for id in graph.service_disconnects
    ]
    first = graph.service_disconnects[:1]
    more = [
        Jumper(f"{kind}-{id}", kind, id, "6 AWG", "copper", "250.104", "why", f"grounding/x/{id}", "size")
        for id in first
        for kind in ("water piping bond", "intersystem bonding conductor", "supply-side bonding jumper")
    ]
    return main + more


def installation(**parts: Any) -> Installation:
    """An installation from plain tables by id, as a job file writes them."""
    kinds: dict[str, Any] = {
        "buildings": Building, "equipment": Equipment, "runs": Run, "circuits": Circuit, "electrodes": Electrode,
    }  # fmt: skip
    made: dict[str, Any] = {
        kind: {id: kinds[kind](id=id, **fields) for id, fields in parts.pop(kind, {}).items()} for kind in kinds
    }
    return Installation(utility=Utility(**parts.pop("utility", {})), **made, **parts)
