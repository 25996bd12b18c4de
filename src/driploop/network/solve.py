"""A network solved: voltages under load, driving-point impedances, faults, a motor that starts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from driploop.network.model import Branch, Draw, Draws, Network, Node
from driploop.network.sparse import Factors, Rows

#: Insulation is never perfect; so little that no ampere is changed, enough that nothing hangs in the air. [S]
LEAK_S = 1e-7
#: Next to nothing; keeps a run without length a run. [ohm]
LEAST_OHM = 1e-7
#: A load's current is taken as found when its node moves by less than this between two rounds. [V]
CLOSE_V = 1e-7
MOST_ROUNDS = 60


class NotConverged(ArithmeticError):  # noqa: N818 - reads as what happened
    """The loads ask for more than the network can bring them."""


class Solver:
    """One network, factored once.

    Args:
        network: what to solve.
        impedances: loads that behave as fixed impedances and belong to the network itself.
    """

    def __init__(self, network: Network, impedances: Sequence[Draw] = ()) -> None:
        self.network = network
        self.impedances = tuple(impedances)
        self.index: dict[Node, int] = {}
        rows: Rows = []
        for bus, wires in network.buses.items():
            bonded = bus in network.bonded
            first = len(rows)
            for wire in wires:
                if not (bonded and wire == "G"):
                    self.index[Node(bus, wire)] = len(rows)
                    rows.append({})
            if bonded:
                self.index[Node(bus, "G")] = self.index[Node(bus, "N")]
            # Wires of one enclosure are kept together, so that what lies between any two of them can be read.
            for k in range(first, len(rows)):
                rows[k] = dict.fromkeys(range(k, len(rows)), 0j)
                rows[k][k] = LEAK_S + 0j
        self._stamp(rows)
        self._factors = Factors(rows)
        self._driven = self._drive(len(rows))

    def _stamp(self, rows: Rows) -> None:
        index = self.index
        for branch in self.network.branches:
            z = branch.impedance_ohm
            _join(rows, index[branch.from_], index[branch.to], 1 / (z if abs(z) > LEAST_OHM else LEAST_OHM))
        for path in self.network.earth:
            k = index[path.at]
            rows[k][k] += 1 / max(path.resistance_ohm, LEAST_OHM)
        for draw in self.impedances:
            _join(rows, index[draw.positive], index[draw.negative], _admittance(draw))
        windings = self.network.source.windings
        self._source_y = inverted(self.network.source.impedance_ohm)
        ends = [(index[w.positive], index[w.negative]) for w in windings]
        for (p, n), line in zip(ends, self._source_y, strict=True):
            for (q, m), y in zip(ends, line, strict=True):
                for i, sign in ((p, 1), (n, -1)):
                    for j, other in ((q, 1), (m, -1)):
                        if i <= j:
                            rows[i][j] = rows[i].get(j, 0j) + sign * other * y

    def _drive(self, size: int) -> list[complex]:
        right = [0j] * size
        windings = self.network.source.windings
        for winding, line in zip(windings, self._source_y, strict=True):
            current = sum((y * other.emf_v for y, other in zip(line, windings, strict=True)), 0j)
            right[self.index[winding.positive]] += current
            right[self.index[winding.negative]] -= current
        return right

    # --- voltages --------------------------------------------------------------------------------------------------

    def voltages(self, draws: Sequence[Draw] = (), *, kind: Draws = "current") -> Voltages:
        """Every node's voltage to earth while the loads run.

        Args:
            draws: the loads.
            kind: "current": each takes its rated amperes whatever its voltage, as the hand method reckons; "power": its
                rated volt-amperes; "impedance" belongs in the constructor and is refused here.

        Raises:
            NotConverged: "power" asks for more than the network can carry.
        """
        if kind == "impedance":
            raise ValueError("fixed impedances are part of the network: give them to Solver")
        volts = self._factors.solve(self._driven)
        if not draws:
            return Voltages(self, volts)
        index = self.index
        ends = [(index[d.positive], index[d.negative], d.va.conjugate() / d.rated_v, d.rated_v) for d in draws]
        for _ in range(MOST_ROUNDS):
            right = list(self._driven)
            for p, n, rated_a, rated_v in ends:
                across = volts[p] - volts[n]
                size = abs(across) or 1.0
                current = rated_a * across / size if kind == "current" else rated_a * rated_v * across / (size * size)
                right[p] -= current
                right[n] += current
            after = self._factors.solve(right)
            if max(abs(after[p] - volts[p]) for p, *_ in ends) < CLOSE_V:
                return Voltages(self, after)
            volts = after
        if kind == "power":
            raise NotConverged("the loads draw more than this supply can bring them")
        return Voltages(self, self._at_idle_angles(ends))

    def _at_idle_angles(self, ends: Sequence[tuple[int, int, complex, float]]) -> list[complex]:
        """Rated currents at the angle of the voltage without load: what is left when the true angles chase each other.

        The voltages are then no more than a measure of how far the loads are beyond this supply.
        """
        volts = self._factors.solve(self._driven)
        right = list(self._driven)
        for p, n, rated_a, _ in ends:
            across = volts[p] - volts[n]
            current = rated_a * across / (abs(across) or 1.0)
            right[p] -= current
            right[n] += current
        return self._factors.solve(right)

    # --- impedances and faults -------------------------------------------------------------------------------------

    def looking_in(self, first: Node, second: Node) -> complex:
        """The impedance of everything, seen between two wires of one enclosure. [ohm]"""
        i, j = self.index[first], self.index[second]
        if i == j:
            return 0j
        inverse = self._factors.inverse
        return inverse(i, i) + inverse(j, j) - 2 * inverse(i, j)

    def transfer(self, first: Node, second: Node) -> list[complex]:
        """How far one ampere drawn from ``first`` and given back at ``second`` lowers each node. [V/A]"""
        unit = [0j] * len(self._driven)
        unit[self.index[first]] += 1
        unit[self.index[second]] -= 1
        return self._factors.solve(unit)

    def fault(self, first: Node, second: Node, *, before: Voltages | None = None) -> complex:
        """Current of a bolted fault between two wires of one enclosure. [A]

        Args:
            first: one wire.
            second: the other.
            before: voltages just before; left out, those without load.
        """
        before = before or self.idle
        z = self.looking_in(first, second)
        return (before.at(first) - before.at(second)) / (z if abs(z) > LEAST_OHM else LEAST_OHM)

    @property
    def idle(self) -> Voltages:
        """Voltages while nothing runs."""
        return Voltages(self, self._factors.solve(self._driven))

    def balance(self, voltages: Voltages, draws: Sequence[Draw] = ()) -> Mapping[Node, complex]:
        """What flows into each node and not out again; nothing but rounding where the solution is right. [A]

        ``draws`` are those that take their rated amperes.
        """
        left = dict.fromkeys(range(len(self._driven)), 0j)
        for branch in self.network.branches:
            current = voltages.current(branch)
            left[self.index[branch.from_]] -= current
            left[self.index[branch.to]] += current
        for path in self.network.earth:
            left[self.index[path.at]] -= voltages.at(path.at) / path.resistance_ohm
        for draw in self.impedances:
            current = voltages.between(draw.positive, draw.negative) * _admittance(draw)
            left[self.index[draw.positive]] -= current
            left[self.index[draw.negative]] += current
        for draw in draws:
            across = voltages.between(draw.positive, draw.negative)
            current = draw.va.conjugate() / draw.rated_v * across / abs(across)
            left[self.index[draw.positive]] -= current
            left[self.index[draw.negative]] += current
        for winding, current in zip(self.network.source.windings, voltages.winding_currents(), strict=True):
            left[self.index[winding.positive]] += current
            left[self.index[winding.negative]] -= current
        return {node: left[k] - LEAK_S * voltages.at(node) for node, k in self.index.items()}


class Voltages:
    """One solution: the voltage of every node to earth, and the currents that follow. [V, A]"""

    __slots__ = ("_solver", "_volts")

    def __init__(self, solver: Solver, volts: list[complex]) -> None:
        self._solver = solver
        self._volts = volts

    def at(self, node: Node) -> complex:
        """A node's voltage to earth. [V]"""
        return self._volts[self._solver.index[node]]

    @property
    def all(self) -> list[complex]:
        """Those of every node, as the solver numbers them. [V]"""
        return list(self._volts)

    def between(self, first: Node, second: Node) -> complex:
        """The voltage from one node to another. [V]"""
        return self.at(first) - self.at(second)

    def current(self, branch: Branch) -> complex:
        """The current along a wire, from its start to its end. [A]"""
        z = branch.impedance_ohm
        return self.between(branch.from_, branch.to) / (z if abs(z) > LEAST_OHM else LEAST_OHM)

    def winding_currents(self) -> Iterator[complex]:
        """What each winding of the source delivers. [A]"""
        windings = self._solver.network.source.windings
        lost = [w.emf_v - self.between(w.positive, w.negative) for w in windings]
        for line in self._solver._source_y:
            yield sum((y * v for y, v in zip(line, lost, strict=True)), 0j)

    def lowered(self, current_a: complex, transfer: Sequence[complex]) -> Voltages:
        """These voltages while a further current is drawn where ``transfer`` was taken. [A, V/A]"""
        return Voltages(self._solver, [v - current_a * t for v, t in zip(self._volts, transfer, strict=True)])


def _admittance(draw: Draw) -> complex:
    return draw.va.conjugate() / draw.rated_v**2


def _join(rows: Rows, i: int, j: int, y: complex) -> None:
    if i == j:
        return
    rows[i][i] += y
    rows[j][j] += y
    if i > j:
        i, j = j, i
    rows[i][j] = rows[i].get(j, 0j) - y


def inverted(matrix: Sequence[Sequence[complex]]) -> list[list[complex]]:
    """The inverse of a small matrix, by elimination with the largest pivot first."""
    size = len(matrix)
    work = [[*row, *(1 + 0j if i == j else 0j for j in range(size))] for i, row in enumerate(matrix)]
    for k in range(size):
        best = max(range(k, size), key=lambda i: abs(work[i][k]))
        work[k], work[best] = work[best], work[k]
        pivot = work[k][k]
        work[k] = [value / pivot for value in work[k]]
        for i in range(size):
            if i != k and work[i][k]:
                share = work[i][k]
                work[i] = [value - share * other for value, other in zip(work[i], work[k], strict=True)]
    return [row[size:] for row in work]
