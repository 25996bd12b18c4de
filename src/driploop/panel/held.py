"""Places that the shop has fixed: held as far as they can stand, and given up in words where they cannot."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from driploop.installation.model import Proposal
from driploop.panel.legality import illegal
from driploop.panel.results import PanelCircuit, PanelProblem, Place
from driploop.panel.units import units_of
from driploop.worksheet import Assumption

_SPACES = re.compile(r"(\d{1,3})(?:-(\d{1,3}))?")
#: What a space kept for a later wish is called as a circuit begins so.
LATER = "later/"
_KEYS = ("held_places", "laid_places")


def key_of(circuit: str) -> str:
    """What a job file calls a circuit, feeder or later wish of a panel."""
    return circuit.removeprefix(LATER)


def spaces_words(spaces: Sequence[int]) -> str:
    """Spaces as a job file writes them, in the order of the poles: ``5``, ``1-3``."""
    return "-".join(str(space) for space in spaces)


def spaces_of(words: str) -> tuple[int, ...]:
    """The spaces that a job file names; none where the words name none."""
    found = _SPACES.fullmatch(words.strip())
    return tuple(int(each) for each in found.groups() if each) if found else ()


def with_places(
    problem: PanelProblem, proposal: Proposal | None, said: list[Assumption]
) -> Iterator[PanelProblem]:  # fmt: skip
    """The problem with its circuits held where the proposal wants them; then, should no layout be found so, with fewer.

    Args:
        problem: the panel, nothing held yet.
        proposal: what the shop has decided; None holds nothing.
        said: grows by every place that cannot stand, when the problem that leaves it out is asked for.
    """
    wanted: list[tuple[str, dict[str, str]]] = (
        [(key, getattr(proposal, key)) for key in _KEYS] if proposal is not None else []
    )
    if not any(places for _, places in wanted):
        yield problem
        return
    held: dict[str, tuple[int, ...]] = {}
    by_hand: dict[str, tuple[int, ...]] = {}
    for key, places in wanted:
        for circuit in problem.circuits:
            words = places.get(key_of(circuit.id))
            if words is None or circuit.id in held:
                continue
            against = _against(problem, held, circuit, spaces_of(words))
            if not against:
                held[circuit.id] = spaces_of(words)
            elif key == _KEYS[0]:
                said.append(_left_out(key, circuit, words, against))
        by_hand = by_hand or dict(held)
    yield _holding(problem, held)
    if held != by_hand and by_hand:
        yield _holding(problem, by_hand)
    if by_hand:
        said += (_left_out(_KEYS[0], c, spaces_words(by_hand[c.id]), "no lawful layout of all is left with it")
                 for c in problem.circuits if c.id in by_hand)  # fmt: skip
    yield problem


def _holding(problem: PanelProblem, held: Mapping[str, tuple[int, ...]]) -> PanelProblem:
    return replace(problem, circuits=tuple(replace(c, held=held.get(c.id, ())) for c in problem.circuits))


def _against(
    problem: PanelProblem, held: Mapping[str, tuple[int, ...]], circuit: PanelCircuit, spaces: tuple[int, ...]
) -> str:
    """Why a circuit may not be held there, beside those held already; "" where it may."""
    if not spaces:
        return "this is no space, nor two of them as in 1-3"
    here = {**held, circuit.id: spaces}
    some = replace(problem, circuits=tuple(replace(c, held=here[c.id]) for c in problem.circuits if c.id in here))
    reasons = illegal(some, (Place(id, at) for id, at in here.items()))
    if reasons:
        return reasons[0]
    whole = units_of(_holding(problem, here))
    blocked = next((unit for unit in whole if circuit in _bare(unit.circuits) and not unit.anywhere), None)
    return "the circuit whose handle is tied to it finds no place beside it" if blocked is not None else ""


def _bare(circuits: Sequence[PanelCircuit]) -> tuple[PanelCircuit, ...]:
    return tuple(replace(circuit, held=()) for circuit in circuits)


def _left_out(key: str, circuit: PanelCircuit, words: str, why: str) -> Assumption:
    return Assumption(
        f"proposal.{key}.{key_of(circuit.id)}",
        f"{circuit.words} is not held at {words}: {why}",
        "a place that cannot stand is given up, never a rule of the panel",
        "another place for it, or letting it go",
    )


def unknown_places(proposal: Proposal | None, landed: Sequence[str]) -> Iterator[Assumption]:
    """Places held for what lands in no panel.

    Args:
        proposal: what the shop has decided.
        landed: every circuit, feeder and later wish that lands in a panel.
    """
    known = {key_of(circuit) for circuit in landed}
    for id, words in proposal.held_places.items() if proposal is not None else ():
        if id not in known:
            yield Assumption(
                f"proposal.held_places.{id}",
                f"nothing: no circuit, feeder or later wish of this name lands in a panel, so space {words} is free",
                "a name without a wire holds nothing",
                "the id as the survey has it, or taking the line out",
            )
