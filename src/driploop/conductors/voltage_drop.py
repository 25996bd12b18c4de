"""Voltage lost along a run: by the constant of the metal, by direct-current resistance, by impedance."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Literal

from driploop.conductors.area import by_size
from driploop.editions import Edition
from driploop.installation.kinds import Metal
from driploop.worksheet import Cited

Phase = Literal[1, 3]
Conduit = Literal["pvc", "aluminum", "steel"]


def _there_and_back(phase: Phase) -> float:
    return 2.0 if phase == 1 else math.sqrt(3)


def drop_by_constant(
    current_a: float, length_ft: float, *, k_ohm_cmil_per_ft: float, circular_mils: float, phase: Phase = 1
) -> float:
    """Voltage drop by the constant of the metal: 2 K I L / cmil. [V]

    Args:
        current_a: load. [A]
        length_ft: one way. [ft]
        k_ohm_cmil_per_ft: ohms of one foot of one circular mil of the metal; ``metal_constant`` gives it.
        circular_mils: of the conductor. [cmil]
        phase: 1 (factor 2) or 3 (factor root 3).

    Source: common practice.
    """
    return _there_and_back(phase) * k_ohm_cmil_per_ft * current_a * length_ft / circular_mils


def drop_by_resistance(current_a: float, length_ft: float, *, ohm_per_kft: float, phase: Phase = 1) -> float:
    """Voltage drop [V] over ``length_ft`` one way, by ohms per 1,000 ft of conductor (resistance or impedance)."""
    return _there_and_back(phase) * current_a * length_ft * ohm_per_kft / 1000


def resistance(size: str, metal: Metal, *, edition: Edition) -> Cited:
    """Direct-current resistance of an uncoated conductor, stranded where it is made both ways. [ohm/kft]

    Raises NotInTable. Source: the edition's table of conductor properties.
    """
    column = f"{metal}_ohm_per_kft"
    found = by_size(edition, "conductor_properties", column).get(size)
    return found or edition.table("conductor_properties").cell(column, size=size)


def impedance(size: str, metal: Metal, *, conduit: Conduit, edition: Edition) -> Cited:
    """Effective impedance at 0.85 power factor, to neutral, of three single conductors in conduit. [ohm/kft]

    Raises NotInTable. Source: the edition's table of alternating-current impedance.
    """
    return edition.table("conductor_impedance").cell(f"{metal}_z085_{conduit}_ohm_per_kft", size=size)


def metal_constant(size: str, metal: Metal, *, edition: Edition) -> float:
    """Ohms of one foot of one circular mil, worked from the table's row of this size. [ohm cmil/ft]"""
    area = by_size(edition, "conductor_properties", "circular_mils")[size].number
    return resistance(size, metal, edition=edition).number * area / 1000


def drop_percent(drop_v: float, *, system_v: float) -> float:
    """Voltage drop as a share of the system's voltage. [percent]"""
    return drop_v / system_v * 100


def share_of_longest(runs: Iterable[tuple[float, float]]) -> float:
    """How much of the drop that lengths of different wire in a row may have is used up; up to 1 will do.

    Args:
        runs: (length [ft], longest length that this wire may have alone [ft]) for each.

    Source: the rule pump makers print beside their cable tables.
    """
    return sum(length_ft / longest_ft for length_ft, longest_ft in runs)
