"""What the survey already decided about equipment, runs and circuits, done to a draft."""

from __future__ import annotations

from driploop.alternatives.draft import Draft
from driploop.alternatives.errors import ProposalError
from driploop.alternatives.new_parts import in_place_of, new_run
from driploop.circuits import takes_down
from driploop.grounding.sites import enters_building
from driploop.installation import Circuit, Graph, Proposal, Run

_GOES = frozenset({"remove", "abandon"})


def apply_moves(draft: Draft, proposal: Proposal) -> None:
    """Land the circuits where ``[proposal.moves]`` says."""
    for circuit, panel in (proposal.moves or {}).items():
        if circuit not in draft.circuits:
            raise ProposalError(f"proposal.moves.{circuit}", "there is no such circuit in the survey; mend the id.")
        draft.change(draft.circuits, circuit, from_=panel)


def apply_fates(draft: Draft, proposal: Proposal) -> None:
    """Do what the survey decided about each circuit, each piece of equipment and each run."""
    for circuit in list(draft.circuits.values()):
        _apply_circuit_fate(draft, proposal, circuit)
    # What goes goes first: it decides what stands at an entrance afterwards.
    graph = draft.graph()
    for id in [id for id, each in draft.equipment.items() if not each.is_new]:
        if id in draft.equipment:
            _apply_going(draft, graph, id)
    graph = draft.graph()
    for id in [id for id, each in draft.equipment.items() if not each.is_new and each.fate == "replace"]:
        _renew(draft, graph, proposal, id)
    graph = draft.graph()
    fed_anew = {run.to for run in proposal.runs.values()}
    for id, run in list(draft.runs.items()):
        if not run.is_new and run.fate in (*_GOES, "replace"):
            _apply_run_fate(draft, graph, proposal, id, fed_anew=run.to in fed_anew)


def _apply_going(draft: Draft, graph: Graph, id: str) -> None:
    fate = draft.equipment[id].fate
    if takes_down(draft.equipment[id]):
        _take_out(draft, graph, id)
    elif fate == "convert to junction box":
        _refuse_if_it_holds_circuits(draft, id)
        draft.change(
            draft.equipment, id, kind="junction box", branch_protection="none", main="none", main_a=None, role=None
        )
    elif fate == "convert to unfused":
        draft.change(draft.equipment, id, main="none", main_a=None)


# --- circuits ----------------------------------------------------------------------------------------------------


def _apply_circuit_fate(draft: Draft, proposal: Proposal, circuit: Circuit) -> None:
    if circuit.is_new:
        return
    if circuit.fate in _GOES and circuit.id not in proposal.circuits:
        went = draft.remove_circuit(circuit.id)
        if went:
            draft.assume(
                f"circuits.{circuit.id}.fate", f"gone with it: {', '.join(went)}",
                "without a circuit nothing is fed; nothing else takes these loads over in silence",
                "a load that stays needs another circuit, named in its own 'circuit'",
            )  # fmt: skip
    elif circuit.fate == "replace":
        draft.change(
            draft.circuits, circuit.id, is_new=True, wire_size=None, metal=None, insulation=None, cable=None,
            ground="wire", neutral=None if circuit.neutral == "bare" else circuit.neutral,
            neutral_covered=None, frame_grounded_by_neutral=False, length_ft=None, in_thermal_insulation=None,
            current_carrying=None,
        )  # fmt: skip


def _refuse_if_it_holds_circuits(draft: Draft, id: str) -> None:
    held = [circuit.id for circuit in draft.circuits.values() if circuit.from_ == id]
    if held:
        raise ProposalError(
            f"equipment.{id}.fate",
            f"a junction box protects nothing, but {', '.join(held)} start here; "
            "say in [proposal.moves] where they go.",
        )


# --- equipment ---------------------------------------------------------------------------------------------------


def _take_out(draft: Draft, graph: Graph, id: str) -> None:
    """Take equipment out. What hung on it goes over to its supply, but never from one building to another.

    ``graph`` is the tree before anything went: where equipment hangs, and on which side of the service.
    """
    run = draft.run_into(id)
    if run is None or not enters_building(graph, run):
        draft.remove_equipment(id, hand_to=run.from_ if run is not None else None)
        return
    below = [out.to for out in draft.runs.values() if out.from_ == id and out.to in draft.equipment]
    stays = [to for to in below if to is not None and not takes_down(draft.equipment[to])]
    panels = [to for to in stays if draft.equipment[to].kind == "panel"]
    held = [circuit.id for circuit in draft.circuits.values() if circuit.from_ == id]
    held += [load.id for load in draft.loads.values() if load.panel == id and load.circuit is None]
    if panels or (len(stays) == 1 and not held):
        draft.bridge(id, to=(panels or stays)[0])
        return
    if stays or held:
        raise ProposalError(
            f"equipment.{id}.fate",
            f"{draft.equipment[id].fate!r}, but {', '.join([*stays, *held])} in the same building hang on it. Say in "
            "[proposal.moves] where circuits go and in [proposal.runs] what feeds the rest, or give them a fate too.",
        )
    _give_up(draft, id)


