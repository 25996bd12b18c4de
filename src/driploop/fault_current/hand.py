"""The point-to-point method: fault currents by hand, from the transformer down, one factor a run."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from driploop.editions import Edition, common_table
from driploop.installation.model import Metal
from driploop.network.conductor import wire_impedance
from driploop.worksheet import WorksheetWriter, plain


def fault_at_transformer(
    kva: float, impedance_percent: float, *, voltage_v: float, phases: Literal[1, 3] = 1, tolerance: float = 1.0
) -> float:
    """Fault current at a transformer's terminals on a primary without limit. [A]

    Args:
        kva: of the transformer. [kVA]
        impedance_percent: from its plate. [percent]
        voltage_v: of the secondary, line to line. [V]
        phases: 1 or 3.
        tolerance: what of the plate's impedance it may really have; 0.9 for the least that a maker may deliver.

    Source: the point-to-point handouts of electrical plan review.
    """
    full_load_a = kva * 1000 / voltage_v / (3**0.5 if phases == 3 else 1)
    return full_load_a * 100 / (impedance_percent * tolerance)


def fault_after(
    fault_a: float, *, length_ft: float, c_value: float, voltage_v: float, sets: int = 1, phases: Literal[1, 3] = 1
) -> float:
    """Fault current at the end of a run: I / (1 + f), f = 2 L I / (C n E), with the root of 3 for three phases. [A]

    Args:
        fault_a: at its start. [A]
        length_ft: one way. [ft]
        c_value: of its conductors; ``c_value`` reads it. [ft/ohm]
        voltage_v: between the two wires of the fault. [V]
        sets: in parallel.
        phases: 1 or 3.

    Source: the point-to-point handouts of electrical plan review.
    """
    factor = 3**0.5 if phases == 3 else 2.0
    return fault_a / (1 + factor * length_ft * fault_a / (c_value * sets * voltage_v))


@lru_cache(maxsize=256)
def c_value(size: str, metal: Metal, *, method: str | None = None) -> float | None:
    """C of a conductor: feet that make one ohm, raceway of steel or not. None for a size the table does not have."""
    conduit = "steel" if _is_steel(method) else "nonmagnetic"
    row = next((row for row in common_table("short_circuit_c_values").rows if row["size"] == size), None)
    value = row[f"{metal}_{conduit}"] if row else None
    return float(value) if value is not None else None


@lru_cache(maxsize=32)
def _is_steel(method: str | None) -> bool:
    row = next((row for row in common_table("run_reactance").rows if row["method"] == method), None)
    return row is not None and row["conduit"] == "steel"


@dataclass(frozen=True, slots=True)
class Step:
    """One run of the way down: what the hand method needs of it."""

    title: str
    length_ft: float
    size: str | None
    metal: Metal | None
    method: str | None
    sets: int


@dataclass(frozen=True, slots=True)
class HandFault:
    """Fault currents by hand. [A]"""

    line_to_line_a: float
    line_to_neutral_a: float


def start_of(
    sheet: WorksheetWriter, *, kva: float | None, impedance_percent: float | None, stated_a: float | None
) -> HandFault:
    """The first lines: the fault at the transformer, or the stated figure."""
    if stated_a is not None:
        sheet.number(
            "At the service point", "stated by the utility, for either kind of fault", stated_a, "A", key="start"
        )
        return HandFault(stated_a, stated_a)
    assert kva is not None
    assert impedance_percent is not None
    across = fault_at_transformer(kva, impedance_percent, voltage_v=240.0)
    working = f"{plain(kva)} kVA x 1,000 / 240 V x 100 / {impedance_percent:.3g} percent"
    sheet.number("At the transformer, line to line", working, round(across), "A", key="start")
    multiple = _multiple()
    half = across * multiple
    sheet.number("At the transformer, line to neutral", f"{plain(multiple)} x {across:,.0f} A", round(half), "A")
    return HandFault(across, half)


@lru_cache(maxsize=1)
def _multiple() -> float:
    return float(common_table("transformer_fault_rules").row(item="line_to_neutral_multiple")["value"] or 0)


def down(sheet: WorksheetWriter, fault: HandFault, step: Step, *, temperature_c: float, edition: Edition) -> HandFault:
    """The lines of one run: its C, its factors, the currents at its end."""
    if step.size is None or step.metal is None or not step.length_ft:
        why = "no length" if step.size else "wires not known"
        sheet.number(step.title, f"{why}: nothing is taken off", round(fault.line_to_line_a), "A")
        return fault
    value = c_value(step.size, step.metal, method=step.method)
    words = f"{step.length_ft:g} ft of {step.size} {step.metal}"
    if value is None:
        z = wire_impedance(step.size, step.metal, method=step.method, temperature_c=temperature_c, edition=edition)
        value = 1000 / abs(z)
        words += ", C from its impedance"
    ends = []
    for name, current, volts in (
        ("line to line", fault.line_to_line_a, 240.0),
        ("line to neutral", fault.line_to_neutral_a, 120.0),
    ):
        f = 2 * step.length_ft * current / (value * step.sets * volts)
        after = fault_after(current, length_ft=step.length_ft, c_value=value, voltage_v=volts, sets=step.sets)
        figures = f"2 x {step.length_ft:g} x {current:,.0f} / ({value:,.0f} x {step.sets} x {volts:g})"
        working = f"{words}: f = {figures} = {f:.3f}; {current:,.0f} / (1 + {f:.3f})"
        sheet.number(f"{step.title}, {name}", working, round(after), "A")
        ends.append(after)
    return HandFault(*ends)
