"""The same network put before OpenDSS, an open simulator of distribution networks, as a witness that is not ours.

The transformer goes in as its nameplate (three windings), not as our windings; runs as lines with their matrices. What
insulation leaks is put on both sides alike, so that a wire left in the air has a voltage at all.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import opendssdirect as dss

from driploop.installation import UTILITY
from driploop.network import Built, Draw, Network, Node
from driploop.network.solve import LEAK_S, LEAST_OHM

NUMBERS = {"A": 1, "B": 2, "N": 4, "G": 5}
PRIMARY_V = 7200.0


class Witness:
    """One network in the simulator. Only one lives at a time: the simulator has one circuit."""

    def __init__(self, built: Built, network: Network | None = None) -> None:
        self.network = network or built.network
        self.buses = {bus: f"b{n}" for n, bus in enumerate(self.network.buses)}
        self._say("clear")
        self._supply(built)
        self._runs()
        for n, path in enumerate(self.network.earth):
            self._say(f"new reactor.earth{n} phases=1 bus1={self.at(path.at)} r={path.resistance_ohm!r} x=0")
        for n, node in enumerate(self._own_nodes()):
            self._say(f"new reactor.leak{n} phases=1 bus1={self.at(node)} r={1 / LEAK_S!r} x=0")
        self._say("set controlmode=off")
        self._say("set maxiterations=200")
        self._say("set tolerance=1e-9")
        self._say(f"new fault.f phases=1 bus1={self.at(Node(UTILITY, 'A'))} bus2={self.at(Node(UTILITY, 'N'))} r=1e-6")
        self._say("fault.f.enabled=no")
        self.loads = 0

    def _say(self, command: str) -> None:
        dss.Text.Command(command)

    def at(self, node: Node) -> str:
        """A node in the simulator's words; a bonded enclosure is its neutral."""
        wire = "N" if node.wire == "G" and node.bus in self.network.bonded else node.wire
        return f"{self.buses[node.bus]}.{NUMBERS[wire]}"

    def _own_nodes(self) -> Iterator[Node]:
        for bus, wires in self.network.buses.items():
            yield from (Node(bus, w) for w in wires if not (w == "G" and bus in self.network.bonded))

    def _supply(self, built: Built) -> None:
        supply = built.supply
        assert supply.kva is not None
        assert supply.impedance_percent is not None
        share = (1 + supply.x_over_r**2) ** 0.5
        r, x = supply.impedance_percent / share, supply.impedance_percent * supply.x_over_r / share
        primary = PRIMARY_V / supply.primary_a if supply.primary_a else 1e-6
        line_r, line_x = primary / share, primary * supply.x_over_r / share
        self._say(
            f"new circuit.c phases=1 bus1=src.1.0 basekv={PRIMARY_V / 1000} pu=1 "
            f"z1=[{line_r!r} {line_x!r}] z0=[{line_r!r} {line_x!r}] z2=[{line_r!r} {line_x!r}]"
        )
        end = self.buses[UTILITY]
        self._say(
            f"new transformer.t phases=1 windings=3 xhl={1.2 * x!r} xht={1.2 * x!r} xlt={0.8 * x!r} "
            f"%imag=0 %noloadloss=0 ppm_antifloat=0 buses=[src.1.0 {end}.1.4 {end}.4.2] kvs=[7.2 0.12 0.12] "
            f"kvas=[{supply.kva} {supply.kva} {supply.kva}] %rs=[{0.5 * r!r} {r!r} {r!r}]"
        )

    def _runs(self) -> None:
        by_run: dict[tuple[str, str, str], list[tuple[Node, Node, complex]]] = {}
        for b in self.network.branches:
            z = b.impedance_ohm if abs(b.impedance_ohm) > LEAST_OHM else LEAST_OHM + 0j
            by_run.setdefault((b.run, b.from_.bus, b.to.bus), []).append((b.from_, b.to, z))
        for n, ((_, start, end), wires) in enumerate(by_run.items()):
            size = len(wires)
            starts = ".".join(self.at(a).partition(".")[2] for a, _, _ in wires)
            ends = ".".join(self.at(b).partition(".")[2] for _, b, _ in wires)
            rows_r = "|".join(
                " ".join(repr(w[2].real) if i == j else "0" for j in range(i + 1)) for i, w in enumerate(wires)
            )
            rows_x = "|".join(
                " ".join(repr(w[2].imag) if i == j else "0" for j in range(i + 1)) for i, w in enumerate(wires)
            )
            zeros = "|".join(" ".join("0" for _ in range(i + 1)) for i in range(size))
            self._say(
                f"new line.l{n} phases={size} bus1={self.buses[start]}.{starts} bus2={self.buses[end]}.{ends} length=1 "
                f"units=none rmatrix=[{rows_r}] xmatrix=[{rows_x}] cmatrix=[{zeros}]"
            )

    def load(self, draws: Sequence[Draw], *, model: int) -> None:
        """Loads: model 5 takes its rated amperes, model 2 is a fixed impedance, part of the matrix."""
        self._say(f"set loadmodel={'admittance' if model == 2 else 'powerflow'}")
        for draw in draws:
            self.loads += 1
            back = self.at(draw.negative).partition(".")[2]
            self._say(
                f"new load.d{self.loads} phases=1 bus1={self.at(draw.positive)}.{back} "
                f"kv={draw.rated_v / 1000!r} kw={draw.va.real / 1000!r} kvar={draw.va.imag / 1000!r} model={model} "
                "vminpu=0.01 vmaxpu=9"
            )

    def voltages(self) -> Mapping[Node, complex]:
        """Every node's voltage."""
        dss.Solution.Solve()
        assert dss.Solution.Converged()
        by_name: dict[str, complex] = {}
        for name in self.buses.values():
            dss.Circuit.SetActiveBus(name)
            parts = dss.Bus.Voltages()
            for number, re, im in zip(dss.Bus.Nodes(), parts[::2], parts[1::2], strict=True):
                by_name[f"{name}.{number}"] = complex(re, im)
        return {node: by_name[self.at(node)] for node in self._own_nodes()}

    def fault_a(self, first: Node, second: Node) -> float:
        """Current of a bolted fault."""
        self._say(f"edit fault.f bus1={self.at(first)} bus2={self.at(second)} r=1e-6 enabled=yes")
        dss.Solution.Solve()
        assert dss.Solution.Converged()
        dss.Circuit.SetActiveElement("fault.f")
        current = dss.CktElement.CurrentsMagAng()[0]
        self._say("edit fault.f enabled=no")
        return float(current)
