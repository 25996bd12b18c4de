"""Feeders of the installation as proposed: their overcurrent devices, and the equipment ground to farm buildings."""

from __future__ import annotations

from collections.abc import Callable

from driploop.alternatives.draft import Draft
from driploop.conductors import device_for_conductor, next_standard_rating
from driploop.conductors.kept_run import check_kept_run
from driploop.editions import Edition, NotInTable
from driploop.grounding import agricultural_scope
from driploop.installation import Equipment, Graph, Proposal, Run
from driploop.loads import LoadReading

_STOCK = frozenset({"livestock", "poultry"})


def rate_feeders(
    draft: Draft, proposal: Proposal, loads_of: Callable[[Graph], LoadReading], *, edition: Edition
) -> None:
    """Give each new or re-hung feeder an overcurrent device.

    A new one: stated by building, else the load's next standard size, not below what the building's disconnect must be
    rated, so that switch and feeder stay of one class. One that stays: no larger than was found and than its wire
    allows. Where the equipment ahead holds no device, none is invented.
    """
    graph = draft.graph()
    for run in list(draft.runs.values()):
        if run.is_new and run.owner != "utility" and run.to in draft.equipment and graph.is_service_run(run):
            draft.change(draft.runs, run.id, wires=3, ocpd="none", ocpd_a=None)
    loads = loads_of(graph)
    for run in list(draft.runs.values()):
        source = draft.equipment.get(run.from_ or "")
        if run.to not in draft.equipment or source is None or graph.is_service_run(run):
            continue
        if not (run.is_new or source.is_new):
            continue
        if not _holds_devices(graph, source):
            draft.change(draft.runs, run.id, ocpd="none", ocpd_a=None)
            if graph.roles[source.id] == "site-isolating device":
                _fit_main(draft, run, _rating(draft, graph, proposal, run, loads, edition=edition))
        elif not run.is_new and (own := _own_main_a(source)) is not None:
            draft.change(draft.runs, run.id, ocpd="breaker", ocpd_a=own)
        elif not run.is_new:
            _rate_kept(draft, graph, run, loads, edition=edition)
        elif run.ocpd_a is None or run.ocpd == "none":
            _rate_new(draft, graph, proposal, run, loads, edition=edition)
        elif graph.roles[run.to or ""] == "building disconnect":
            _fit_main(draft, run, run.ocpd_a)


def _holds_devices(graph: Graph, source: Equipment) -> bool:
    if source.kind in ("meter", "junction box", "transfer switch", "utility"):
        return False
    return graph.roles[source.id] != "site-isolating device" or source.main in ("breaker", "fuses")


def _own_main_a(source: Equipment) -> float | None:
    """A switch has one device for all that it feeds: its own main. [A]"""
    return source.main_a if source.kind == "disconnect" and source.main in ("breaker", "fuses") else None


def _rate_new(
    draft: Draft, graph: Graph, proposal: Proposal, run: Run, loads: LoadReading, *, edition: Edition
) -> None:
    own = _own_main_a(draft.equipment[run.from_ or ""])
    rating = own or _rating(draft, graph, proposal, run, loads, edition=edition)
    draft.change(draft.runs, run.id, ocpd="breaker", ocpd_a=rating)
    if graph.roles[run.to or ""] == "building disconnect":
        _fit_main(draft, run, rating)
    to = draft.equipment[run.to or ""]
    if to.is_new and (to.rating_a is None or to.rating_a < rating):
        draft.change(draft.equipment, to.id, rating_a=rating, main_a=rating if to.main_a else None)


def _rating(draft: Draft, graph: Graph, proposal: Proposal, run: Run, loads: LoadReading, *, edition: Edition) -> float:
    to = draft.equipment[run.to or ""]
    if graph.roles[to.id] == "building disconnect":
        stated = (proposal.disconnect_ratings_a or {}).get(to.building or "")
        least = building_minimum_a(graph, to.id, edition=edition)
    else:
        stated, least = None, _found_device_a(draft, run, to)
    return stated or next_standard_rating(max(loads.nodes[to.id].conductor_current_a, least), edition=edition)


def _found_device_a(draft: Draft, run: Run, to: Equipment) -> float:
    """What protected the old run of this name, as far as the panel at its end takes it; 0 where not known. [A]"""
    old = draft.base.runs.get(run.id)
    if old is None or old.ocpd_a is None or old.ocpd == "none":
        return 0.0
    return min(old.ocpd_a, to.rating_a or 0.0)


def _fit_main(draft: Draft, run: Run, rating_a: float) -> None:
    """A new panel that is the disconnect of its building gets a main."""
    to = draft.equipment[run.to or ""]
    if to.is_new and to.kind == "panel" and to.main in (None, "none"):
        draft.change(
            draft.equipment, to.id, main="breaker", main_a=rating_a, rating_a=max(to.rating_a or 0.0, rating_a)
        )


def _rate_kept(draft: Draft, graph: Graph, run: Run, loads: LoadReading, *, edition: Edition) -> None:
    if run.line_size is None:
        draft.assume(
            f"runs.{run.id}.line_size", "no breaker is chosen for it",
            "a breaker chosen without knowing the wire may let it burn",
            "the size read on the wire decides the breaker",
        )  # fmt: skip
        draft.change(draft.runs, run.id, ocpd="breaker", ocpd_a=None)
        return
    found = run.ocpd_a if run.ocpd != "none" else None
    asked = found or next_standard_rating(loads.nodes[run.to or ""].conductor_current_a, edition=edition)
    # Heat along a way that nobody followed is asked about; it does not choose the device.
    carries_a = check_kept_run(graph, run, "feeder", loads, edition=edition, heat="ordinary").ampacity_a
    try:
        allowed = device_for_conductor(run.line_size, run.metal or "aluminum", carries_a or 0.0, edition=edition).number
    except NotInTable:
        allowed = None
    rating = min(asked, allowed) if allowed is not None else None
    draft.change(draft.runs, run.id, ocpd="breaker", ocpd_a=rating)


def building_minimum_a(graph: Graph, equipment: str, *, edition: Edition) -> float:
    """The least rating of the disconnect of a fed building: a one-family dwelling's, else any other's. [A]"""
    dwelling = graph.may_feed_a_home(equipment)
    return edition.number("building_disconnect_one_family" if dwelling else "building_disconnect_other")


def insulate_farm_grounds(draft: Draft, *, edition: Edition) -> None:
    """New feeders to agricultural buildings are bought with an insulated ground, in copper where stock is housed.

    Asked of what is buried; a run not known to be above ground is bought so too.
    """
    graph = draft.graph()
    for run in list(draft.runs.values()):
        to = draft.equipment.get(run.to or "")
        building = graph.installation.buildings.get(to.building or "") if to is not None else None
        if not run.is_new or building is None or run.overhead or graph.is_service_run(run):
            continue
        if not agricultural_scope(building, edition=edition).applies:
            continue
        if run.egc_insulated is None:
            draft.change(draft.runs, run.id, egc_insulated=True)
        if run.egc_metal is None and run.buried is not False and building.use in _STOCK:
            draft.change(draft.runs, run.id, egc_metal="copper")
