"""Motors: full-load current from the code's tables, the sum with the largest raised, locked-rotor current."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import fsum, sqrt

from driploop.editions import Edition, NotInTable
from driploop.editions.table import Row, Table
from driploop.loads.inputs import Motor
from driploop.worksheet import Cited, DriploopError, Worksheet, WorksheetWriter, plain

_COLUMNS = {115: "a_115v", 120: "a_115v", 200: "a_200v", 208: "a_208v", 230: "a_230v", 240: "a_230v"}
_THREE_PHASE_COLUMNS = {**_COLUMNS, 460: "a_460v", 480: "a_460v", 575: "a_575v", 600: "a_575v"}


class MotorNotInTable(DriploopError):  # noqa: N818
    """A motor's horsepower or voltage has no row or column in the code's table."""


def horsepower(text: str) -> float:
    """Horsepower as the trade writes it: ``"7-1/2"``, ``"1/2"``, ``"3"``. Raises MotorNotInTable."""
    whole, _, part = text.strip().replace(" ", "-").rpartition("-")
    try:
        return float(Fraction(whole or "0") + Fraction(part))
    except (ValueError, ZeroDivisionError):
        raise MotorNotInTable(f'hp: read {text!r}; write it as the tables do: "1/2", "3", "7-1/2".') from None


def motor_current(hp: str, *, volts: float, phase: int = 1, edition: Edition) -> Cited:
    """Full-load current of a motor from the code's table; between two rows, the larger row. [A]

    Args:
        hp: horsepower as the tables write it.
        volts: rated or nominal voltage. [V]
        phase: 1 or 3.

    Raises:
        MotorNotInTable: the table ends below this horsepower, or has no such voltage.

    Source:
        The edition's motor tables (NEC 2020: Tables 430.248 and 430.250).
    """
    table = edition.table("motor_three_phase" if phase == 3 else "motor_single_phase")
    column = (_THREE_PHASE_COLUMNS if phase == 3 else _COLUMNS).get(int(volts))
    if column is None:
        raise MotorNotInTable(
            f"volts: read {plain(volts)}; {table.section} has columns {', '.join(table.columns[2:])}."
        )
    try:
        return table.cite(_row_for(table, hp), column)
    except NotInTable as fault:
        raise MotorNotInTable(f"hp: read {hp!r}. {fault}") from fault


def _row_for(table: Table, hp: str) -> Row:
    wanted = hp.strip()
    found = next((row for row in table.rows if row["hp"] == wanted), None)
    return found if found is not None else table.at_least("hp_value", horsepower(hp))


def motor_va(hp: str, *, volts: float, phase: int = 1, edition: Edition) -> Cited:
    """Load of a motor: its table current at its voltage. [VA] Raises MotorNotInTable."""
    current = motor_current(hp, volts=volts, phase=phase, edition=edition)
    return Cited(phase_va(current.number, volts=volts, phase=phase), "VA", current.section, current.confirmed)


def phase_va(current_a: float, *, volts: float, phase: int) -> float:
    """Volt-amperes of a current on one or three phases. [VA]"""
    return current_a * volts * (sqrt(3) if phase == 3 else 1)


def motors_current(currents_a: Sequence[float], *, edition: Edition, where: str = "motors") -> Worksheet:
    """Current that a feeder of several motors must carry: the largest raised, the others added. [A]

    The answer is the worksheet's line ``total``.

    Source:
        NEC 430.24.
    """
    sheet = WorksheetWriter(f"load/{where}/motors", "Several motors on one feeder")
    percent = edition.value("motor_feeder_largest_percent")
    ordered = sorted(currents_a, reverse=True)
    largest = sheet.number(
        "Largest motor",
        f"{plain(ordered[0])} A x {percent.text}",
        ordered[0] * percent.number / 100,
        "A",
        percent.section,
        key="largest",
        confirmed=percent.confirmed,
    )
    rest = sheet.number(
        "Other motors", " + ".join(plain(a) for a in ordered[1:]) or "none", fsum(ordered[1:]), "A", key="others"
    )
    sheet.number("All motors", f"{plain(largest)} + {plain(rest)}", largest + rest, "A", percent.section, key="total")
    return sheet.done()


def largest_motor_line(largest_va: float, *, sheet: WorksheetWriter, edition: Edition) -> float:
    """The addition for the largest motor of a standard calculation. [VA]"""
    percent = edition.value("largest_motor_percent")
    return sheet.number(
        "Largest motor",
        f"{plain(largest_va)} VA x {percent.text}",
        largest_va * percent.number / 100,
        "VA",
        percent.section,
        key="largest_motor",
        confirmed=percent.confirmed,
    )


def locked_rotor_current(hp: float, letter: str, *, volts: float, phase: int, edition: Edition) -> Cited:
    """Largest locked-rotor current that a motor's code letter allows. [A]

    Source:
        The edition's table of code letters (NEC 2020: Table 430.7(B)).
    """
    kva_per_hp = edition.table("motor_code_letters").cell("kva_per_hp_to", letter=letter)
    current = hp * kva_per_hp.number * 1000 / (volts * (sqrt(3) if phase == 3 else 1))
    return Cited(current, "A", kva_per_hp.section, kva_per_hp.confirmed)


def largest(motors: Sequence[Motor]) -> float:
    """Load of the largest of some motors, 0 for none. [VA]"""
    return max((motor.va for motor in motors), default=0.0)
