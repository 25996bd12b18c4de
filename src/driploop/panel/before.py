"""What the neutral of a panel carried before: the same loads on the lines they were found on."""

from __future__ import annotations

from driploop.installation import Graph
from driploop.panel.geometry import leg_of
from driploop.panel.hours import balance_before
from driploop.panel.inputs import first_number
from driploop.panel.results import PanelProblem
from driploop.worksheet import Assumption


def neutral_before(problem: PanelProblem, found: Graph, said: list[Assumption]) -> tuple[float | None, ...]:
    """Neutral current as found in each hour, of the loads that were there; None where a line is not known. [A]

    Args:
        problem: the panel as it will stand; what is new in it is left out.
        found: the installation as found.
        said: grows by what had to be assumed.
    """
    present: dict[str, tuple[int | None, tuple[float, ...]]] = {}
    guessed = []
    for circuit in problem.circuits:
        old = found.installation.circuits.get(circuit.id)
        if circuit.kind == "feeder" and circuit.id in found.installation.runs:
            present[circuit.id] = (None, tuple(abs(a - b) for a, b in zip(*circuit.amperes, strict=True)))
        if old is None or circuit.poles != 1:
            continue
        line = None if old.leg is None else int(old.leg == "B")
        home = found.installation.equipment.get(old.from_ or "")
        number = first_number(old.position)
        if line is None and number and home is not None and home.branch_protection == "breakers":
            line = int(leg_of(number) == "B")
            guessed.append(old.id)
        present[circuit.id] = (line, circuit.amperes[0])
    for id in guessed:
        said.append(
            Assumption(
                f"circuits.{id}.leg",
                "as found, on the line of its place, two rows a line",
                "breaker panels are built so; it tells only what the neutral carried before",
                "the line on which it was really found",
            )
        )
    return balance_before(present, len(problem.hours))