def _give_up(draft: Draft, id: str) -> None:
    """The end of a supply to a building: nothing hangs on it any more but equipment that goes too."""
    graph = draft.graph()
    for gone in reversed(graph.below(id)):
        held = [*graph.circuits_at.get(gone, ()), *graph.loads_at.get(gone, ())]
        if held or not takes_down(draft.equipment[gone]):
            what = ", ".join(held) or gone
            raise ProposalError(
                f"equipment.{id}.fate",
                f"{draft.equipment[id].fate!r}, but nothing would feed {what}. Give it the same fate, or say in "
                "[proposal.moves] or [proposal.runs] what feeds it.",
            )
        draft.remove_equipment(gone, hand_to=None)


def _renew(draft: Draft, graph: Graph, proposal: Proposal, id: str) -> None:
    old = draft.equipment[id]
    entrance = graph.roles[id] in ("building disconnect", "service disconnect")
    stated = (proposal.disconnect_ratings_a or {}).get(old.building or "") if entrance else None
    method = (
        proposal.method if graph.roles[id] in ("service disconnect", "not a disconnect") else proposal.feeder_method
    )
    draft.change(draft.equipment, id, **in_place_of(old, method or proposal.method))
    if old.kind == "meter":
        draft.change(draft.equipment, id, rating_a=_meter_rating(draft, graph, id))
    elif old.kind not in ("junction box", "utility"):
        has_main = old.main in ("breaker", "fuses")
        holds = old.kind == "panel" or bool(graph.circuits_of(id))
        draft.change(
            draft.equipment, id, rating_a=stated or old.rating_a, main="breaker" if has_main else old.main,
            main_a=stated or old.main_a or old.rating_a if has_main else None, spaces=None,
            branch_protection="breakers" if holds else old.branch_protection,
            interrupting_rating_a=proposal.interrupting_rating_a,
        )  # fmt: skip


def _meter_rating(draft: Draft, graph: Graph, meter: str) -> float | None:
    """A new meter is bought as large as the one main behind it. [A]"""
    mains = [id for id in graph.below(meter) if graph.roles[id] in ("service disconnect", "site-isolating device")]
    ratings = [draft.equipment[id].main_a or draft.equipment[id].rating_a for id in mains[:1] if len(mains) == 1]
    known = [rating for rating in (draft.equipment[meter].rating_a, *ratings) if rating is not None]
    return max(known, default=None)


# --- runs --------------------------------------------------------------------------------------------------------


def _apply_run_fate(draft: Draft, graph: Graph, proposal: Proposal, id: str, *, fed_anew: bool) -> None:
    old = draft.runs[id]
    if old.fate != "replace":
        if old.to in draft.equipment and not fed_anew:
            raise ProposalError(
                f"runs.{id}.fate",
                f"it would leave {old.to!r} without a supply; remove that too, replace the run, "
                "or say in [proposal.runs] what feeds it.",
            )
        del draft.runs[id]
    elif old.owner == "utility":
        draft.change(draft.runs, id, line_size=None, neutral_size=None, damaged=None, year_installed=None, is_new=True)
    elif graph.is_service_run(old):
        draft.runs[id] = _renewed(
            old, new_run(
                id, old.from_, old.to, wires=3, method=proposal.method or old.method,
                metal=proposal.metal or old.metal, insulation=proposal.insulation, length_ft=old.length_ft,
                ocpd_a=None, name=old.name,
            )
        )  # fmt: skip
    else:
        draft.runs[id] = _renewed(
            old, new_run(
                id, old.from_, old.to, wires=4, method=proposal.feeder_method or old.method,
                metal=proposal.feeder_metal or proposal.metal, insulation=proposal.feeder_insulation,
                length_ft=old.length_ft, ocpd_a=None, name=old.name,
            )
        )  # fmt: skip


def _renewed(old: Run, new: Run) -> Run:
    """The new run with what stays true of the way it takes."""
    stays = {"metal_paths": old.metal_paths, "ambient_c": old.ambient_c}
    if new.method == old.method:
        lies = {name: getattr(old, name) for name in ("overhead", "buried") if getattr(old, name) is not None}
        return new.model_copy(update={**stays, **lies})
    # A name often tells of the old wire; the method has changed.
    return new.model_copy(update={**stays, "name": None})
