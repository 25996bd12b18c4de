"""A mast under the pull of the drop: bending above its last support, against what rigid steel conduit bears."""

from __future__ import annotations

import math
from dataclasses import dataclass

from driploop.editions import NotInTable, common_table
from driploop.service_drop.loads import practice


@dataclass(frozen=True, slots=True)
class Pipe:
    """A round tube of one trade size. [in]"""

    trade_size: str
    outside_in: float
    wall_in: float

    @property
    def section_in3(self) -> float:
        """Elastic section modulus. [in3]"""
        return section_modulus_in3(outside_in=self.outside_in, wall_in=self.wall_in)

    @property
    def inertia_in4(self) -> float:
        """Second moment of area. [in4]"""
        return self.section_in3 * self.outside_in / 2


def section_modulus_in3(*, outside_in: float, wall_in: float) -> float:
    """Elastic section modulus of a round tube. [in3] Source: pi (D4 - d4) / 32 D; any textbook of strength."""
    inside = outside_in - 2 * wall_in
    return math.pi * (outside_in**4 - inside**4) / (32 * outside_in)


def pipes() -> tuple[Pipe, ...]:
    """Every trade size of rigid steel conduit in the table, thinnest first."""
    table = common_table("rigid_steel_conduit")
    return tuple(
        Pipe(str(row["trade_size"]), table.cite(row, "outside_diameter_in").number, table.cite(row, "wall_in").number)
        for row in table.rows
    )


def pipe_of(trade_size: str) -> Pipe:
    """The conduit of a trade size. Raises NotInTable listing the sizes there are."""
    for pipe in pipes():
        if pipe.trade_size == trade_size.strip().removesuffix("in").strip():
            return pipe
    known = ", ".join(pipe.trade_size for pipe in pipes())
    raise NotInTable(f"rigid_steel_conduit has no trade size {trade_size!r}; it has: {known}.")


def allowed_stress_psi() -> float:
    """Bending stress allowed in the steel of rigid conduit. [psi] Source: ``drop_practice``."""
    return practice("mast_yield_psi") * practice("mast_bending_share")


def bending_psi(pipe: Pipe, *, pull_lb: float, lever_in: float) -> float:
    """Bending stress at the last support of a mast that stands free above it. [psi]

    Args:
        pipe: the mast.
        pull_lb: horizontal pull of the drop. [lb]
        lever_in: from the last support to the attachment. [in]

    Source:
        Cantilever with a load at its end: moment is pull times lever, stress is moment over section modulus.
    """
    return pull_lb * lever_in / pipe.section_in3


def lean_in(pipe: Pipe, *, pull_lb: float, lever_in: float) -> float:
    """How far the attachment is pulled aside: P L3 / 3 E I. [in]"""
    return pull_lb * lever_in**3 / (3 * practice("mast_modulus_psi") * pipe.inertia_in4)


def longest_unguyed_in(pipe: Pipe, *, pull_lb: float) -> float:
    """The longest lever at which the mast still bears the pull by itself. [in]"""
    return allowed_stress_psi() * pipe.section_in3 / pull_lb


def guy_pull_lb(*, pull_lb: float, lever_in: float, held_at_in: float, angle_degrees: float) -> float:
    """Pull in a guy that holds the mast against the drop. [lb]

    Args:
        pull_lb: horizontal pull of the drop. [lb]
        lever_in: from the last support to the attachment. [in]
        held_at_in: from the last support to where the guy holds. [in]
        angle_degrees: of the guy from the level. [degrees]

    Source:
        Moments about the last support, the mast taken as free to turn there, so that the guy carries everything.
    """
    return pull_lb * lever_in / held_at_in / math.cos(math.radians(angle_degrees))
