"""What hangs on a circuit: the current its wire must carry, the smallest and the largest device its loads let."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from driploop.circuits.motor_start import Start
from driploop.circuits.protection_results import NamedException, OverloadState, Remark
from driploop.conductors import next_standard_down, next_standard_up
from driploop.editions import Edition, NotInTable, common_table
from driploop.installation import Circuit, Load
from driploop.loads.cooking import cooking_demand
from driploop.loads.inputs import CookingUnit
from driploop.loads.nameplate import MOTOR_KINDS, Nameplate, read_nameplate
from driploop.worksheet import Assumption, Cited, Verdict, WorksheetWriter, plain

_HERMETIC = frozenset({"air conditioner", "heat pump", "refrigeration"})
_HEAT = frozenset({"electric heat", "supplemental heat", "thermal storage heat"})


@dataclass(slots=True)
class Need:
    """What the loads of one circuit ask, built up as they are read. Currents in A.

    ``table_a``: what the wire must carry by its terminals' column, continuous load raised. ``carried_a``: what it must
    carry after corrections. ``most``: largest device by the load, None where the load sets none; ``ceiling`` where it
    does not start on that. ``exception`` is why the device may pass the wire's ordinary limit, held back while
    ``overload`` is not known. ``wire_percent`` bounds the device by the wire even then. ``prefer_a``: a motor's
    breaker is looked for from here up. ``known`` is False where a load's size could not be read.
    """

    table_a: float = 0.0
    carried_a: float = 0.0
    least: Cited | None = None
    most: Cited | None = None
    ceiling: Cited | None = None
    exception: NamedException | None = None
    wire_percent: Cited | None = None
    prefer_a: float = 0.0
    full_load_a: float | None = None
    three_phase: bool = False
    start: Start | None = None
    overload: OverloadState | None = None
    fuse_only: bool = False
    known: bool = True
    remarks: list[Remark] = field(default_factory=list)
    assumptions: list[Assumption] = field(default_factory=list)

    def ask(self, words: str, section: str) -> None:
        """Note a question."""
        self.remarks.append(Remark(Verdict.ASK, words, section))


def line_volts(load: Load, circuit: Circuit, system_volts: float) -> float:
    """Nominal voltage of a load: its own, else by the poles of its circuit. [V]"""
    if load.volts is not None:
        return float({115: 120, 230: 240}.get(load.volts, load.volts))
    return 120.0 if circuit.poles == 1 else system_volts


def is_hermetic(load: Load) -> bool:
    """Whether a nameplate of hermetic equipment speaks for it."""
    return load.mca_a is not None or load.mocp_a is not None or load.rla_a is not None


def is_motor(load: Load) -> bool:
    """Whether it is read as a motor by horsepower."""
    return load.hp is not None and not is_hermetic(load)


def ordinary_need(
    need: Need, loads: Sequence[Load], circuit: Circuit, *, volts: float, writer: WorksheetWriter, edition: Edition
) -> None:
    """Loads that follow the wire's own limit: lighting, receptacles, heat, cooking, appliances. Lines ``load``,
    ``carry`` and ``least_device``."""
    table_a = carried_a = 0.0
    for load in loads:
        current_a, percent, words = _current(need, load, circuit, volts, writer, edition)
        if current_a is None:
            continue
        carried_a += current_a
        table_a += current_a * percent.number / 100
        working = f"{words}{f' x {percent.text}' if percent.number != 100 else ''}"
        writer.number(load.title, working, round(current_a * percent.number / 100, 2), "A", percent.section)
    if not table_a:
        return
    section = edition.section("branch-circuit-load")
    writer.number("Load of the circuit", "with the raised part", round(table_a, 2), "A", section, key="load")
    need.table_a, need.carried_a = table_a, carried_a
    least = standard_up(table_a, edition=edition)
    need.least = _at_least(least, loads, edition)
    writer.cite("Smallest device for it", "next standard rating, or the least for its kind", need.least,
                key="least_device")  # fmt: skip
    if len(loads) == 1:
        _appliance_limit(need, loads[0], carried_a, writer, edition)


def _current(
    need: Need, load: Load, circuit: Circuit, volts: float, writer: WorksheetWriter, edition: Edition
) -> tuple[float | None, Cited, str]:
    """Current of a load [A], the percentage it counts at, and the words for it. None where its size is not known."""
    full = Cited(100, "%", edition.section("branch-circuit-load"))
    plate = read_nameplate(load, circuit=circuit, building=None, system_volts=volts, edition=edition)
    if not plate.known:
        need.known = False
        need.ask(f"{load.title}: its nameplate is not read, so its load is not held against the wire.", full.section)
        return None, full, ""
    need.assumptions += [a for a in plate.assumptions if not a.where.endswith(".volts")]
    unread = load.volts is None and circuit.poles is None
    own_volts = 120.0 if unread and plate.line_to_neutral else line_volts(load, circuit, volts)
    va, words = plate.va * load.count, plate.working
    if load.kind == "range":
        va = cooking_demand([CookingUnit(load.title, plate.va / 1000)] * load.count, sheet=_aside(), edition=edition)
        words = f"demand of the cooking table for {plain(plate.va / 1000)} kW"
    counted = f"{load.count} x " if load.count > 1 else ""
    return va / own_volts, _percent(load, plate, full, edition), f"{counted}{words} / {plain(own_volts)} V"


def _aside() -> WorksheetWriter:
    return WorksheetWriter("", "")


def _percent(load: Load, plate: Nameplate, full: Cited, edition: Edition) -> Cited:
    if load.kind == "water heater":
        return edition.value("water_heater_circuit_percent")
    if load.kind in _HEAT:
        return edition.value("space_heat_circuit_percent")
    if plate.continuous:
        return edition.value("branch_continuous_percent")
    if load.kind in MOTOR_KINDS:
        return edition.value("motor_conductor_percent")
    return full


def _at_least(least: Cited, loads: Sequence[Load], edition: Edition) -> Cited:
    for load in loads:
        other = least_circuit(load, edition=edition)
        if other is not None and other.number > least.number:
            least = other
    return least


def least_circuit(load: Load, *, edition: Edition) -> Cited | None:
    """Smallest circuit for an appliance whatever its current: ranges by the code, dryers by their receptacle. [A]"""
    kw = load.kw if load.kw is not None else load.va / 1000 if load.va is not None else None
    if load.kind == "range" and kw is not None and kw >= edition.number("range_circuit_threshold_kw"):
        return edition.value("range_circuit_minimum")
    rows = common_table("least_circuits").rows
    row = next((row for row in rows if row["kind"] == load.kind), None)
    if row is None or load.kind is None:
        return None
    found = common_table("least_circuits").cite(row, "least_a")
    return Cited(found.value, found.unit, "common practice", found.confirmed)


def _appliance_limit(need: Need, load: Load, current_a: float, writer: WorksheetWriter, edition: Edition) -> None:
    """A water heater is the one appliance whose device the code bounds by its own current here."""
    if load.kind != "water heater" or load.count != 1:
        return
    small, percent = edition.value("appliance_device_from_a"), edition.value("appliance_device_percent")
    if current_a <= small.number:
        most = edition.value("appliance_device_small_a")
        need.most = writer.cite("Largest device for it", f"{current_a:.1f} A, not over {small.text}", most,
                                key="most_device")  # fmt: skip
        return
    up = standard_up(current_a * percent.number / 100, edition=edition)
    need.most = Cited(up.value, "A", percent.section, percent.confirmed)
    writer.cite("Largest device for it", f"{current_a:.2f} A x {percent.text}, next standard rating", need.most,
                key="most_device")  # fmt: skip


def standard_up(current_a: float, *, edition: Edition) -> Cited:
    """Smallest standard breaker not below this current; past the largest, the current itself, which none serves. [A]"""
    try:
        return next_standard_up(current_a, edition=edition)
    except NotInTable:
        return Cited(current_a, "A", edition.section("standard-ratings"))


def rounded_down(current_a: float, *, least_a: float, edition: Edition) -> Cited:
    """Largest standard breaker not above this current, and never below ``least_a``. [A]"""
    return next_standard_down(max(current_a, least_a), edition=edition)


def cooling_without_nameplate(load: Load) -> bool:
    """Whether it is cooling equipment whose marked ampacity and device nobody read."""
    return load.kind in _HERMETIC and not is_hermetic(load) and load.hp is None
