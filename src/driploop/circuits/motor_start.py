"""Whether a breaker lets a motor start: locked-rotor current and starting time against a generic trip band."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from driploop.conductors import locked_rotor_current
from driploop.editions import Edition, NotInTable, common_table
from driploop.installation import Load
from driploop.loads.motors import MotorNotInTable, horsepower
from driploop.worksheet import Cited, WorksheetWriter, plain

StartVerdict = Literal["holds", "may open", "opens"]

_SOURCE = "common practice"
_COLUMNS = {115: "a_115v", 120: "a_115v", 200: "a_200v", 208: "a_208v", 230: "a_230v", 240: "a_230v"}
_THREE_PHASE_COLUMNS = {**_COLUMNS, 460: "a_460v", 480: "a_460v"}


@dataclass(frozen=True, slots=True)
class Start:
    """What a motor draws while it starts, and for how long. ``basis`` says how the current is known."""

    locked_rotor: Cited
    basis: str
    start_s: float

    @property
    def current_a(self) -> float:
        """Locked-rotor current. [A]"""
        return self.locked_rotor.number


def motor_start(load: Load, full_load_a: float, *, volts: float, edition: Edition) -> Start:
    """What a motor draws at its start: nameplate, code letter, the table by horsepower, or a multiple, in this order.

    Args:
        load: the motor.
        full_load_a: its full-load current. [A]
        volts: line to line, or line to neutral of a one-line motor. [V]
        edition: the code edition to ask.

    Returns:
        Locked-rotor current and starting time; the time is that of its kind (common practice).

    Source: the edition's tables of locked-rotor code letters and currents.
    """
    found = _nameplate(load) or _by_letter(load, volts, edition) or _by_horsepower(load, volts, edition)
    current, basis = found or _by_multiple(full_load_a)
    return Start(current, basis, start_seconds(load.kind))


def start_seconds(kind: str | None) -> float:
    """How long a motor of this kind takes to start. [s] Source: common practice."""
    rows = _start_times()
    return rows.get(kind or "motor", rows["motor"])


@lru_cache(maxsize=1)
def _start_times() -> dict[str, float]:
    table = common_table("motor_start")
    return {str(row["kind"]): table.cite(row, "start_s").number for row in table.rows}


@lru_cache(maxsize=8)
def _value(name: str) -> float:
    return common_table("motor_start_values").cell("value", name=name).number


def _nameplate(load: Load) -> tuple[Cited, str] | None:
    return (Cited(load.lra_a, "A"), "nameplate") if load.lra_a is not None else None


def _by_letter(load: Load, volts: float, edition: Edition) -> tuple[Cited, str] | None:
    if load.code_letter is None or load.hp is None:
        return None
    try:
        hp = horsepower(load.hp)
        current = locked_rotor_current(
            hp, load.code_letter, volts=volts, phase=3 if load.phase == 3 else 1, edition=edition
        )
    except (MotorNotInTable, NotInTable):
        return None
    return current, f"code letter {load.code_letter}, {load.hp} hp, {volts:g} V"


def _by_horsepower(load: Load, volts: float, edition: Edition) -> tuple[Cited, str] | None:
    three = load.phase == 3
    column = (_THREE_PHASE_COLUMNS if three else _COLUMNS).get(int(volts))
    table = edition.table("locked_rotor_three_phase" if three else "locked_rotor_single_phase")
    if column is None or column not in table.columns or load.hp is None:
        return None
    try:
        hp = horsepower(load.hp)
        if hp < float(table.rows[0]["hp_value"] or 0):
            return None  # smaller motors draw less than the first row, a multiple of their own current
        return table.cite(table.at_least("hp_value", hp), column), f"table, {load.hp} hp"
    except (MotorNotInTable, NotInTable):
        return None


def _by_multiple(full_load_a: float) -> tuple[Cited, str]:
    multiple = _value("locked_rotor_multiple")
    return Cited(full_load_a * multiple, "A", _SOURCE, "memory"), f"{plain(multiple)} x {plain(full_load_a)} A"


def rides_the_start(start: Start, rating_a: float) -> StartVerdict:
    """Whether an ordinary breaker of this rating [A] stays closed while the motor starts.

    Returns:
        "holds" where the slowest part of the generic band is not reached; "opens" where every such breaker opens;
        "may open" between the two. The maker's own curve decides.

    Source: the common tables of the trip band and of motor starts, common practice from memory.
    """
    multiple = start.current_a / rating_a
    least_s, most_s = opening_time(multiple)
    peak = multiple * _value("first_peak_multiple")
    if most_s <= start.start_s or multiple >= _value("magnetic_opens_from"):
        return "opens"
    if least_s > start.start_s and peak < _value("magnetic_holds_to"):
        return "holds"
    return "may open"


def opening_time(multiple: float) -> tuple[float, float]:
    """Shortest and longest time in which an ordinary breaker opens at a multiple of its rating. [s]

    Between two rows of the band the shortest is that of the larger multiple, the longest that of the smaller one.
    """
    band = _band()
    above = next((row for row in band if row[0] >= multiple), band[-1])
    below = next((row for row in reversed(band) if row[0] <= multiple), band[0])
    return above[1], below[2]


@lru_cache(maxsize=1)
def _band() -> tuple[tuple[float, float, float], ...]:
    table = common_table("breaker_trip_band")
    columns = ("multiple", "least_s", "most_s")
    return tuple(
        (table.cite(row, columns[0]).number, table.cite(row, columns[1]).number, table.cite(row, columns[2]).number)
        for row in table.rows
    )


def write_start(writer: WorksheetWriter, start: Start, rating_a: float) -> StartVerdict:
    """The lines ``locked_rotor`` and ``ride``. Returns the verdict."""
    writer.cite("Current at the start", start.basis, start.locked_rotor, key="locked_rotor")
    multiple = start.current_a / rating_a
    least_s, most_s = opening_time(multiple)
    verdict = rides_the_start(start, rating_a)
    working = (
        f"{plain(start.current_a)} A is {multiple:.2g} x {plain(rating_a)} A: such breakers open after "
        f"{plain(least_s)} to {plain(most_s)} s; the start takes {plain(start.start_s)} s"
    )
    writer.write("A breaker of this rating", working, verdict, "", _SOURCE, key="ride", confirmed="memory")
    return verdict
