"""Wire and load of one circuit weighed against each other: the largest device, and the one to put in."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.circuits.motor_start import rides_the_start
from driploop.circuits.need import Need, standard_up
from driploop.circuits.protection_results import NamedException
from driploop.circuits.wire import WireLimit, limit_of, lost_in_insulation
from driploop.conductors import next_standard_down
from driploop.conductors.overcurrent import standard_ratings
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit, Equipment
from driploop.worksheet import Cited, plain


@dataclass(frozen=True, slots=True)
class Decision:
    """The numbers of one circuit. Ratings in A; ``why`` refuses a device, ``certain`` says that no answer mends it."""

    safe: WireLimit | None
    hopeful: WireLimit | None
    need: Need
    largest: Cited | None
    why: str
    certain: bool
    until_then_a: float | None
    rating_a: float | None
    exception: NamedException | None

    @property
    def ordinary_a(self) -> float | None:
        """Largest device by the wire alone. [A]"""
        return self.safe.ordinary.number if self.safe is not None else None

    @property
    def least_a(self) -> float | None:
        """The smallest device that the load lets, None where nothing is known to ask one. [A]"""
        return self.need.least.number if self.need.least is not None else None


def decide(
    circuit: Circuit, panel: Equipment | None, need: Need, *, wanted_a: float | None, edition: Edition
) -> Decision:
    """The largest device that wire and load allow, and the one to put in.

    Args:
        circuit: the circuit; its own device, where it has one, judges the terminals.
        panel: where it starts.
        need: what its loads ask.
        wanted_a: the device to keep to where it fits: what was found, or what the shop chose. [A] None where unknown.
        edition: the code edition to ask.
    """
    safe = limit_of(circuit, panel, hopeful=False, edition=edition)
    hopeful = limit_of(circuit, panel, hopeful=True, edition=edition)
    until_a = _capped(safe.ordinary.number, wanted_a, edition) if safe is not None else None
    why = _unusable(circuit, safe) or _short(safe, need, held=not _overload_is_there(need), edition=edition)
    if why or safe is None:
        lost = lost_in_insulation(circuit)
        certain = circuit.wire_size is not None and (
            lost or hopeful is None or bool(_short(hopeful, need, held=False, edition=edition))
        )
        return Decision(safe, hopeful, need, None, why, certain, until_a, None, None)
    largest, exception = _largest(safe, need, held=not _overload_is_there(need), edition=edition)
    least_a = need.least.number if need.least is not None else 0.0
    rating_a = _rating(largest.number, least_a, need, wanted_a, edition)
    return Decision(safe, hopeful, need, largest, "", False, None, rating_a, exception)


def _overload_is_there(need: Need) -> bool:
    return need.overload in (None, "present")


def _unusable(circuit: Circuit, safe: WireLimit | None) -> str:
    """Why no device may be chosen for this wire whatever its load; "" where one may."""
    if circuit.wire_size is None:
        return "the size of its wire is not known"
    if lost_in_insulation(circuit):
        return "knob-and-tube may not lie in thermal insulation"
    if safe is None:
        return f"{circuit.wire_size} {circuit.metal or 'wire'} carries less than the smallest standard device here"
    return ""


def _short(limit: WireLimit | None, need: Need, *, held: bool, edition: Edition) -> str:
    """In which way a wire falls short of its load; "" where it serves."""
    if limit is None:
        return ""
    if not _carries(limit, need):
        carries = plain(round(min(limit.usable_a, limit.found.end.number), 1))
        return f"its load asks wire for {plain(round(need.table_a, 1))} A, and this carries {carries} A"
    largest, _ = _largest(limit, need, held=held, edition=edition)
    if need.least is None or need.least.number <= largest.number:
        return ""
    if need.most is not None and need.most.number < need.least.number:
        return f"its load asks a {need.least.number:g} A device, and {need.most.number:g} A is the most for it"
    return f"its load asks a {need.least.number:g} A device, its wire allows {largest.number:g} A"


def _carries(limit: WireLimit, need: Need) -> bool:
    # A shaving of rounding must not condemn a wire.
    enough = 1e-6
    return limit.found.end.number + enough >= need.table_a and limit.usable_a + enough >= need.carried_a


def _largest(limit: WireLimit, need: Need, *, held: bool, edition: Edition) -> tuple[Cited, NamedException | None]:
    """Largest device by wire and load; an exception is used only where it is not held back and gains something."""
    ordinary, most = limit.ordinary, need.most
    if need.exception is None or held or most is None:
        return (most if most is not None and most.number < ordinary.number else ordinary), None
    if need.wire_percent is not None:
        by_wire = standard_up(limit.usable_a * need.wire_percent.number / 100, edition=edition)
        if by_wire.number < most.number:
            most = Cited(by_wire.value, "A", need.wire_percent.section, by_wire.confirmed)
    top = _top(most, need)
    return top, need.exception if top.number > ordinary.number else None


def _top(most: Cited, need: Need) -> Cited:
    """The usual device, or the ceiling where an ordinary breaker of the usual rating would open at every start."""
    if need.ceiling is None or need.start is None or need.ceiling.number <= most.number:
        return most
    return need.ceiling if rides_the_start(need.start, most.number) == "opens" else most


def _capped(limit_a: float, wanted_a: float | None, edition: Edition) -> float:
    """The wire's own limit, no larger than what was found."""
    if wanted_a is None or wanted_a >= limit_a:
        return limit_a
    return _standard_down(wanted_a, edition)


def _standard_down(rating_a: float, edition: Edition) -> float:
    try:
        return next_standard_down(rating_a, edition=edition).number
    except NotInTable:
        return standard_ratings(edition)[0].number


def _rating(largest_a: float, least_a: float, need: Need, wanted_a: float | None, edition: Edition) -> float:
    """The breaker to put in: what was found where it fits, never more; a motor's is raised until it lets it start."""
    start = max(least_a, min(need.prefer_a, largest_a))
    wanted = min(_capped(largest_a, wanted_a, edition), largest_a)
    wanted = max(wanted, _up(start, largest_a, edition)) if need.least is not None else wanted
    if need.start is None or rides_the_start(need.start, wanted) == "holds":
        return wanted
    larger = [rating.number for rating in standard_ratings(edition) if wanted < rating.number <= largest_a]
    holding = next((rating for rating in larger if rides_the_start(need.start, rating) == "holds"), None)
    return holding if holding is not None else max([wanted, *larger])


def _up(rating_a: float, largest_a: float, edition: Edition) -> float:
    up = standard_up(rating_a, edition=edition).number
    return min(up, largest_a)
