"""Balance held against the three-wire circuit itself, solved node by node by an independent library (numpy)."""

from __future__ import annotations

import numpy as np
import pytest

from driploop.panel import PanelProblem, Place, legs_a, solve_exact
from panel.boxes import box, double, problem, single

LEG_V = 120.0
#: The panel's own neutral bar and lines are as good as without resistance. [ohm]
LINK = 1e-9


def neutral_by_nodes(posed: PanelProblem, layout: tuple[Place, ...], hour: int) -> tuple[float, float, float]:
    """Currents of line A, line B and the neutral, by nodal analysis of the loads as resistances. [A]

    Nodes: panel A, panel B, panel N; the sources +120 V and -120 V and their common point behind a link each.
    """
    circuits = {circuit.id: circuit for circuit in posed.circuits}
    admittance = np.zeros((3, 3))
    injected = np.zeros(3)
    for node, source_v in enumerate((LEG_V, -LEG_V, 0.0)):
        admittance[node, node] += 1 / LINK
        injected[node] += source_v / LINK

    def load(first: int, second: int, ohm: float) -> None:
        admittance[first, first] += 1 / ohm
        admittance[second, second] += 1 / ohm
        admittance[first, second] -= 1 / ohm
        admittance[second, first] -= 1 / ohm

    for place in layout:
        amperes = [pole[hour] for pole in circuits[place.circuit].amperes]
        if len(amperes) == 2 and amperes[0]:
            load(0, 1, 2 * LEG_V / amperes[0])
        elif amperes[0]:
            row = (place.spaces[0] + 1) // 2
            load(0 if row % 2 else 1, 2, LEG_V / amperes[0])
    volts = np.linalg.solve(admittance, injected)
    lines = [(source - volt) / LINK for source, volt in zip((LEG_V, -LEG_V, 0.0), volts, strict=True)]
    return abs(lines[0]), abs(lines[1]), abs(lines[2])


def farm_panel() -> PanelProblem:
    return problem(
        box(12),
        single("lamps", 8.0, 2.0),
        single("freezer", 5.0, 5.0),
        single("heater", 12.5, 0.0),
        single("pump-light", 1.5, 9.5),
        double("cooler", 18.8, 18.8),
        double("vacuum", 25.0, 0.0),
    )


UNBALANCED = (
    Place("lamps", (1,)),
    Place("freezer", (2,)),
    Place("heater", (5,)),
    Place("pump-light", (6,)),
    Place("cooler", (7, 9)),
    Place("vacuum", (8, 10)),
)


@pytest.mark.parametrize("hour", [0, 1])
def test_an_unbalanced_panel(hour: int) -> None:
    posed = farm_panel()
    a, b = legs_a(posed, UNBALANCED)[hour]
    assert (a, b, abs(a - b)) == pytest.approx(neutral_by_nodes(posed, UNBALANCED, hour), abs=1e-3)
    assert abs(a - b) > 15


@pytest.mark.parametrize("hour", [0, 1])
def test_the_same_panel_balanced(hour: int) -> None:
    posed = farm_panel()
    solved = solve_exact(posed)
    assert solved is not None
    a, b = legs_a(posed, solved.layout)[hour]
    line_a, line_b, neutral = neutral_by_nodes(posed, solved.layout, hour)
    assert (a, b, abs(a - b)) == pytest.approx((line_a, line_b, neutral), abs=1e-3)
    assert neutral <= solved.cost.difference_a
