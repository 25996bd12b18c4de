"""Whether a layout may stand, told without the help of any solver: what the box, the breakers and the wires allow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

from driploop.panel.geometry import leg_of, reaches, row_of, side_of
from driploop.panel.results import PanelCircuit, PanelProblem, Place


def illegal(problem: PanelProblem, layout: Iterable[Place]) -> tuple[str, ...]:
    """Every reason why a layout may not stand; empty where it may.

    Args:
        problem: the box and the circuits.
        layout: where each circuit is; in any order, finished or not as a hand has left it.
    """
    places = tuple(layout)
    circuits = {circuit.id: circuit for circuit in problem.circuits}
    known = tuple(place for place in places if place.circuit in circuits)
    return (
        *_placed_once(places, circuits),
        *(reason for place in known for reason in _one_place(problem, circuits[place.circuit], place)),
        *_shared_spaces(problem, circuits, known),
        *_multiwire(circuits, known),
        *_stabs(problem, circuits, known),
        *_circuit_limit(problem, known),
    )


def _placed_once(places: tuple[Place, ...], circuits: Mapping[str, PanelCircuit]) -> Iterator[str]:
    counts: dict[str, int] = defaultdict(int)
    for place in places:
        counts[place.circuit] += 1
    for id, circuit in circuits.items():
        if counts[id] != 1:
            yield f"{circuit.words}: has {counts[id] or 'no'} places; every circuit has one"
    for id in counts:
        if id not in circuits:
            yield f"{id}: no such circuit belongs to this panel"


def _one_place(problem: PanelProblem, circuit: PanelCircuit, place: Place) -> Iterator[str]:
    box, spaces = problem.box, place.spaces
    if circuit.poles not in (1, 2):
        yield f"{circuit.words}: {circuit.poles} poles do not fit a single-phase panel"
        return
    if len(spaces) != circuit.poles:
        yield f"{circuit.words}: {circuit.poles} poles on {len(spaces)} spaces"
        return
    outside = [space for space in spaces if not 1 <= space <= box.spaces]
    if outside:
        yield f"{circuit.words}: the panel has no space {outside[0]}; it has 1 to {box.spaces}"
        return
    if len(spaces) == 2 and abs(spaces[0] - spaces[1]) != 2:
        yield f"{circuit.words}: two poles stand one above the other on one side, as 1 and 3; not {_listed(spaces)}"
    if place.half and (circuit.poles != 1 or not circuit.tandem):
        yield f"{circuit.words}: may not share a space with another breaker"
    for space in spaces:
        if not reaches(box, circuit, space):
            yield f"{circuit.words}: its wire, {circuit.reach_ft:g} ft free, does not reach space {space}"
    if circuit.held and spaces != circuit.held:
        yield f"{circuit.words}: the shop holds it at {_listed(circuit.held)}"
    if circuit.interlocked and (box.interlock_space is None or min(spaces) != box.interlock_space):
        at = "that has none" if box.interlock_space is None else f"at {box.interlock_space}"
        yield f"{circuit.words}: must stand at the place of the panel's interlock, {at}"


def _shared_spaces(
    problem: PanelProblem, circuits: Mapping[str, PanelCircuit], places: tuple[Place, ...]
) -> Iterator[str]:
    at: dict[int, list[Place]] = defaultdict(list)
    for place in places:
        for space in place.spaces:
            at[space].append(place)
    for space, here in sorted(at.items()):
        names = " and ".join(circuits[place.circuit].words for place in here)
        halves = sorted(place.half for place in here)
        if halves == [""]:
            continue
        if halves not in (["lower", "upper"], ["lower"], ["upper"]):
            yield f"space {space}: holds {names}; one breaker, or one tandem's two halves, fit"
        elif space not in problem.box.tandem_spaces:
            yield f"space {space}: {names} on a tandem breaker, where the panel lists none"


def _multiwire(circuits: Mapping[str, PanelCircuit], places: tuple[Place, ...]) -> Iterator[str]:
    at = {place.circuit: place for place in places}
    for id, place in at.items():
        circuit = circuits[id]
        other = at.get(circuit.partner or "")
        if other is None or id > other.circuit:
            continue
        ours, theirs = place.spaces[0], other.spaces[0]
        names = f"{circuit.words} and {circuits[other.circuit].words}"
        if leg_of(ours) == leg_of(theirs):
            yield f"{names}: share a neutral on the same line; its current would be the sum, not the difference"
        elif abs(ours - theirs) != 2 or side_of(ours) != side_of(theirs) or place.half or other.half:
            yield f"{names}: share a neutral; a handle tie needs them one above the other, as 1 and 3"


def _stabs(problem: PanelProblem, circuits: Mapping[str, PanelCircuit], places: tuple[Place, ...]) -> Iterator[str]:
    limit = problem.box.stab_limit_a
    if limit is None:
        return
    rated: dict[int, float] = defaultdict(float)
    for place in places:
        circuit = circuits[place.circuit]
        partner = circuits.get(circuit.partner or "", circuit)
        for space in place.spaces:  # two breakers tied by their handles count as two of the larger
            rated[row_of(space)] += max(circuit.rating_a, partner.rating_a)
    for row, amperes in sorted(rated.items()):
        if amperes > limit:
            left = 2 * row + 1
            yield f"spaces {left} and {left + 1}: {amperes:g} A of breakers on one stab that takes {limit:g} A"


def _circuit_limit(problem: PanelProblem, places: tuple[Place, ...]) -> Iterator[str]:
    poles = sum(len(place.spaces) for place in places)
    if poles > problem.box.circuits_max:
        yield f"{poles} poles in a panel that takes {problem.box.circuits_max} at most"


def _listed(spaces: tuple[int, ...]) -> str:
    return " and ".join(str(space) for space in spaces)
