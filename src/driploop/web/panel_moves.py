"""Moves of a hand on a panel's face: where a circuit may go, what changes place with it, and why it may not."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # layouts are loaded with the first plan that is asked for them
    from driploop.panel import PanelCircuit, PanelProblem, PanelReading, Place
    from driploop.panel.results import Half

#: What may stand as a key of a job file without quotes; what is called otherwise is placed by the program alone.
_KEY = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True, slots=True)
class Offer:
    """One space as a place for a circuit: ``refused`` says why not, ``away`` names what changes place with it.

    ``stays`` says that it stands there already, and would only be held.
    """

    space: int
    layout: tuple[Place, ...]
    refused: str = ""
    away: tuple[str, ...] = ()
    stays: bool = False


@dataclass(frozen=True, slots=True)
class FaceCell:
    """One cell of the face: the circuits there (two on a tandem), over how many rows it reaches; none for a spare."""

    space: int
    rows: int = 1
    circuits: tuple[PanelCircuit, ...] = ()


@dataclass(frozen=True, slots=True)
class FaceRow:
    """One row of the face. A side is None where a breaker from the row above reaches down."""

    left: int
    right: int
    leg: str
    left_cell: FaceCell | None
    right_cell: FaceCell | None


def slug_of(equipment: str) -> str:
    """A panel's id in an address: the second panel of a place is ``house-panel:2``."""
    return equipment.replace("/", ":")


def panel_of(panels: Iterable[PanelReading], slug: str) -> PanelReading | None:
    """The panel that an address names."""
    return next((each for each in panels if slug_of(each.equipment) == slug), None)


def may_be_held(circuit: PanelCircuit) -> bool:
    """Whether a job file can name it."""
    from driploop.panel.held import key_of

    return bool(_KEY.fullmatch(key_of(circuit.id)))


def face_of(problem: PanelProblem, layout: Iterable[Place]) -> tuple[FaceRow, ...]:
    """The face, row by row."""
    from driploop.panel.geometry import leg_of, rows_of

    circuits = {circuit.id: circuit for circuit in problem.circuits}
    at: dict[int, list[Place]] = {}
    covered: set[int] = set()
    for place in sorted(layout, key=lambda each: each.half != "upper"):
        at.setdefault(min(place.spaces), []).append(place)
        covered |= set(place.spaces) - {min(place.spaces)}

    def cell(space: int) -> FaceCell | None:
        if space in covered or space > problem.box.spaces:
            return None
        here = at.get(space, [])
        return FaceCell(
            space, max((len(place.spaces) for place in here), default=1), tuple(circuits[p.circuit] for p in here)
        )  # fmt: skip

    return tuple(
        FaceRow(2 * row + 1, 2 * row + 2, leg_of(2 * row + 1), cell(2 * row + 1), cell(2 * row + 2))
        for row in range(rows_of(problem.box))
    )


def offers(
    problem: PanelProblem, layout: Iterable[Place], circuit: str, held: Mapping[str, str]
) -> dict[int, Offer]:  # fmt: skip
    """Every space as a place for a circuit.

    Args:
        problem: the panel.
        layout: where every circuit stands now.
        circuit: the one that is moved.
        held: places that the shop holds, by the job file's keys.
    """
    loose = replace(problem, circuits=tuple(replace(each, held=()) for each in problem.circuits))
    now = {place.circuit: place for place in layout}
    return {space: _offer(loose, now, circuit, space, held) for space in range(1, problem.box.spaces + 1)}


def _offer(
    problem: PanelProblem, now: Mapping[str, Place], circuit: str, space: int, held: Mapping[str, str]
) -> Offer:  # fmt: skip
    from driploop.panel import illegal
    from driploop.panel.held import key_of, spaces_words

    by_id = {each.id: each for each in problem.circuits}
    partner = by_id[circuit].partner
    together = [circuit, *([partner] if partner in now and partner is not None else [])]
    shift = space - min(now[circuit].spaces)
    if shift == 0:
        if now[circuit].half:
            return Offer(space, (), "it shares this space, and only a whole space can be held")
        return Offer(space, tuple(now.values()), stays=True)
    moved = {id: _shifted(now[id], shift) for id in together}
    wanted = {each for place in moved.values() for each in place.spaces}
    away = [place for id, place in now.items() if id not in moved and wanted & set(place.spaces)]
    names = tuple(by_id[place.circuit].words for place in away)
    stuck = next((by_id[p.circuit].words for p in away if key_of(p.circuit) in held), "")
    if stuck:
        return Offer(space, (), f"{stuck} is held here: let it go first", names)
    if len(away) > 1 and any(place.half for place in away):
        return Offer(space, (), "two circuits share this space: move them one by one", names)
    free = set(range(1, problem.box.spaces + 1)) - {
        each for id, place in now.items() if id not in moved and place not in away for each in place.spaces
    }
    for place in away:
        if not {each - shift for each in place.spaces} <= free - wanted:
            stands = f"{by_id[place.circuit].words}, at {spaces_words(place.spaces)}"
            return Offer(space, (), f"{stands}, finds no room in exchange: move it first", names)
    half = now[circuit].half
    back = {place.circuit: _shifted(place, -shift, half) for place in away}
    alone = {id: replace(place, half="") for id, place in now.items()
             if half and not back and id != circuit and place.spaces == now[circuit].spaces}  # fmt: skip
    standing: dict[str, Place] = {**now, **alone, **moved, **back}
    after = tuple(standing.values())
    reasons = illegal(problem, after)
    return Offer(space, () if reasons else after, reasons[0] if reasons else "", names)


def _shifted(place: Place, by: int, half: Half = "") -> Place:
    return replace(place, spaces=tuple(space + by for space in place.spaces), half=half)


def kept_after(
    problem: PanelProblem, layout: Iterable[Place], circuit: str, held: Mapping[str, str], laid: Mapping[str, str]
) -> tuple[dict[str, str], dict[str, str]]:
    """Places held and places laid after a move, as the job file keeps them."""
    from driploop.panel.held import key_of, spaces_words

    at = {place.circuit: place for place in layout}
    now_held = {**held, key_of(circuit): spaces_words(at[circuit].spaces)}
    return now_held, laid_after(problem, at.values(), now_held, laid)


def laid_after(
    problem: PanelProblem, layout: Iterable[Place], held: Mapping[str, str], laid: Mapping[str, str]
) -> dict[str, str]:
    """Places laid, those of this panel anew; what shares a space finds it by itself each time."""
    from driploop.panel.held import key_of, spaces_words

    mine = {key_of(circuit.id): circuit for circuit in problem.circuits}
    new = {
        key_of(place.circuit): spaces_words(place.spaces)
        for place in layout
        if not place.half and key_of(place.circuit) not in held and may_be_held(mine[key_of(place.circuit)])
    }
    return {**{key: words for key, words in laid.items() if key not in mine}, **new}


def holding(problem: PanelProblem, held: Mapping[str, str]) -> PanelProblem:
    """The problem with nothing held but what the shop holds by hand."""
    from driploop.panel.held import key_of

    return replace(
        problem,
        circuits=tuple(each if key_of(each.id) in held else replace(each, held=()) for each in problem.circuits),
    )
