"""Circuits of agricultural buildings: the wiring that withstands them, ground-fault protection among stock."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.change import Change, unseen
from driploop.circuits.duties_ground_fault import renews_receptacles
from driploop.circuits.duties_results import Answer, Duty, Need
from driploop.grounding import agricultural_scope
from driploop.grounding.agricultural import AgriculturalScope
from driploop.installation import Circuit
from driploop.worksheet import Assumption

#: Cables and wiring that rot, rust or let dust and damp in, and are not among those the article lists.
_NOT_AMONG_THEM = frozenset({"NM cable", "armored cable", "knob-and-tube"})
WIRING_DO = "Replace it with UF, NMC or jacketed MC cable, or nonmetallic raceway with boxes kept against damp."
GROUND_FAULT_DO = "Fit ground-fault protection where they are outdoors, wet, damp or where animals stand."


def withstands_a_barn(circuit: Circuit) -> bool | None:
    """Whether a circuit's wiring is among what the agricultural article lists; None where it was not seen."""
    return None if circuit.cable is None else circuit.cable not in _NOT_AMONG_THEM


def agricultural(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """The duties of one circuit of an agricultural building. Source: the edition's agricultural article."""
    building = change.building_of(circuit)
    if building is None or building.use == "yard pole" or circuit.purpose == "spare":
        return
    scope = agricultural_scope(building, edition=change.edition)
    if scope.applies:
        yield _wiring(change, circuit, scope)
        if circuit.receptacles is not False and circuit.poles in (None, 1):
            yield _receptacles(change, circuit, scope)


def _wiring(change: Change, circuit: Circuit, scope: AgriculturalScope) -> Duty:
    where = f"circuits.{circuit.id}"
    stands = withstands_a_barn(circuit)
    answer: Answer = "yes"
    reason, assumed = f"{circuit.cable} is not for a building of this kind.", scope.assumptions
    if stands:
        answer, reason, assumed = "no", f"{circuit.cable} is among the wiring that the article lists.", ()
    elif stands is None and circuit.is_new:
        answer, reason, assumed = "no", "It is new, and wired with what the article lists.", ()
    elif stands is None:
        reason = "How it is wired was not seen."
        assumed = (
            *unseen(f"{where}.cable", "house cable", "listed wiring lasts in every building", "the print on the cable"),
            *assumed,
        )
    needs = (Need("circuit rewired with listed cable or raceway"),)
    return Duty(
        where, "agricultural-wiring", answer, reason, change.section("ag-wiring-methods"), WIRING_DO, needs, (), assumed
    )


def _receptacles(change: Change, circuit: Circuit, scope: AgriculturalScope) -> Duty:
    where = f"circuits.{circuit.id}"
    answer: Answer = "no"
    assumed: tuple[Assumption, ...] = ()
    if circuit.gfci:
        reason = "It has ground-fault protection."
    elif renews_receptacles(change, circuit):
        answer, reason, assumed = "yes", "Its receptacles have no ground-fault protection.", scope.assumptions
        if circuit.gfci is None:
            reason = "Whether its receptacles get ground-fault protection is not stated."
            assumed = (
                *unseen(f"{where}.gfci", "none", "protection too much harms nobody", "the test button, or the plan"),
                *assumed,
            )
    else:
        reason = "Its receptacles stay as they are; when one is replaced, it gets ground-fault protection."
    needs = (Need("ground-fault breaker, one pole"),)
    section = change.section("ag-gfci")
    return Duty(where, "agricultural-receptacles", answer, reason, section, GROUND_FAULT_DO, needs, (), assumed)
