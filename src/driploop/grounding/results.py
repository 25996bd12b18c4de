"""What the grounding stage answers: where the neutral is bonded, wire counts, jumpers, electrode conductors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from driploop.installation.kinds import Metal
from driploop.worksheet import Assumption, Worksheet


@dataclass(frozen=True, slots=True)
class NeutralBond:
    """What the neutral must be at one enclosure: joined to it, kept apart from it, or not there at all."""

    equipment: str
    required: Literal["bonded", "isolated", "no neutral"]
    found: bool | None
    why: str
    section: str


@dataclass(frozen=True, slots=True)
class WireCount:
    """How many wires a 120/240 V run needs (3: two lines and neutral; 4: and an equipment ground), and has."""

    run: str
    needed: int
    found: int | None
    may_stay: bool
    why: str
    section: str


JumperKind = Literal[
    "main bonding jumper", "system bonding jumper", "supply-side bonding jumper", "equipment bonding jumper",
    "water piping bond", "gas piping bond", "structural steel bond", "intersystem bonding conductor",
    "water meter jumper", "equipotential plane bond", "electrode conductor tap",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Jumper:
    """One bonding jumper or bonding conductor, with the worksheet (id, line key) that sizes it."""

    id: str
    kind: JumperKind
    where: str
    size: str
    metal: Metal
    section: str
    why: str
    worksheet: str
    key: str
    other_metal_size: str | None = None


@dataclass(frozen=True, slots=True)
class ElectrodeConductor:
    """The grounding electrode conductor to one electrode: what it must be, what it is."""

    electrode: str
    lands_at: str
    required_copper: str
    required_aluminum: str | None
    found_size: str | None
    found_metal: Metal | None
    adequate: bool | None
    why: str
    section: str
    worksheet: str
    key: str


@dataclass(frozen=True, slots=True)
class ElectrodeSystem:
    """The electrodes of one building or pole, joined into one system."""

    building: str
    required: bool
    lands_at: str | None
    electrodes: tuple[str, ...]
    conductors: tuple[ElectrodeConductor, ...]
    needs_second_electrode: bool | None
    why: str
    section: str
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()


@dataclass(frozen=True, slots=True)
class GroundingReading:
    """Bonding and grounding of one installation."""

    bonds: Mapping[str, NeutralBond]
    wires: Mapping[str, WireCount]
    jumpers: tuple[Jumper, ...]
    systems: Mapping[str, ElectrodeSystem]
    worksheets: tuple[Worksheet, ...]
    assumptions: tuple[Assumption, ...] = ()
