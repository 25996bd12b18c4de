"""The electrical model: nodes, wires, windings, paths to earth. Plain values; nothing here computes.

A node is one conductor at one enclosure. Earth is the reference: an electrode is a path from a node to it. A source is
a set of windings with one matrix of impedances, so that a centre-tapped winding (two windings that share the primary),
a wye (three, apart) and a high-leg delta (four round a ring, one of them tapped) are all the same thing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal, NamedTuple

#: The lines, the neutral and the equipment ground (with the enclosure that it holds). C is the third line of a
#: three-phase system.
Wire = Literal["A", "B", "C", "N", "G"]
Draws = Literal["impedance", "current", "power"]


class Node(NamedTuple):
    """One conductor at one enclosure."""

    bus: str
    wire: Wire


@dataclass(frozen=True, slots=True)
class Branch:
    """One wire, or one metal path, from one node to another. [ohm]"""

    run: str
    from_: Node
    to: Node
    impedance_ohm: complex


@dataclass(frozen=True, slots=True)
class Winding:
    """One winding of a source: it drives ``emf_v`` from its negative end to its positive end. [V]"""

    positive: Node
    negative: Node
    emf_v: complex


@dataclass(frozen=True, slots=True)
class Source:
    """Windings and what stands between them and a perfect supply.

    ``impedance_ohm[i][j]`` is the voltage that winding i loses to one ampere of winding j. [ohm]
    """

    windings: tuple[Winding, ...]
    impedance_ohm: tuple[tuple[complex, ...], ...]


@dataclass(frozen=True, slots=True)
class EarthPath:
    """An electrode, or several together, at a node. [ohm]"""

    name: str
    at: Node
    resistance_ohm: float


@dataclass(frozen=True, slots=True)
class Draw:
    """What a load takes between two nodes of one enclosure: ``va`` at ``rated_v``. [VA, V]

    A negative ``va`` gives back: what loads below an enclosure do not draw all at once.
    """

    name: str
    positive: Node
    negative: Node
    va: complex
    rated_v: float


@dataclass(frozen=True, slots=True)
class Network:
    """A network ready to be solved.

    ``buses`` lists every enclosure with its wires, far ends first, the source last: in this order a tree is solved
    without a detour, and anything that closes a loop only costs what it closes. ``bonded`` are the enclosures whose
    neutral and equipment ground are one.
    """

    buses: Mapping[str, tuple[Wire, ...]]
    source: Source
    branches: tuple[Branch, ...]
    earth: tuple[EarthPath, ...]
    bonded: frozenset[str] = frozenset()

    def node(self, bus: str, wire: Wire) -> Node | None:
        """A node of this network, None where the enclosure has no such wire."""
        return Node(bus, wire) if wire in self.buses.get(bus, ()) else None

    def without(self, run: str, *, wire: Wire) -> Network:
        """The same network with one wire of one run open."""
        left = tuple(b for b in self.branches if b.run != run or b.to.wire != wire)
        return replace(self, branches=left)

    def at_electrodes(self, resistance_ohm: Mapping[str, float]) -> Network:
        """The same network with other resistances to earth, by name of the path. [ohm]"""
        earth = tuple(
            replace(e, resistance_ohm=resistance_ohm[e.name]) if e.name in resistance_ohm else e for e in self.earth
        )
        return replace(self, earth=earth)
