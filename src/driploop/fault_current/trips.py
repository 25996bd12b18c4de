"""Whether the device ahead of a run opens on the smallest fault at its far end, and what to change if not."""

from __future__ import annotations

from functools import lru_cache
from typing import Literal

from driploop.editions import Edition, common_table
from driploop.editions.table import Row
from driploop.fault_current.results import FaultCurrents, Region, TripCheck
from driploop.installation.model import Metal, Run
from driploop.installation.sizes import rank, sizes_from
from driploop.network import LEG_V, Built, Node, Solver, temperature_facts, wire_impedance

Kind = Literal["line to neutral", "line to ground", "line to line"]


def check_trip(
    run: Run, device_a: float, fault: FaultCurrents, built: Built, solver: Solver, *, edition: Edition
) -> TripCheck:
    """One run: region of the device's band, and a larger return path or run where it does not open at once.

    Args:
        run: the run; its own device is the one ahead of it.
        device_a: rating of that device. [A]
        fault: the smallest fault currents at the run's end.
        built: the network they come from.
        solver: it, factored.
        edition: the code edition to ask.
    """
    device = "fuses" if run.ocpd == "fuses" else "breaker"
    row = common_curve(device, device_a)
    kinds: list[tuple[float, Kind]] = [(fault.line_to_line_a, "line to line")]
    if fault.line_to_neutral_a is not None:
        kinds.append((fault.line_to_neutral_a, "line to neutral"))
    if fault.line_to_ground_a is not None:
        kinds.append((fault.line_to_ground_a, "line to ground"))
    smallest, kind = min(kinds)
    region, minutes = region_of(smallest, device_a, row)
    must_a = device_a * _float(row, "must_open_at")
    mend = "" if region == "at once" else _mend(run, kind, must_a, built, solver, edition=edition)
    return TripCheck(run.id, device, device_a, smallest, kind, must_a, region, minutes, mend)


def region_of(fault_a: float, device_a: float, row: Row) -> tuple[Region, float | None]:
    """The part of a device's band a current falls in, and the longest it may take there. [min]"""
    multiple = fault_a / device_a
    if multiple >= _float(row, "must_open_at"):
        return "at once", None
    if multiple >= _float(row, "may_open_at"):
        return "perhaps at once", _float(row, "at_200_percent_min")
    if multiple >= 2:
        return "slowly", _float(row, "at_200_percent_min")
    if multiple >= 1.35:
        return "hardly", _float(row, "at_135_percent_min")
    return "not at all", None


@lru_cache(maxsize=64)
def common_curve(device: str, rating_a: float) -> Row:
    """The row of the generic bands for a device."""
    rows = [row for row in common_table("trip_curves").rows if row["device"] == device]
    return next(row for row in rows if row["to_a"] is None or rating_a <= _float(row, "to_a"))


def _float(row: Row, column: str) -> float:
    return float(row[column] or 0)


def _mend(run: Run, kind: Kind, wanted_a: float, built: Built, solver: Solver, *, edition: Edition) -> str:
    """The smallest change of the run's wires after which the fault opens the device at once."""
    end = run.to or ""
    if kind == "line to ground" and _no_way_back(built, run):
        return "Run an equipment ground with it: the earth alone carries too little to open any device."
    other: Node = Node(end, {"line to neutral": "N", "line to ground": "G", "line to line": "B"}[kind])  # type: ignore[arg-type]
    volts = 2 * LEG_V if kind == "line to line" else LEG_V
    now = solver.looking_in(Node(end, "A"), other)
    wires = built.wires[run.id]
    back = {"line to neutral": wires.neutral_ohm, "line to ground": wires.ground_ohm or wires.neutral_ohm}.get(
        kind, wires.line_ohm
    )
    ahead = now - wires.line_ohm - (back or 0j)
    if abs(ahead) >= volts / wanted_a:
        return (
            "Nothing in this run: the supply and the runs ahead let too little through. A smaller device, larger wires "
            "ahead, or a larger transformer."
        )
    if wires.line_size is None or wires.metal is None:
        return "Learn its wires first."

    def ohms(size: str) -> complex:
        assert wires.metal is not None
        hot_c = temperature_facts()["hot_c"]
        per_kft = wire_impedance(size, wires.metal, method=run.method, temperature_c=hot_c, edition=edition)
        return per_kft * wires.length_ft / 1000 / run.sets

    name = {"line to neutral": "neutral", "line to ground": "equipment ground"}.get(kind)
    if name is not None:
        for size in _known_sizes(wires.metal, edition):
            if rank(size) <= rank(wires.line_size) and _flows(ahead + wires.line_ohm + ohms(size), volts, wanted_a):
                return f"A larger {name}: {size} {wires.metal}."
    for size in sizes_from(wires.line_size):
        if size in _known_sizes(wires.metal, edition) and _flows(ahead + 2 * ohms(size), volts, wanted_a):
            both = f"lines and {name}" if name else "lines"
            return f"Larger wires: {both} of {size} {wires.metal}."
    return "No single conductor does it: a smaller device, or a device of its own at the far end fed from nearer."


def _flows(z: complex, volts: float, wanted_a: float) -> bool:
    return volts / abs(z) >= wanted_a


def _no_way_back(built: Built, run: Run) -> bool:
    wires = built.wires[run.id]
    return wires.ground_ohm is None and (run.to or "") not in built.network.bonded


@lru_cache(maxsize=8)
def _known_sizes(metal: Metal, edition: Edition) -> tuple[str, ...]:
    table = edition.table("conductor_impedance")
    return tuple(str(row["size"]) for row in table.rows if row[f"{metal}_r_pvc_ohm_per_kft"] is not None)
