"""Whether an installation as proposed hangs together: all is fed, and every name leads somewhere."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import chain

from driploop.alternatives.draft import Draft
from driploop.alternatives.errors import ProposalError
from driploop.installation import UTILITY, Equipment, Graph, Proposal
from driploop.installation.model import Part

_NO_BRANCHES = frozenset({"meter", "junction box", "utility"})
_SWITCH_ONLY = frozenset({"site-isolating device", "emergency disconnect", "meter disconnect"})


def check_added(draft: Draft, proposal: Proposal) -> None:
    """Refuse parts of the proposal that speak of what this proposal took out, or that do not say what they are.

    Raises:
        ProposalError: names the first such part.
    """
    for id in proposal.buildings:
        if id not in draft.buildings:
            words = (
                f"no building of the survey; there are: {', '.join(draft.buildings)}. Add what is built to [buildings]."
            )
            raise ProposalError(f"proposal.buildings.{id}", words)
    for id, equipment in proposal.equipment.items():
        if id not in draft.equipment and equipment.kind is None:
            raise ProposalError(f"proposal.equipment.{id}", _not_there(draft, id, draft.base.equipment, "a 'kind'"))
    for id, run in proposal.runs.items():
        if id not in draft.runs and (run.from_ is None or run.to is None):
            raise ProposalError(f"proposal.runs.{id}", _not_there(draft, id, draft.base.runs, "'from' and 'to'"))
    for id, circuit in proposal.circuits.items():
        if id not in draft.circuits and circuit.from_ is None:
            raise ProposalError(f"proposal.circuits.{id}", _not_there(draft, id, draft.base.circuits, "'from'"))


def _not_there(draft: Draft, id: str, found: Mapping[str, Part], needs: str) -> str:
    if id in found:
        heir = draft.took_over(id)
        instead = f"write it for {heir!r}, which takes its place" if heir in draft.equipment else "leave this table out"
        return f"this proposal takes it out; {instead}, or state {needs} to put in something new under this id."
    return f"not in the survey, and not an id of what the proposal adds; mend the id, or state {needs} to add it."


def check_hangs_together(draft: Draft) -> None:
    """Refuse an installation with loose ends.

    Raises:
        ProposalError: names the first loose end, its place in the job file and what to do.
    """
    graph = draft.graph()
    looked_at = (_runs(draft), _supply(draft, graph), _circuits(draft, graph), _loads(draft), _earth(draft))
    for fault in chain(*looked_at, _held(draft)):
        raise fault


def _runs(draft: Draft) -> Iterator[ProposalError]:
    for run in draft.runs.values():
        if run.from_ not in (None, UTILITY) and run.from_ not in draft.equipment:
            yield _missing(draft, f"runs.{run.id}.from", run.from_)
        if run.to is not None and run.to not in draft.equipment:
            yield _missing(draft, f"runs.{run.id}.to", run.to)


def _supply(draft: Draft, graph: Graph) -> Iterator[ProposalError]:
    """Everything hangs on the utility, or on equipment whose supply the survey did not know either."""
    found = Graph(draft.base)
    for id, each in draft.equipment.items():
        top = id
        for above in graph.path_up(id):
            top = above
        root = draft.equipment.get(top)
        if top == UTILITY or (root is not None and root.kind == "utility"):
            continue
        if root is None or top in found.run_into or top not in draft.base.equipment:
            words = f"nothing feeds {each.title} as proposed; say in [proposal.runs] what does, or take it out too."
            yield ProposalError(f"equipment.{id}", words)


def _circuits(draft: Draft, graph: Graph) -> Iterator[ProposalError]:
    for circuit in draft.circuits.values():
        where = f"circuits.{circuit.id}"
        at = draft.equipment.get(circuit.from_ or "")
        if circuit.from_ is not None and at is None:
            yield _missing(draft, f"{where}.from", circuit.from_)
        before = draft.base.circuits.get(circuit.id)
        lands_anew = before is None or before.from_ != circuit.from_
        if at is not None and lands_anew and (what := _protects_nothing(graph, at)):
            words = f"as proposed it would start at {at.id} ({what}), which protects no circuit"
            yield ProposalError(f"{where}.from", f"{words}; say in [proposal.moves] which panel takes it.")
        if circuit.multiwire_with is not None and circuit.multiwire_with not in draft.circuits:
            yield ProposalError(f"{where}.multiwire_with", f"{circuit.multiwire_with!r} is not there as proposed.")


def _protects_nothing(graph: Graph, at: Equipment) -> str:
    """In a word what this is, where no branch circuit can start at it; else empty."""
    if at.kind in _NO_BRANCHES:
        return str(at.kind)
    return graph.roles[at.id] if graph.roles[at.id] in _SWITCH_ONLY else ""


def _loads(draft: Draft) -> Iterator[ProposalError]:
    for load in draft.loads.values():
        where = f"loads.{load.id}" if load.id in draft.base.loads else f"wishes.{load.id}"
        if load.circuit is not None and load.circuit not in draft.circuits:
            yield ProposalError(f"{where}.circuit", f"{load.circuit!r} is not there as proposed; name another.")
        if load.circuit is None and load.panel is not None and load.panel not in draft.equipment:
            yield _missing(draft, f"{where}.panel", load.panel)


def _earth(draft: Draft) -> Iterator[ProposalError]:
    for electrode in draft.electrodes.values():
        if electrode.conductor_to is not None and electrode.conductor_to not in draft.equipment:
            yield _missing(draft, f"electrodes.{electrode.id}.conductor_to", electrode.conductor_to)
        if electrode.continues_to is not None and electrode.continues_to not in draft.electrodes:
            words = f"{electrode.continues_to!r} is not there as proposed; name another electrode."
            yield ProposalError(f"electrodes.{electrode.id}.continues_to", words)
    for bond in draft.bonds.values():
        if bond.equipment is not None and bond.equipment not in draft.equipment:
            yield _missing(draft, f"bonds.{bond.id}.equipment", bond.equipment)


def _held(draft: Draft) -> Iterator[ProposalError]:
    for id, system in draft.load_management.items():
        if system.holds is not None and draft.took_over(system.holds) not in draft.equipment:
            yield _missing(draft, f"load_management.{id}.holds", system.holds)


def _missing(draft: Draft, where: str, id: str | None) -> ProposalError:
    heir = draft.took_over(id)
    if id == UTILITY:
        return ProposalError(
            where, "as proposed it would start at the utility's supply; say in [proposal.moves] where it goes."
        )
    if id in draft.gone:
        instead = f"name {heir!r}, which takes its place" if heir in draft.equipment else "name what takes its place"
        return ProposalError(where, f"{id!r} is taken out by this proposal; {instead}.")
    return ProposalError(where, f"{id!r} is not there as proposed; there are: {', '.join(draft.equipment)}.")
