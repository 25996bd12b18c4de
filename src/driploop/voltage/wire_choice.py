"""The conductors that bring a run under a chosen drop, the lightest metal first."""

from __future__ import annotations

import math
from functools import lru_cache

from driploop.conductors.area import by_size
from driploop.editions import Edition, common_table
from driploop.installation.model import Metal
from driploop.installation.sizes import rank
from driploop.network import RunWires, wire_impedance
from driploop.voltage.draws import advice
from driploop.voltage.results import RunDrop, WireChoice

_METALS: tuple[Metal, ...] = ("copper", "aluminum")
_INCHES_PER_FT = 12
_IN2_PER_CMIL = math.pi / 4 * 1e-6


def choices(
    drop: RunDrop,
    wires: RunWires,
    *,
    limit_percent: float,
    system_v: float,
    method: str | None,
    sets: int,
    temperature_c: float,
    edition: Edition,
) -> tuple[WireChoice, ...]:
    """For each metal the smallest size of the same number of sets that keeps a run under a limit.

    Args:
        drop: what the run carries now.
        wires: its wires.
        limit_percent: the most it may lose of the system's voltage. [percent]
        system_v: line to line. [V]
        method: its wiring method.
        sets: in parallel.
        temperature_c: of its wires. [C]
        edition: the code edition to ask.

    Returns:
        The choices, the least mass of metal first; none where no single size of the table does it. Ampacity is not
        looked at: a size smaller than what the load needs is never offered, because none is smaller than what is there
        in the same metal.
    """
    found = [
        choice
        for metal in _METALS
        if (
            choice := _smallest(
                drop, wires, metal, limit_percent, system_v, method, sets, temperature_c, edition=edition
            )
        )
    ]
    return tuple(sorted(found, key=lambda choice: choice.metal_lb))


def _smallest(
    drop: RunDrop,
    wires: RunWires,
    metal: Metal,
    limit_percent: float,
    system_v: float,
    method: str | None,
    sets: int,
    temperature_c: float,
    *,
    edition: Edition,
) -> WireChoice | None:
    cosine = advice()["calculated_power_factor"]
    sine = math.sqrt(1 - cosine**2)
    sizes = by_size(edition, "conductor_impedance", f"{metal}_r_pvc_ohm_per_kft")
    least = wires.line_size if wires.metal == metal else None
    for size in sizes:
        if least is not None and rank(size) < rank(least):
            continue
        if wires.metal == "aluminum" and metal == "copper" and not _carries(size, wires, edition):
            continue
        z = wire_impedance(size, metal, method=method, temperature_c=temperature_c, edition=edition)
        lost = 2 * drop.line_a * (z.real * cosine + z.imag * sine) * wires.length_ft / 1000 / sets
        percent = lost / system_v * 100
        if percent <= limit_percent:
            return WireChoice(size, metal, sets, percent, metal_mass(size, metal, wires.length_ft, edition) * 3 * sets)
    return None


def _carries(size: str, wires: RunWires, edition: Edition) -> bool:
    """Whether a copper size carries as much as the aluminum one that is there."""
    column = f"{edition.number('large_terminal_temperature_c'):.0f}c"
    copper = by_size(edition, "conductor_ampacity", f"copper_{column}").get(size)
    now = by_size(edition, "conductor_ampacity", f"aluminum_{column}").get(wires.line_size or "")
    return copper is None or now is None or copper.number >= now.number


def metal_mass(size: str, metal: Metal, length_ft: float, edition: Edition) -> float:
    """Mass of the metal of one conductor. [lb]"""
    area = by_size(edition, "conductor_properties", "circular_mils")[size].number * _IN2_PER_CMIL
    return area * length_ft * _INCHES_PER_FT * _density(metal)


@lru_cache(maxsize=4)
def _density(metal: Metal) -> float:
    return float(common_table("metal_mass").row(metal=metal)["lb_per_in3"] or 0)
