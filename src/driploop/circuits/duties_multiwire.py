"""Two circuits on one neutral: opened together, grouped, on opposite lines."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from driploop.circuits.change import Change, unseen
from driploop.circuits.duties_results import Duty, Need
from driploop.installation import Circuit, Graph
from driploop.worksheet import Assumption

Legs = Literal["opposite", "same"]


def multiwire_pairs(graph: Graph) -> Iterator[tuple[Circuit, Circuit]]:
    """Every two circuits that share a neutral, each pair once."""
    circuits = graph.installation.circuits
    for circuit in circuits.values():
        other = circuits.get(circuit.multiwire_with or "")
        if other is not None and not (other.multiwire_with == circuit.id and other.id < circuit.id):
            yield circuit, other


def legs_of(circuit: Circuit, other: Circuit) -> Legs | None:
    """Whether two circuits take opposite lines or the same; None where nobody knows."""
    if circuit.leg is None or other.leg is None:
        return "opposite" if 2 in (circuit.poles, other.poles) else None
    return "same" if circuit.leg == other.leg else "opposite"


def multiwire(change: Change, circuit: Circuit, other: Circuit) -> Iterator[Duty]:
    """The duty of one pair. Source: the edition's rule on multiwire circuits."""
    where = f"circuits.{circuit.id}"
    name, section = other.serves or other.title, change.section("multiwire-disconnect")
    needs = (Need("two-pole breaker, or two breakers with a listed tie"), Need("wire tie at the pair in the panel"))
    do = "Open both by one handle, tie their wires together in the panel, and put them on opposite lines."
    if not change.lands_anew(circuit) and not change.lands_anew(other):
        reason = f"It shares its neutral with {name}, and its panel stays as it was."
        yield Duty(where, "multiwire-opens-together", "no", reason, section, do, needs)
        return
    reason = f"It shares its neutral with {name}, and both are landed anew."
    assumptions: tuple[Assumption, ...] = ()
    if legs_of(circuit, other) is None:
        assumptions = unseen(
            f"{where}.leg", "the two may take the same line",
            "a two-pole device puts them on opposite lines", "the voltage between the two, had by a qualified person",
        )  # fmt: skip
    elif legs_of(circuit, other) == "same":
        reason += " They take the same line, and the neutral carries the sum."
    yield Duty(where, "multiwire-opens-together", "yes", reason, section, do, needs, (), assumptions)
