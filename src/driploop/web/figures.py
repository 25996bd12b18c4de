"""The key figure of each reading, one a link. They are picked from the plan, never worked out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from driploop.worksheet import Verdict

if TYPE_CHECKING:
    from driploop.planning import Plan


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
    findings = plan.proposed_findings if readings is plan.proposed else plan.found_findings
    mend = sum(finding.verdict is Verdict.MEND for finding in findings)
    nodes = list(readings.loads.nodes.values())
    runs = readings.conductors.runs.values()
    failing = sum(bool(run.faults) for run in runs)
    bonded = [id for id, bond in readings.grounding.bonds.items() if bond.required == "bonded"]
    here = f"?state={state}"
    figures = [
        Figure(f"readings{here}#load", "Load", f"{nodes[0].current_a:.0f} A" if nodes else "no equipment yet"),
        Figure(f"readings{here}#conductors", "Conductors",
               f"{failing} of {len(runs)} do not serve" if failing else f"{len(runs)} runs", bad=failing > 0),
        Figure(f"readings{here}#grounding", "Bonding and grounding",
               f"bond at {', '.join(bonded)}" if bonded else f"{len(readings.grounding.systems)} electrode systems"),
        Figure("circuits", "Circuits", f"{len(readings.installation.circuits)}"),
        Figure("panel", "Panel", f"{sum(e.kind == 'panel' for e in readings.installation.equipment.values())} panels"),
        Figure(f"findings{here}", "Findings", f"{mend} must be mended", bad=mend > 0),
        Figure("papers", "Papers", "packet and job file"),
    ]  # fmt: skip
    if plan.headroom is not None and readings is plan.found:
        figures.insert(1, Figure(f"readings{here}#headroom", "Room left", f"{plan.headroom.margin_a:.0f} A",
                                 bad=plan.headroom.margin_a < 0))  # fmt: skip
    return tuple(figures)
