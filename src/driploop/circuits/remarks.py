"""What must be mended, asked or known about the protection of a circuit, in words."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.decision import Decision
from driploop.circuits.protection_results import GroundFound, ProposedDevice, Remark
from driploop.circuits.today import Found
from driploop.editions import Edition
from driploop.installation import Circuit
from driploop.worksheet import Verdict

_FUSES = frozenset({"plug fuse", "cartridge fuse", "time-delay fuse"})
_TWENTY_AMPERE = frozenset({"small appliance", "laundry", "bathroom"})


def remarks_of(
    circuit: Circuit,
    decision: Decision,
    device: ProposedDevice,
    found: Found,
    *,
    start: str | None,
    proposed: bool,
    edition: Edition,
) -> Iterator[Remark]:
    """Remarks on wire, device and machine. What is found today is no fault of the installation as proposed."""
    if circuit.purpose == "spare":
        return
    section = edition.section("breaker-matches-wire")
    if decision.why:
        tail = "new wire, or less load on it" if decision.certain else "settle it before a breaker is chosen"
        verdict = Verdict.MEND if decision.certain else Verdict.ASK
        yield Remark(verdict, f"{decision.why}: {tail}", section)
    if not proposed and not (decision.why and found.verdict == "not known"):
        yield from _today(found, section)
    yield from _machine(decision, device, found, start, edition)
    least, largest = edition.value("appliance_circuit_a"), decision.largest
    if circuit.purpose in _TWENTY_AMPERE and largest is not None and largest.number < least.number:
        words = f"a {circuit.purpose} circuit is of {least.text} today; its wire allows {largest.text}"
        yield Remark(Verdict.KNOW, f"{words}: new wire, when it is renewed", least.section)
    if device.poles is None and device.rating_a is not None:
        yield Remark(Verdict.ASK, "one pole or two: its poles are not known", edition.section("handle-ties"))


def _today(found: Found, section: str) -> Iterator[Remark]:
    if found.verdict == "too large":
        yield Remark(Verdict.MEND, found.words, section)
    elif found.verdict in ("perhaps too large", "not known"):
        yield Remark(Verdict.ASK, found.words, section)
    elif found.verdict in ("too small", "no device"):
        yield Remark(Verdict.KNOW, found.words, section)


def _machine(
    decision: Decision, device: ProposedDevice, found: Found, start: str | None, edition: Edition
) -> Iterator[Remark]:
    need, breaker = decision.need, device.kind == "inverse-time breaker"
    if need.overload == "not known" and _would_gain(decision, found):
        words = "is there an overload device, in a starter or in the motor? Until it is seen the breaker stays within "
        yield Remark(Verdict.ASK, f"{words}the wire's ordinary limit", edition.section("motor-overload"))
    if device.kind == "fuse kept":
        words = f"its nameplate asks fuses: {device.words}; a plain breaker in their place is refused"
        yield Remark(Verdict.KNOW, words, edition.section("fuse-only-nameplate"))
    if found.kind in _FUSES and breaker and need.exception is not None and need.most is not None:
        words = f"{found.kind} becomes an inverse-time breaker, a change of kind: {need.most.number:g} A is the most "
        yield Remark(Verdict.KNOW, f"{words}for the machine", edition.section("motor-branch-circuit"))
    if start in ("may open", "opens"):
        words = (
            f"a {device.rating_a:g} A breaker {start} when the machine starts: hold the maker's trip curve against it, "
            "or take one made for high starting current"
        )
        yield Remark(Verdict.ASK, words, edition.section("motor-start"))


def _would_gain(decision: Decision, found: Found) -> bool:
    """Whether overload protection, once seen, would allow a larger device than the wire's own limit."""
    ordinary, most = decision.ordinary_a, decision.need.most
    gains = ordinary is not None and most is not None and most.number > ordinary
    return gains or found.verdict == "perhaps too large"


def ground_remarks(circuit: Circuit, ground: GroundFound) -> Iterator[Remark]:
    """Remarks on the equipment ground."""
    if circuit.purpose == "spare" or ground.serves is True:
        return
    told = "; ".join(filter(None, (ground.panel, ground.receptacles)))
    if ground.serves is None:
        yield Remark(Verdict.ASK, f"equipment ground, {ground.state}: {told}", ground.section)
    else:
        yield Remark(Verdict.KNOW, f"no equipment ground: {told}", ground.section)
