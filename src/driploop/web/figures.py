"""The key figure of each reading, one a link. They are picked from the plan, never worked out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from driploop.worksheet import Verdict

if TYPE_CHECKING:
    from driploop.planning import Plan
    from driploop.rules import Readings


@dataclass(frozen=True, slots=True)
class Figure:
    """A reading: the screen it opens, what it is called, its key figure, and whether that needs mending."""

    address: str
    title: str
    figure: str
    bad: bool = False


def figures_of(plan: Plan, state: str) -> tuple[Figure, ...]:
    """The readings of one state of the installation, in the order of the work."""
    readings = plan.proposed if state == "proposed" and plan.proposed is not None else plan.found
    here = f"?state={state}"
    return (
        *_loads(plan, readings, here),
        _conductors(readings, here),
        _grounding(readings, here),
        _circuits(readings, here),
        _panels(readings, here),
        _electrical(readings, here),
        *_outdoors(readings, here),
        _findings(plan, readings, here),
        Figure("papers", "Papers", "packet, labels, drawings, data"),
    )


def _loads(plan: Plan, readings: Readings, here: str) -> tuple[Figure, ...]:
    nodes = list(readings.loads.nodes.values())
    words = f"{nodes[0].current_a:.0f} A {nodes[0].governing.method}" if nodes else "no equipment yet"
    load = Figure(f"readings/load{here}", "Load", words)
    if plan.headroom is None or readings is not plan.found:
        return (load,)
    left = plan.headroom.margin_a
    room = f"{left:.0f} A of {plan.headroom.rating_a:g} A" if left >= 0 else f"{-left:.1f} A too little"
    return load, Figure(f"readings/load{here}#headroom", "Room left", room, bad=left < 0)


def _conductors(readings: Readings, here: str) -> Figure:
    runs = readings.conductors.runs.values()
    failing = sum(bool(run.faults) for run in runs)
    words = f"{failing} of {len(runs)} fall short" if failing else f"{len(runs)} runs, none falls short"
    return Figure(f"readings/conductors{here}", "Conductors and raceways", words, bad=failing > 0)


def _grounding(readings: Readings, here: str) -> Figure:
    installation = readings.installation
    bonded = [id for id, bond in readings.grounding.bonds.items() if bond.required == "bonded"]
    apart = sum(bond.found is not None and bond.found != (bond.required == "bonded")
                for bond in readings.grounding.bonds.values() if bond.required != "no neutral")  # fmt: skip
    if not bonded:
        return Figure(f"readings/grounding{here}", "Bonding and grounding", "no service equipment yet")
    first = installation.equipment[bonded[0]].title if bonded[0] in installation.equipment else bonded[0]
    words = f"bond at {first}" + (f" and {len(bonded) - 1} more" if len(bonded) > 1 else "")
    wrong = apart > 0 and not readings.proposed
    return Figure(f"readings/grounding{here}", "Bonding and grounding", words, bad=wrong)


def _circuits(readings: Readings, here: str) -> Figure:
    count = len(readings.installation.circuits)
    return Figure(f"circuits{here}", "Circuits", f"{count} {'circuit' if count == 1 else 'circuits'}")


def _panels(readings: Readings, here: str) -> Figure:
    count = sum(each.kind == "panel" for each in readings.installation.equipment.values())
    return Figure(f"panel{here}", "Panels", f"{count} {'panel' if count == 1 else 'panels'}")


def _electrical(readings: Readings, here: str) -> Figure:
    return Figure(f"readings/voltages{here}", "Voltages and faults",
                  "at every enclosure" if readings.loads.nodes else "no equipment yet")  # fmt: skip


def _outdoors(readings: Readings, here: str) -> tuple[Figure, ...]:
    rods = len(readings.installation.electrodes)
    spans = sum(run.overhead is True for run in readings.installation.runs.values())
    return (
        Figure(f"readings/electrodes{here}", "Electrodes in the soil",
               f"{rods} {'electrode' if rods == 1 else 'electrodes'}"),
        Figure(f"readings/drop{here}", "Overhead drop", f"{spans} overhead {'run' if spans == 1 else 'runs'}"),
    )  # fmt: skip


def _findings(plan: Plan, readings: Readings, here: str) -> Figure:
    findings = plan.proposed_findings if readings is plan.proposed else plan.found_findings
    mend = sum(finding.verdict is Verdict.MEND for finding in findings)
    return Figure(f"findings{here}", "Findings", f"{mend} must be mended", bad=mend > 0)
