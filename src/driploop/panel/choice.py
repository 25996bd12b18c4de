"""Which box hangs in a place: the smallest that takes what is there, what is wished for later, and some spares."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from driploop.installation.sizes import rank
from driploop.panel.habits import spare_spaces
from driploop.panel.results import PanelBox, PanelChoice, PanelCircuit


@dataclass(frozen=True, slots=True)
class PanelNeed:
    """What a place asks of its panel. None where nothing is known or asked.

    ``poles`` are those of the circuits and feeders, ``reserved`` those kept for named wishes; ``largest_a`` is the
    largest breaker of them [A], ``tandem_pairs`` how many pairs of them may share a space. ``feed_through``
    says that a run leaves it without a device of its own.
    """

    poles: int
    reserved: int = 0
    rating_a: float | None = None
    main: str | None = None
    main_a: float | None = None
    outdoors: bool | None = None
    spaces: int | None = None
    line_size: str | None = None
    line_metal: str | None = None
    interlock: bool = False
    largest_a: float = 0.0
    tandem_pairs: int = 0
    arc_or_ground_fault: bool = False
    feed_through: bool = False

    @property
    def spare(self) -> int:
        """Spaces to leave free besides."""
        return spare_spaces(self.poles + self.reserved)

    @property
    def wanted(self) -> int:
        """Spaces all told."""
        return self.poles + self.reserved + self.spare


def choose_panel(need: PanelNeed, boxes: Sequence[PanelBox]) -> PanelChoice | None:
    """The box for a place, with the reason; None where no box of the list will do.

    Args:
        need: what the place asks.
        boxes: what can be bought, smallest first.

    Returns:
        The smallest box with room for all and the spares. Where none has that, the largest that takes what must be
        landed, and it is said what is missing.
    """
    refused = [(box, reason) for box in boxes if (reason := next(_against(box, need), ""))]
    barred = {box.id for box, _ in refused}
    fit = [box for box in boxes if box.id not in barred]
    if not fit:
        return None
    roomy = [box for box in fit if box.spaces >= need.wanted]
    why = []
    if roomy:
        liked = [box for box in roomy if box.plug_on_neutral] if need.arc_or_ground_fault else []
        box = (liked or roomy)[0]
        asked = f" of the {need.spaces} spaces or more that are asked for" if need.spaces is not None else ""
        why.append(f"the smallest{asked} with room for all: {_sum_words(need)} = {need.wanted} spaces")
        if liked and liked[0] is not roomy[0]:
            why.append("a plug-on neutral spares a pigtail for each arc-fault or ground-fault breaker")
    else:
        box = fit[-1]
        why.append(f"the largest that serves here; {_sum_words(need)} = {need.wanted} spaces would be wanted")
    if need.rating_a is not None:
        why.append(f"its bus, {box.bus_a:g} A, carries the {need.rating_a:g} A of this place")
    short = need.poles + need.reserved - box.spaces
    if short > 0:
        why.append(f"{short} spaces are shared by tandem breakers, where its label lists them")
    others = [*((box, reason) for box, reason in refused), *_passed_over(box, fit, need)]
    return PanelChoice(box, tuple(why), tuple((other.title, reason) for other, reason in others))


def _sum_words(need: PanelNeed) -> str:
    parts = [f"{need.poles} in use"]
    if need.reserved:
        parts.append(f"{need.reserved} kept for later wishes")
    parts.append(f"{need.spare} spare")
    return " + ".join(parts)


def _against(box: PanelBox, need: PanelNeed) -> Iterator[str]:
    if need.rating_a is not None and box.bus_a < need.rating_a:
        yield f"its bus is rated {box.bus_a:g} A"
    if need.rating_a is not None and need.main != "breaker" and box.bus_a > 2 * need.rating_a:
        yield f"its bus, {box.bus_a:g} A, is far larger than this place needs"
    if need.main == "breaker" and (box.main != "breaker" or (need.main_a is not None and box.main_a != need.main_a)):
        yield f"it has no main breaker of {need.main_a:g} A" if need.main_a is not None else "it has no main breaker"
    if need.main == "none" and box.main != "lugs":
        yield "it has a main breaker, and the place asks for main lugs"
    if need.outdoors and not box.outdoors:
        yield "it is not made for outdoors"
    if need.outdoors is False and box.outdoors:
        yield "it is made for outdoors"
    if need.spaces is not None and box.spaces < need.spaces:
        yield f"it has {box.spaces} spaces, and the proposal states {need.spaces}"
    if need.feed_through and not box.feed_through_lugs:
        yield "it has no feed-through lugs, and a run leaves it without a device"
    if need.interlock and box.interlock_space is None:
        yield "no interlock for a generator breaker is listed for it"
    if box.stab_limit_a is not None and box.stab_limit_a < need.largest_a:
        yield f"its stabs take {box.stab_limit_a:g} A of breakers, and one of {need.largest_a:g} A must be landed"
    if need.line_size is not None and not _lugs_take(box, need.line_size):
        yield f"its lugs take {box.lugs_smallest} to {box.lugs_largest}, not {need.line_size}"
    poles = need.poles + need.reserved
    most = min(box.circuits_max, box.spaces + min(len(box.tandem_spaces), need.tandem_pairs))
    if poles > most:
        yield f"it takes {most} of these poles, and {poles} must be landed"


def _lugs_take(box: PanelBox, size: str) -> bool:
    if not box.lugs_largest:
        return True
    return rank(box.lugs_smallest) <= rank(size) <= rank(box.lugs_largest)


def _passed_over(chosen: PanelBox, fit: Sequence[PanelBox], need: PanelNeed) -> Iterator[tuple[PanelBox, str]]:
    for box in fit:
        if box is chosen:
            continue
        if box.spaces < need.wanted:
            yield box, f"it has {box.spaces} spaces and leaves too few spare"
        elif box.spaces == chosen.spaces:
            yield box, "it would serve as well"
        else:
            yield box, "it is larger than this place needs"


def share_out(circuits: Sequence[PanelCircuit], boxes: Sequence[PanelBox]) -> tuple[tuple[PanelCircuit, ...], ...]:
    """Circuits of a place dealt to as few panels as will hold them, each room whole where it fits in one panel.

    Args:
        circuits: all of them.
        boxes: what can be bought; the roomiest sets the size of a panel.

    Returns:
        The circuits of each panel, the main panel first. Each further panel is fed from the main one: two of its spaces
        are left out of account for each feeder, and in every panel the spare ones.
    """
    most = max(min(box.spaces, box.circuits_max) for box in boxes)
    room = max(used for used in range(1, most + 1) if used == 1 or used + spare_spaces(used) <= most)
    groups: dict[str, list[PanelCircuit]] = {}
    for circuit in circuits:
        groups.setdefault(circuit.room, []).append(circuit)
    for count in range(1, len(circuits) + 1):
        rooms = [room - 2 * (count - 1), *([room] * (count - 1))]
        dealt = _dealt(groups, rooms)
        if dealt is not None:
            return tuple(tuple(panel) for panel in dealt if panel)
    return (tuple(circuits),)


def _dealt(groups: dict[str, list[PanelCircuit]], rooms: list[int]) -> list[list[PanelCircuit]] | None:
    left = list(rooms)
    panels: list[list[PanelCircuit]] = [[] for _ in rooms]
    sized = sorted(groups.values(), key=lambda group: -sum(circuit.poles for circuit in group))
    for group in sized:
        poles = sum(circuit.poles for circuit in group)
        whole = next((i for i, free in enumerate(left) if free >= poles), None)
        for circuit in group:
            pair = 2 if circuit.partner else circuit.poles
            at = whole if whole is not None else next((i for i, free in enumerate(left) if free >= pair), None)
            partner = next((i for i, panel in enumerate(panels) if any(c.id == circuit.partner for c in panel)), None)
            at = partner if partner is not None else at
            if at is None or left[at] < circuit.poles:
                return None
            panels[at].append(circuit)
            left[at] -= circuit.poles
    return panels
