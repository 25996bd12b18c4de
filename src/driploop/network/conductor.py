"""Impedance of a wire by the code's tables, at any temperature."""

from __future__ import annotations

import math
from functools import lru_cache

from driploop.conductors.area import by_size
from driploop.editions import Edition, common_table
from driploop.installation.model import Metal


def wire_impedance(
    size: str, metal: Metal, *, method: str | None = None, temperature_c: float, edition: Edition
) -> complex:
    """Resistance and reactance of one conductor of a run, to neutral. [ohm/kft]

    The reactance is half that of the loop of two such wires, so that wires of one run need no mutual terms as long as
    what goes out on some comes back on the others.

    Args:
        size: of the conductor.
        metal: copper or aluminum.
        method: wiring method; None reads as wires that lie together.
        temperature_c: of the conductor. [C]
        edition: the code edition to ask.

    Raises:
        NotInTable: neither table has the size.

    Source: the edition's table of alternating-current impedance; for sizes it does not have, direct-current resistance
        with the reactance of the nearest size. Wires apart in air: 2 pi f times 2e-7 H/m times the natural logarithm of
        spacing over mean radius.
    """
    conduit, spacing_in = _place(method)
    found = _table(size, metal, conduit, edition)
    resistance = found.real * _warmth(metal, temperature_c)
    if spacing_in is not None:
        return complex(resistance, _in_air(size, spacing_in, edition))
    return complex(resistance, found.imag)


@lru_cache(maxsize=64)
def _place(method: str | None) -> tuple[str, float | None]:
    for row in common_table("run_reactance").rows:
        if row["method"] == method:
            spacing = row["spacing_in"]
            return str(row["conduit"]), float(spacing) if isinstance(spacing, (int, float)) else None
    return "pvc", None


@lru_cache(maxsize=512)
def _table(size: str, metal: Metal, conduit: str, edition: Edition) -> complex:
    reactance = by_size(edition, "conductor_impedance", "x_steel_ohm_per_kft" if conduit == "steel" else _CLOSE)
    listed = by_size(edition, "conductor_impedance", f"{metal}_r_{conduit}_ohm_per_kft").get(size)
    if listed is not None:
        return complex(listed.number, reactance[size].number)
    direct = by_size(edition, "conductor_properties", f"{metal}_ohm_per_kft")
    if size not in direct:
        edition.table("conductor_properties").cell(f"{metal}_ohm_per_kft", size=size)
    area = by_size(edition, "conductor_properties", "circular_mils")
    nearest = min(reactance, key=lambda s: abs(math.log(area[s].number / area[size].number)))
    return complex(direct[size].number, reactance[nearest].number)


_CLOSE = "x_pvc_or_aluminum_ohm_per_kft"


def _in_air(size: str, spacing_in: float, edition: Edition) -> float:
    facts = temperature_facts()
    radius_in = by_size(edition, "conductor_properties", "diameter_in")[size].number / 2 * facts["gmr_share"]
    return facts["air_reactance_ohm_per_kft"] * math.log10(spacing_in / radius_in)


@lru_cache(maxsize=1)
def temperature_facts() -> dict[str, float]:
    """Temperatures and coefficients, by name."""
    rows = common_table("conductor_temperature").rows
    return {str(row["item"]): float(row["value"] or 0) for row in rows}


def _warmth(metal: Metal, temperature_c: float) -> float:
    facts = temperature_facts()
    return 1 + facts[f"{metal}_per_c"] * (temperature_c - facts["table_c"])
