"""The commands on fault currents and voltages: tables on a terminal, or data."""

from __future__ import annotations

from argparse import Namespace
from typing import TYPE_CHECKING

from driploop.cli.main import FINE
from driploop.worksheet import DriploopError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from rich.console import Console

    from driploop.documents.tables import TableData
    from driploop.planning import Plan
    from driploop.rules import Readings
    from driploop.voltage import OpenNeutral
    from driploop.worksheet import Assumption


def faults(arguments: Namespace) -> int:
    """Print fault currents."""
    from driploop.cli.commands import plan_of, print_json
    from driploop.documents.electrical import fault_tables_apart, trip_table
    from driploop.documents.electrical_data import faults_data

    plan = plan_of(arguments.job)
    if arguments.json:
        print_json({"edition": plan.edition.name, **_states(plan, faults_data)})
        return FINE
    console = _head(plan)
    for title, readings in _readings(plan):
        if readings.faults.largest:
            _tables(console, title, [*fault_tables_apart(readings, _uncited), trip_table(readings)])
    _assumed(console, plan.final.faults.assumptions)
    return FINE


def voltages(arguments: Namespace) -> int:
    """Print voltages."""
    from driploop.cli.commands import plan_of, print_json
    from driploop.documents import electrical
    from driploop.documents.electrical_data import under_limit, voltages_data

    limit = arguments.limit
    if limit is not None and not 0 < limit < 100:
        raise DriploopError(f"--limit {limit:g}: a share of the voltage in percent is more than 0 and less than 100.")
    plan = plan_of(arguments.job)
    final = plan.final
    opened = None
    if arguments.open_neutral is not None:
        opened = final.voltages.open_neutral(arguments.open_neutral, hours=arguments.hours)
    elif arguments.hours is not None:
        raise DriploopError("--hours says what runs while a neutral is open: give --open-neutral RUN with it.")
    known = _electrodes(arguments.electrode, final)
    if arguments.json:
        data = _states(plan, lambda readings: voltages_data(
            readings, limit_percent=limit, opened=opened if readings is final else None,
            electrodes=known if readings is final else None))  # fmt: skip
        print_json({"edition": plan.edition.name, **data})
        return FINE
    console = _head(plan)
    if known:
        told = final.voltages.earth_voltages_with(known)
        _tables(console, "With these electrodes", [electrical.neutral_to_earth_table(final, told)])
        return FINE
    if opened is not None:
        _open_neutral(console, final, opened)
        return FINE
    for title, readings in _readings(plan):
        if readings.voltages.calculated.at:
            shown = [electrical.voltage_table(readings, each) for each in readings.voltages.scenarios]
            shown += [electrical.voltage_drop_table(readings, _uncited), electrical.start_table(readings, _uncited)]
            _tables(console, title, [*shown, electrical.neutral_to_earth_table(readings)])
    if limit is not None:
        _limits(console, final, limit, under_limit(final, limit))
    _assumed(console, final.voltages.assumptions)
    return FINE


def _electrodes(asked: Iterable[str], readings: Readings) -> dict[str, float]:
    """Resistances that were given by hand. [ohm by electrode id]"""
    there = readings.voltages.built.electrodes
    known: dict[str, float] = {}
    for each in asked:
        id, _, words = each.partition("=")
        try:
            known[id] = float(words)
        except ValueError:
            known[id] = 0.0
        if id not in there or not known[id] > 0:
            listed = ", ".join(there)
            raise DriploopError(f"--electrode {each}: give ID=OHM with an ohm above 0 and one of these ids: {listed}.")
    return known


def _states(plan: Plan, data: object) -> dict[str, object]:
    assert callable(data)
    return {"found": data(plan.found), "proposed": data(plan.proposed) if plan.proposed is not None else None}


def _readings(plan: Plan) -> list[tuple[str, Readings]]:
    both = [("As found", plan.found), *([("As proposed", plan.proposed)] if plan.proposed is not None else [])]
    return [(title, readings) for title, readings in both]


def _uncited(*_: object, place: str = "") -> str:
    """On a terminal nothing is numbered: worksheets come with --json."""
    return ""


def _head(plan: Plan) -> Console:
    from rich.console import Console

    from driploop.cli.columns import put

    console = Console(highlight=False)
    put(console, plan.job.header.title, style="bold")
    if not any(readings.faults.largest for _, readings in _readings(plan)):
        console.print()
        put(console, "Nothing hangs on a known supply yet: enter the runs from the utility to each enclosure.")
    return console


def _tables(console: Console, title: str, tables: Iterable[TableData]) -> None:
    from driploop.cli.columns import put

    console.print()
    put(console, title, style="bold underline")
    for each in tables:
        if each.rows:
            console.print()
            _table(console, each)


def _table(console: Console, data: TableData) -> None:
    from driploop.cli.columns import put, put_rows

    put(console, data.title, style="bold")
    rows = [[cell if isinstance(cell, str) else ", ".join(cell) for cell in row] for row in data.rows]
    heads = [column.head for column in data.columns]
    right = [place for place, column in enumerate(data.columns) if column.number]
    if not put_rows(console, [heads, *rows], 2, right=right, styles=["bold"], heads=True):
        for row in rows:  # a narrow terminal: one fact a line
            console.print()
            for head, cell in zip(heads, row, strict=True):
                put(console, f"{head}: {cell}", 2, hang=2)
    if data.note:
        put(console, data.note, 2, style="dim")


def _open_neutral(console: Console, readings: Readings, opened: OpenNeutral) -> None:
    from driploop.cli.columns import put
    from driploop.documents.electrical import burning_table, voltage_table

    title = f"the neutral of {opened.title} open, {opened.hours} running"
    shown = [voltage_table(readings, opened, title=title), burning_table(readings, opened)]
    _tables(console, "An open neutral", shown)
    console.print()
    put(console, f"Through the electrodes below it: {opened.earth_a:.1f} A at their poorest, "
                 f"{opened.earth_at_best_a:.1f} A at their best; the highest leg at the run's end is then "
                 f"{opened.highest_at_best_v:.0f} V.")  # fmt: skip
    put(console, "So the neutral is torqued to its marked value, written down, and tested under load by a qualified "
                 "person before the panel is handed over.")  # fmt: skip


def _limits(console: Console, readings: Readings, limit: float, found: Iterable[str]) -> None:
    from driploop.cli.columns import put

    console.print()
    put(console, f"Wires that keep each run under {limit:g} percent, the lightest metal first", style="bold underline")
    if not found:
        put(console, "Every run of the customer's keeps under it.", 2)
    for id in found:
        choices = readings.voltages.wires_for(id, limit)
        words = "; ".join(f"{c.size} {c.metal}, {c.drop_percent:.1f} %, {c.metal_lb:,.0f} lb of metal" for c in choices)
        words = words or "none of one size: parallel sets, or a device nearer"
        put(console, f"{readings.installation.runs[id].title} ({id}): {words}", 2, hang=2)


def _assumed(console: Console, assumptions: tuple[Assumption, ...]) -> None:
    from driploop.cli.columns import put
    from driploop.worksheet import gathered

    if not assumptions:
        return
    console.print()
    put(console, "What this rests on, because the survey does not know", style="bold underline")
    for places, first in gathered(assumptions):
        put(console, f"- {', '.join(places)}", 2, hang=2, style="bold")
        put(console, f"taken as: {first.assumed}", 4)
        put(console, f"what would change it: {first.would_change}", 4, style="dim")
