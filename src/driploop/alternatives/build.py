"""From what was found and what the shop decided to the installation as proposed, with every consequence."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from driploop.alternatives import consequences
from driploop.alternatives.check import check_added, check_hangs_together
from driploop.alternatives.clearing import nearest
from driploop.alternatives.draft import Draft
from driploop.alternatives.errors import ProposalError
from driploop.alternatives.fates import apply_fates, apply_moves
from driploop.alternatives.feeders import insulate_farm_grounds, rate_feeders
from driploop.alternatives.kinds import BY_KIND, BY_SCOPE, KEEP, Build
from driploop.alternatives.new_parts import bought
from driploop.conductors import ConductorReading
from driploop.editions import Edition
from driploop.installation import Graph, GraphError, Installation, Job, Proposal, Run
from driploop.loads import LoadReading, read_loads, service_rating
from driploop.worksheet import Assumption

_FULL = (None, "full service")
_MAINS = frozenset({"service disconnect", "site-isolating device", "emergency disconnect", "meter disconnect"})


def propose(
    job: Job, *, edition: Edition, loads_of: Callable[[Graph], LoadReading] | None = None
) -> tuple[Installation, tuple[Assumption, ...]] | None:
    """Build the installation that the job's proposal describes; None when nothing is proposed yet.

    Args:
        job: the survey with its ``[proposal]``.
        edition: the code edition in force.
        loads_of: how loads are read on the way, for whoever builds many proposals alike; left out, each time anew.

    Returns:
        The installation in the state "proposed", new conductors not yet sized, and what was assumed on the way.

    Raises:
        ProposalError: the proposal does not fit what was found; says where and what to do.
        GraphError: the runs as found do not form a tree.
    """
    proposal = job.proposal
    if proposal is None or (proposal.kind is None and proposal.scope in _FULL):
        return None
    Graph(job.found)
    loads_of = loads_of or partial(read_loads, edition=edition)
    try:
        rated, assumed = _with_rating(job, proposal, loads_of, edition=edition)
        draft = _rebuilt(job, rated)
        _complete(draft, rated, loads_of, edition=edition)
        check_hangs_together(draft)
    except GraphError as fault:
        raise ProposalError("proposal", f"what it builds is no tree of supply. {fault}") from fault
    return draft.done(), (*assumed, *draft.assumptions)


def _rebuilt(job: Job, proposal: Proposal) -> Draft:
    """What hangs where: the new main, fates, moves, wishes and what the proposal adds; nothing rated or landed yet."""
    stays = proposal.scope in BY_SCOPE or proposal.kind == KEEP
    draft = Draft.of(job.found, keep_roles=stays)
    apply_moves(draft, proposal)
    _build(proposal)(draft, proposal)
    if not stays:
        apply_fates(draft, proposal)
    check_added(draft, proposal)
    draft.lay_over(draft.circuits, proposal.circuits)
    main_panel = proposal.panel if proposal.panel in draft.equipment else _main_panel(draft)
    consequences.add_wishes(draft, job.wishes, main_panel=main_panel)
    _lay_over(draft, proposal)
    return draft


def _complete(draft: Draft, proposal: Proposal, loads_of: Callable[[Graph], LoadReading], *, edition: Edition) -> None:
    """Every consequence of what hangs where; last, what the proposal states otherwise."""
    full = proposal.scope in _FULL
    rate_feeders(draft, proposal, loads_of, edition=edition)
    insulate_farm_grounds(draft, edition=edition)
    consequences.land_old_circuits(draft, edition=edition)
    if full:
        consequences.complete_electrodes(draft, proposal, edition=edition)
        consequences.complete_bonds(draft)
    consequences.part_neutrals(draft, edition=edition, only_new=not full)
    consequences.add_surge_protection(draft, edition=edition)
    _lay_over(draft, proposal)


def _build(proposal: Proposal) -> Build:
    if proposal.scope is not None and proposal.scope in BY_SCOPE:
        return BY_SCOPE[proposal.scope]
    if proposal.kind is None:
        raise ProposalError("proposal.kind", f"left out; one of: {', '.join(BY_KIND)}.")
    return BY_KIND[proposal.kind]


def _lay_over(draft: Draft, proposal: Proposal) -> None:
    draft.lay_over(draft.buildings, proposal.buildings)
    draft.lay_over(draft.equipment, proposal.equipment, bought=bought())
    draft.lay_over(draft.runs, proposal.runs, bought={"owner": "customer", "neutral_insulated": True})
    draft.lay_over(draft.circuits, proposal.circuits)
    draft.lay_over(draft.electrodes, proposal.electrodes)
    draft.lay_over(draft.bonds, proposal.bonds)
    draft.lay_over(draft.load_management, proposal.load_management)


def _main_panel(draft: Draft) -> str | None:
    """The foremost panel with a dwelling below it, else the foremost panel."""
    graph = draft.graph()
    panels = nearest(graph, (id for id in graph.order if draft.equipment[id].kind == "panel"))
    homes = [id for id in panels if graph.whole_dwelling(id)]
    return next(iter([*homes, *panels]), None)


# --- a rating left open --------------------------------------------------------------------------------------------


def _with_rating(
    job: Job, proposal: Proposal, loads_of: Callable[[Graph], LoadReading], *, edition: Edition
) -> tuple[Proposal, tuple[Assumption, ...]]:
    """A proposal that leaves a rating open gets the smallest standard one that carries today's load and wishes.

    It is read from the installation built with the least rating a dwelling may have: the load does not hang on it
    but for the methods that ask for as much.
    """
    if proposal.rating_a is not None or proposal.scope in BY_SCOPE or proposal.kind == KEEP:
        return proposal, ()
    least = edition.number("building_disconnect_one_family")
    trial = _rebuilt(job, proposal.model_copy(update={"rating_a": least}))
    graph = trial.graph()
    tops = [id for id in graph.order if graph.roles[id] in _MAINS and trial.equipment[id].is_new]
    if not tops:
        raise ProposalError("equipment", "nothing is listed; list at least the panel that is to be replaced.")
    loads = loads_of(graph)
    needed = {id: _rating(graph, id, loads.nodes[id].conductor_current_a, edition=edition) for id in tops}
    if proposal.kind != "several service disconnects":
        most = max(needed.values()) * (2 if proposal.kind == "meter and two mains" else 1)
        return proposal.model_copy(update={"rating_a": most}), (_assumed("proposal.rating_a", most),)
    stated = proposal.disconnect_ratings_a or {}
    by_building = {_building_served(graph, id): rating for id, rating in needed.items()}
    open_ = {building: rating for building, rating in by_building.items() if building not in stated}
    return (
        proposal.model_copy(update={"disconnect_ratings_a": {**open_, **stated}}),
        tuple(_assumed(f"proposal.disconnect_ratings_a.{building}", rating) for building, rating in open_.items()),
    )


def _rating(graph: Graph, id: str, current_a: float, *, edition: Edition) -> float:
    dwelling = graph.may_feed_a_home(id)
    return service_rating(current_a, dwelling=dwelling, edition=edition).rating.number


def _building_served(graph: Graph, main: str) -> str:
    """The building whose panel one of several mains feeds, as ``disconnect_ratings_a`` names it."""
    panel = next(iter(nearest(graph, (id for id in graph.below(main) if graph.equipment(id).kind == "panel"))), main)
    return graph.equipment(panel).building or panel


def _assumed(where: str, rating_a: float) -> Assumption:
    return Assumption(
        where,
        f"{rating_a:g} A",
        "the smallest standard rating that carries the calculated load",
        "a larger rating leaves more room for later wishes",
    )


def with_sizes(installation: Installation, conductors: ConductorReading) -> Installation:
    """The installation with the sizes that the conductor stage chose for its new runs written in."""
    runs = dict(installation.runs)
    for id, sizing in conductors.runs.items():
        if sizing.kept or sizing.kind == "utility" or id not in runs:
            continue
        runs[id] = runs[id].model_copy(
            update={
                "line_size": sizing.line_size,
                "metal": sizing.metal,
                "neutral_size": sizing.neutral_size,
                "sets": sizing.sets,
                "egc": "wire" if sizing.egc_size else _other_ground(runs[id]),
                "egc_size": sizing.egc_size,
                "egc_metal": sizing.egc_metal,
                "trade_size": sizing.raceway.trade_size if sizing.raceway else runs[id].trade_size,
            }
        )
    return installation.model_copy(update={"runs": runs})


def _other_ground(run: Run) -> str:
    """The ground of a run that has none of wire: its raceway or armor where the proposal says so."""
    return run.egc if run.egc in ("raceway", "armor") else "none"
