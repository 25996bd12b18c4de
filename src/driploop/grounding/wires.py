"""Three or four wires on every run: ahead of the service disconnect the neutral grounds, after it never."""

from __future__ import annotations

from driploop.conductors.results import ConductorReading
from driploop.editions import Edition
from driploop.grounding.agricultural import agricultural_scope
from driploop.grounding.results import WireCount
from driploop.grounding.separate_building import ThreeWireAnswer, neutral_ampacity, three_wire_feeder
from driploop.grounding.sites import enters_building, is_supply_side
from driploop.installation import Graph
from driploop.installation.model import Run
from driploop.loads.results import LoadReading
from driploop.worksheet import Assumption

#: Metal raceways that serve as the equipment ground by themselves. Flexible ones do so only when short; not counted.
_GROUNDING_RACEWAYS = frozenset({"EMT", "IMC", "RMC"})


def wire_counts(
    graph: Graph,
    loads: LoadReading,
    conductors: ConductorReading,
    *,
    found: Graph | None = None,
    edition: Edition,
) -> tuple[dict[str, WireCount], tuple[Assumption, ...]]:
    """How many wires each run needs and has.

    ``needed`` is what new work takes. ``may_stay`` says that the run as it is may go on: it has what is needed, or it
    is an old three-wire building feeder whose exception is shown, condition by condition. The wires of a metal raceway
    that serves as the equipment ground are counted with it.

    Args:
        graph: the installation.
        loads: its calculated loads, for the neutral.
        conductors: its conductors.
        found: the installation before the change; a service conductor of then is no existing feeder now.
        edition: the code edition to ask.

    Returns:
        The counts by run id, and what was assumed.
    """
    counts: dict[str, WireCount] = {}
    asked: list[Assumption] = []
    for run in graph.installation.runs.values():
        count, assumed = _count(graph, run, loads, conductors, found, edition)
        counts[run.id] = count
        asked += assumed
    return counts, tuple(asked)


def carries_neutral(graph: Graph, run: Run) -> bool:
    """Whether a run brings a neutral along. Only a run shown to have none counts as having none."""
    if is_supply_side(graph, run):
        return True
    to = graph.installation.equipment.get(run.to or "")
    two_pole = to is not None and to.poles == 2
    if two_pole and run.neutral_size is None:
        if run.wires == 3 and run.egc == "wire":
            return False
        if run.wires == 2 and run.egc in ("raceway", "armor", "none"):
            return False
    above = graph.feeding_run(run.from_ or "")
    return above is None or carries_neutral(graph, above)


def found_wires(run: Run, conductors: ConductorReading) -> int | None:
    """The wires of a run, a metal raceway that grounds counted as one; None where nobody counted."""
    sizing = conductors.runs.get(run.id)
    wires = run.wires if run.wires is not None else (sizing.wires if sizing is not None else None)
    if wires is None and run.method == "overhead triplex":
        return 3
    if wires is None:
        return None
    grounds = run.egc == "armor" or (run.egc == "raceway" and run.method in _GROUNDING_RACEWAYS)
    return wires + 1 if grounds and wires < 4 else wires


def _count(
    graph: Graph,
    run: Run,
    loads: LoadReading,
    conductors: ConductorReading,
    found: Graph | None,
    edition: Edition,
) -> tuple[WireCount, list[Assumption]]:
    wires = found_wires(run, conductors)
    if is_supply_side(graph, run):
        why = "ahead of the service disconnect the neutral also grounds: two lines and neutral"
        return WireCount(run.id, 3, wires, True, why, edition.section("neutral-bond-at-service")), []
    asked = _unknown_ends(run)
    if not carries_neutral(graph, run):
        why = "no neutral is used: two lines and an equipment ground"
        enough = wires is not None and wires >= 3
        return WireCount(run.id, 3, wires, enough, why, edition.section("egc-with-feeder")), asked
    if wires is None:
        asked.append(_unknown_count(run))
    if not enters_building(graph, run):
        return _inside(run, wires, edition), asked
    why, section = _to_building(graph, run, conductors, edition)
    if wires is not None and wires >= 4:
        return WireCount(run.id, 4, wires, True, why, section), asked
    answer = _exception(run, wires, loads, conductors, found, edition)
    if wires == 3 and not run.is_new:
        asked += answer.assumptions
    may_stay = wires == 3 and answer.may_stay
    section = answer.section if may_stay else section
    return WireCount(run.id, 4, wires, may_stay, answer.why if may_stay else f"{why}; {answer.why}", section), asked


def _inside(run: Run, wires: int | None, edition: Edition) -> WireCount:
    why = "after the service disconnect neutral and equipment ground are apart: two lines, neutral, ground"
    return WireCount(run.id, 4, wires, wires is not None and wires >= 4, why, edition.section("four-wire-downstream"))


def _to_building(graph: Graph, run: Run, conductors: ConductorReading, edition: Edition) -> tuple[str, str]:
    why, section = (
        "a feeder to another building brings its own equipment ground",
        edition.section("separate-building-egc"),
    )
    if graph.roles.get(run.from_ or "") == "site-isolating device":
        sizing = conductors.runs.get(run.id)
        size = (sizing.line_size if sizing else None) or run.line_size or "size not known"
        why = f"from the distribution point an equipment ground as large as the lines ({size}) runs along"
        section = edition.section("ag-distribution-egc")
    to = graph.installation.equipment.get(run.to or "")
    building = graph.installation.buildings.get(to.building or "") if to is not None else None
    if building is not None and run.buried is not False and agricultural_scope(building, edition=edition).applies:
        metal = ", copper" if building.use in ("livestock", "poultry") else ""
        why += f"; buried, its ground is insulated or covered{metal} ({edition.section('ag-egc-copper')})"
    return why, section


def _exception(
    run: Run,
    wires: int | None,
    loads: LoadReading,
    conductors: ConductorReading,
    found: Graph | None,
    edition: Edition,
) -> ThreeWireAnswer:
    before = found.installation.runs.get(run.id) if found is not None else None
    node = loads.nodes.get(run.to or "")
    sizing = conductors.runs.get(run.id)
    counted = run if run.wires is not None else run.model_copy(update={"wires": wires})
    return three_wire_feeder(
        counted,
        neutral_load_a=node.neutral.current_a if node is not None else None,
        ocpd_a=run.ocpd_a if run.ocpd_a is not None else (sizing.ocpd_a if sizing is not None else None),
        neutral_ampacity_a=neutral_ampacity(run, sizing, edition=edition),
        was_feeder=before is None or found is None or not is_supply_side(found, before),
        edition=edition,
    )


def _unknown_count(run: Run) -> Assumption:
    why = "four wires are planned until somebody has counted them"
    return Assumption(f"runs.{run.id}.wires", "an equipment ground is missing", why, "4")


def _unknown_ends(run: Run) -> list[Assumption]:
    why = "after the service disconnect a run needs one wire more than ahead of it"
    return [
        Assumption(
            f"runs.{run.id}.{name}", "the run lies after the service disconnect", why, "the meter or the utility"
        )
        for name, end in (("from", run.from_), ("to", run.to))
        if end is None
    ]
