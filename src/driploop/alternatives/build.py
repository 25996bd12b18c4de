"""From what was found and what the shop decided to the installation as proposed, with every consequence."""

from __future__ import annotations

from driploop.alternatives import consequences
from driploop.alternatives.draft import Draft
from driploop.alternatives.errors import ProposalError
from driploop.alternatives.kinds import BY_KIND, BY_SCOPE, Build
from driploop.conductors import ConductorReading
from driploop.editions import Edition
from driploop.installation import Installation, Job, Proposal
from driploop.loads import read_loads, service_rating
from driploop.worksheet import Assumption


def propose(job: Job, *, edition: Edition) -> tuple[Installation, tuple[Assumption, ...]] | None:
    """Build the installation that the job's proposal describes; None when nothing is proposed yet.

    Args:
        job: the survey with its ``[proposal]``.
        edition: the code edition in force.

    Returns:
        The installation in the state "proposed", new conductors not yet sized, and what was assumed on the way.

    Raises:
        ProposalError: the proposal does not fit what was found; says where and what to do.
    """
    proposal = job.proposal
    if proposal is None or (proposal.kind is None and proposal.scope in (None, "full service")):
        return None
    draft = Draft.of(job.found)
    rated = _with_rating(job, proposal, draft, edition=edition)
    _build(rated)(draft, rated)
    if rated.scope not in BY_SCOPE:
        consequences.apply_fates(draft, rated)
    draft.lay_over(draft.circuits, rated.circuits)
    main_panel = proposal.panel if proposal.panel in draft.equipment else _main_panel(draft)
    consequences.add_wishes(draft, job.wishes, main_panel=main_panel)
    _lay_over(draft, rated)
    consequences.rate_new_feeders(draft, rated, edition=edition)
    consequences.land_old_circuits(draft, edition=edition)
    if rated.scope in (None, "full service"):
        consequences.complete_electrodes(draft, rated, edition=edition)
        consequences.complete_bonds(draft, edition=edition)
    consequences.add_surge_protection(draft, edition=edition)
    _lay_over(draft, rated)
    return draft.done(), tuple(draft.assumptions)


def _build(proposal: Proposal) -> Build:
    if proposal.scope is not None and proposal.scope in BY_SCOPE:
        return BY_SCOPE[proposal.scope]
    if proposal.kind is None:
        raise ProposalError("proposal.kind", f"left out; one of: {', '.join(BY_KIND)}.")
    return BY_KIND[proposal.kind]


def _lay_over(draft: Draft, proposal: Proposal) -> None:
    draft.lay_over(draft.equipment, proposal.equipment)
    draft.lay_over(draft.runs, proposal.runs)
    draft.lay_over(draft.circuits, proposal.circuits)
    draft.lay_over(draft.electrodes, proposal.electrodes)
    draft.lay_over(draft.bonds, proposal.bonds)


def _main_panel(draft: Draft) -> str | None:
    """The first panel with a dwelling below it, else the first panel."""
    graph = draft.graph()
    panels = [id for id in graph.order if draft.equipment[id].kind == "panel"]
    homes = [id for id in panels if graph.whole_dwelling(id)]
    return next(iter([*homes, *panels]), None)


def _with_rating(job: Job, proposal: Proposal, draft: Draft, *, edition: Edition) -> Proposal:
    """A proposal that leaves the rating open gets the smallest standard rating that carries today's load and wishes."""
    if proposal.rating_a is not None or proposal.scope in BY_SCOPE:
        return proposal
    trial = Draft.of(job.found)
    consequences.add_wishes(trial, job.wishes, main_panel=_main_panel(trial))
    graph = trial.graph()
    top = next(iter(graph.service_disconnects), None) or next(iter(graph.order), None)
    if top is None:
        raise ProposalError("equipment", "nothing is listed; list at least the panel that is to be replaced.")
    load = read_loads(graph, edition=edition).nodes[top]
    rating = service_rating(
        load.conductor_current_a, dwelling=bool(graph.dwelling_units_below(top)), edition=edition
    ).rating
    draft.assume(
        "proposal.rating_a", f"{rating.text}", "the smallest standard rating that carries the calculated load",
        "a larger rating leaves more room for later wishes",
    )  # fmt: skip
    return proposal.model_copy(update={"rating_a": rating.number})


def with_sizes(installation: Installation, conductors: ConductorReading) -> Installation:
    """The installation with the sizes that the conductor stage chose for its new runs written in."""
    runs = dict(installation.runs)
    for id, sizing in conductors.runs.items():
        if sizing.kept or id not in runs:
            continue
        runs[id] = runs[id].model_copy(
            update={
                "line_size": sizing.line_size,
                "metal": sizing.metal,
                "neutral_size": sizing.neutral_size,
                "sets": sizing.sets,
                "egc": "wire" if sizing.egc_size else "none",
                "egc_size": sizing.egc_size,
                "egc_metal": sizing.egc_metal,
                "trade_size": sizing.raceway.trade_size if sizing.raceway else runs[id].trade_size,
            }
        )
    return installation.model_copy(update={"runs": runs})
