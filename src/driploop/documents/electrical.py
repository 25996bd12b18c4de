"""Fault currents and voltages on paper: tables of one installation, and the page on the open neutral."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from driploop.documents.schedules import Cite, equipment_title
from driploop.documents.tables import Cell, Column, TableData, table
from driploop.documents.text import NOTHING, amperes
from driploop.fault_current import FaultCurrents, FaultReading, TripCheck
from driploop.installation import UTILITY
from driploop.network import WHOLE_V
from driploop.rules import Readings
from driploop.voltage import DropAdvice, EarthVoltage, MotorStart, OpenNeutral, Scenario, VoltageAt, VoltageReading
from driploop.worksheet import plain

_STANDING = {"enough": "enough", "short": "too little", "open": "open: see the findings", "not known": "not known"}
_REGION = {
    "at once": "opens at once",
    "perhaps at once": "may open at once, or within {minutes:g} min",
    "slowly": "opens within {minutes:g} min",
    "hardly": "may take {minutes:g} min",
    "not at all": "does not open",
}


def percent(value: float | None) -> str:
    """A share to one decimal; a dash for none."""
    return NOTHING if value is None else f"{value:.1f} %"


def volts(value: float | None) -> str:
    """A voltage to one decimal; a dash for none."""
    return NOTHING if value is None else f"{value:.1f} V"


def fault_current_table(readings: Readings, cite: Cite) -> TableData:
    """The largest and the smallest fault at every enclosure, beside what can interrupt it."""
    faults = readings.faults
    sheets = {sheet.id: sheet for sheet in faults.worksheets}

    def row(found: FaultCurrents) -> tuple[Cell, ...]:
        id = found.equipment
        check = faults.rating(readings.graph.equipment(id))
        assert check is not None  # what has a current has a check
        opens = readings.graph.equipment(id).kind in ("panel", "disconnect", "transfer switch")
        title, by_hand = equipment_title(readings, id), faults.by_hand[id]
        return (
            title,
            *_large_and_small(found, faults.smallest[id]),
            (amperes(by_hand.line_to_line_a), amperes(by_hand.line_to_neutral_a)),
            amperes(faults.available_a(id)),
            amperes(check.rating_a) if opens else NOTHING,
            _STANDING[check.verdict] if opens else NOTHING,
            cite(sheets[f"fault/{id}"], "available", "smallest", place=title),
        )

    return table(
        "Fault current at each enclosure",
        ["Enclosure", ("Line to line", True), ("Line to neutral", True), ("Line to ground", True),
         ("By hand", True), ("Available", True), ("Interrupts", True), "Standing", "Worksheet lines"],
        list(faults.largest.values()),
        row,
        note=f"First the largest: bolted, cold wires, supply at its strongest ({faults.strong[0].supply.words}). Below "
        f"it the smallest: hot wires, supply at its weakest ({faults.weak[0].supply.words}). By hand: the largest by "
        "the point-to-point method, line to line, below it line to neutral with a neutral as large as the lines; it "
        "adds impedances as plain numbers, the model as vectors. Available is the largest kind with what running "
        "motors feed in.",
    )  # fmt: skip


def _large_and_small(largest: FaultCurrents, smallest: FaultCurrents) -> Iterator[Cell]:
    """Each kind of fault in one cell: the largest, and the smallest below it."""
    for kind in ("line_to_line_a", "line_to_neutral_a", "line_to_ground_a"):
        most, least = getattr(largest, kind), getattr(smallest, kind)
        if most is None:
            yield NOTHING
        else:
            yield amperes(most), "none" if least is None or least < 0.5 else amperes(least)


def fault_tables_apart(readings: Readings, cite: Cite) -> tuple[TableData, TableData]:
    """The same as two tables of one figure a cell, for a terminal: the largest beside the ratings; the smallest beside
    the hand method."""
    whole = fault_current_table(readings, cite)
    firsts = {c.head: i for i, c in enumerate(whole.columns)}
    rated = [i for head, i in firsts.items() if head != "By hand"]
    largest = TableData(
        "Largest fault current at each enclosure",
        tuple(whole.columns[i] for i in rated),
        tuple(tuple(_line(row[i], 0) for i in rated) for row in whole.rows),
        f"Bolted, cold wires, supply at its strongest ({readings.faults.strong[0].supply.words}). Available is the "
        "largest kind with what running motors feed in.",
    )
    kinds = [firsts[head] for head in ("Line to line", "Line to neutral", "Line to ground") if head in firsts]
    hand = firsts["By hand"]
    smallest = TableData(
        "Smallest fault current, and the largest by hand",
        (whole.columns[0], *(whole.columns[i] for i in kinds), *(Column(f"By hand, {w}", True) for w in _BY_HAND)),
        tuple(
            (_line(row[0], 0), *(_line(row[i], 1) for i in kinds), _line(row[hand], 0), _line(row[hand], 1))
            for row in whole.rows
        ),
        f"Smallest: hot wires, supply at its weakest ({readings.faults.weak[0].supply.words}). By hand: the largest by "
        "the point-to-point method, with a neutral as large as the lines; it adds impedances as plain numbers, the "
        "model as vectors.",
    )
    return largest, smallest


_BY_HAND = ("line to line", "to neutral")


def _line(cell: Cell, number: int) -> str:
    return cell if isinstance(cell, str) else cell[number]


def trip_table(readings: Readings) -> TableData:
    """What the device ahead of each run does with the smallest fault at its far end."""

    def row(check: TripCheck) -> tuple[Cell, ...]:
        run = readings.installation.runs[check.run]
        does = _REGION[check.region].format(minutes=check.minutes or 0)
        return (
            (run.title, f"to {equipment_title(readings, run.to)}"),
            f"{check.device_a:g} A {check.device}",
            amperes(check.fault_a), check.kind, amperes(check.must_open_at_a), does, check.mend or NOTHING,
        )  # fmt: skip

    return table(
        "Whether the smallest fault trips the device",
        ["Run", "Device", ("Smallest fault", True), "Kind", ("At once from", True), "It", "What would change that"],
        list(readings.faults.trips.values()),
        row,
        note="By generic bands of breakers and fuses; the curve of the device that is bought comes first. A fault that "
        "waits for heat to trip it burns meanwhile.",
    )


def voltage_table(readings: Readings, scenario: Scenario | OpenNeutral, *, title: str = "") -> TableData:
    """Voltages at every enclosure in one scenario, or with a neutral open."""

    def row(at: VoltageAt) -> tuple[Cell, ...]:
        return (
            equipment_title(readings, at.equipment), volts(at.leg_a_v), volts(at.leg_b_v), volts(at.across_v),
            percent(at.own_percent), percent(at.own_leg_percent), volts(at.neutral_to_earth_v),
        )  # fmt: skip

    supply = readings.voltages.built.supply.words
    note = _overloaded(readings) + (
        f"Supply at its weakest ({supply}), hot wires. Own runs: what the customer's runs lose up to here. "
        "At calculated load all of the neutral's current stands on leg A. A note of the code advises "
        f"{readings.edition.number('voltage_drop_total_percent'):g} % at most, the branch circuit included."
    )
    if isinstance(scenario, OpenNeutral):
        note = "Supply at its strongest, electrodes at their poorest; loads as fixed impedances."
    return table(
        f"Voltage at each enclosure: {title or scenario.title}",
        ["Enclosure", ("Leg A", True), ("Leg B", True), ("Across", True), ("Own runs, across", True),
         ("Own runs, worse leg", True), ("Neutral to earth", True)],
        list(scenario.at.values()),
        row,
        note=note,
    )  # fmt: skip


def _overloaded(readings: Readings) -> str:
    """A word on a transformer that the calculated load is far too much for."""
    from driploop.network.supply import supply_facts

    voltages = readings.voltages
    kva, runs = voltages.built.supply.kva, voltages.calculated.runs
    tops = [id for id in runs if readings.installation.runs[id].from_ == UTILITY]
    load_kva = sum(runs[id].line_a for id in tops) * WHOLE_V / 1000
    if kva is None or load_kva <= kva * supply_facts()["overload_percent"] / 100:
        return ""
    return f"The calculated load of {load_kva:.0f} kVA is too much for {kva:g} kVA: ask the utility for a larger one. "


def voltage_drop_table(readings: Readings, cite: Cite) -> TableData:
    """What each run loses at calculated load, what is advised, and the lightest wires that keep to it."""
    voltages = readings.voltages
    over = {advice.run: advice for advice in voltages.advice}
    sheets = {sheet.id: sheet for sheet in voltages.worksheets}

    def row(id: str) -> tuple[Cell, ...]:
        drop, run = voltages.calculated.runs[id], readings.installation.runs[id]
        utility = run.owner == "utility"
        return (
            run.title, amperes(drop.line_a), amperes(drop.neutral_a), volts(drop.drop_v), percent(drop.drop_percent),
            NOTHING if utility else f"{voltages.advised(id).number:g} %",
            wire_words(over.get(id)),
            cite(sheets[f"voltage/{id}"], "hand", "model", place=run.title),
        )  # fmt: skip

    return table(
        "Voltage lost along each run at calculated load",
        ["Run", ("Line", True), ("Neutral", True), ("Lost across", True), ("Share", True), ("Advised", True),
         "Wires that keep to it", "Worksheet lines"],
        list(voltages.calculated.runs),
        row,
        note="The shares advised are notes of the code, not rules. Pounds are of metal, lines and neutral; the "
        "cheapest comes first: a pound of copper costs several times a pound of aluminum (common practice).",
    )  # fmt: skip


def wire_words(advice: DropAdvice | None) -> str:
    """The wires that keep a run to what is advised."""
    if advice is None:
        return NOTHING
    words = [f"{c.size} {c.metal} ({c.metal_lb:,.0f} lb)" for c in advice.choices]
    return " or ".join(words) or "none of one size: parallel sets, or a device nearer"


def start_table(readings: Readings, cite: Cite) -> TableData:
    """Every motor starting by itself."""

    def row(start: MotorStart) -> tuple[Cell, ...]:
        lamps, dip = start.worst_lamps
        return (
            start.title, equipment_title(readings, start.equipment), amperes(start.locked_rotor_a),
            amperes(start.current_a), volts(start.motor_v), percent(start.motor_percent),
            f"{dip:.1f} % at {equipment_title(readings, lamps)}",
            cite(start.worksheet, "locked", "motor", "lamps", place=start.title),
        )  # fmt: skip

    advice = _advice()
    return table(
        "Motors that start",
        ["Motor", "At", ("Standing still", True), ("Draws", True), ("Left for it", True), ("Of rated", True),
         "Lamps dip most", "Worksheet lines"],
        list(readings.voltages.starts),
        row,
        note=f"Everything else at calculated load. Under {advice['motor_start_least']:g} % a loaded motor may not come "
        f"up; a dip of {advice['lamp_dip_seen']:g} % is seen as a blink (common practice).",
    )  # fmt: skip


def _advice() -> Any:
    from driploop.voltage.draws import advice

    return advice()


def neutral_to_earth_table(readings: Readings, found: tuple[EarthVoltage, ...] | None = None) -> TableData:
    """Neutral to earth where animals stand, as surveyed or as ``found``."""

    def row(found: EarthVoltage) -> tuple[Cell, ...]:
        building = readings.installation.buildings[found.building]
        surely = [f"surely {level}" for level in found.surely_over]
        perhaps = [f"perhaps {level}" for level in found.over if level not in found.surely_over]
        over = "; ".join((*surely, *perhaps)) or "under the published levels"
        electrodes = _range(found.electrode_least_ohm, found.electrode_most_ohm, "ohm")
        return building.title, found.scenario, electrodes, _range(found.least_v, found.most_v, "V", places=2), over

    return table(
        "Neutral to earth where animals stand",
        ["Building", "While", ("Electrodes there", True), ("Voltage", True), "Published levels it passes"],
        readings.voltages.earth_voltages if found is None else found,
        row,
        note="Of the metal in reach, which is the neutral where both are joined. From the farm's own neutral current "
        "alone, with the electrodes of the place at the best and the poorest "
        "that their soil or a measurement leaves open; the utility's neutral adds its own. An animal touches a part "
        "of it, least on an equipotential plane. Measure before and after the work.",
    )


def _range(least: float | None, most: float | None, unit: str, *, places: int | None = None) -> str:
    """Two ends as one cell, once where they read alike: to so many decimals, or in two figures."""
    if least is None or most is None:
        return NOTHING
    ends = [plain(float(f"{value:.2g}")) if places is None else f"{value:.{places}f}" for value in (least, most)]
    return f"{' to '.join(dict.fromkeys(ends))} {unit}"


def _ends(one: float, other: float) -> tuple[float, float]:
    return min(one, other), max(one, other)


def open_neutral_table(readings: Readings, cite: Cite) -> TableData:
    """Each run's neutral open by itself: what its far end then gets."""
    voltages = readings.voltages

    def row(found: OpenNeutral) -> tuple[Cell, ...]:
        end = readings.installation.runs[found.run].to or ""
        at, (worst, highest) = found.at[end], found.highest
        return (
            found.title, volts(at.leg_a_v), volts(at.leg_b_v),
            f"{highest:.0f} V at {equipment_title(readings, worst)}", volts(found.highest_at_best_v),
            _range(*_ends(found.earth_a, found.earth_at_best_a), "A", places=1),
            cite(found.worksheet, "leg_A", "leg_B", "volts_A", "volts_B", place=found.title),
        )  # fmt: skip

    return table(
        "The neutral of one run open, at the worst moment",
        [
            "Run",
            ("Leg A at its end", True),
            ("Leg B at its end", True),
            "Highest leg",
            ("The same on good electrodes", True),
            ("Through electrodes", True),
            "Worksheet lines",
        ],
        list(voltages.open_neutrals),
        row,
        note="The worst moment: everything listed runs on one leg, and on the other only the smallest load, or one "
        "lamp where none is listed. The leg with less load gets more voltage. Electrodes are at their poorest, unless "
        "said: good ones carry a part of what the neutral no longer carries.",
    )


def burning_table(readings: Readings, found: OpenNeutral) -> TableData:
    """What each 120 V load below the open neutral gets."""
    return table(
        f"{found.title}: what each load gets",
        ["Load", "Enclosure", "Leg", ("Gets", True), "Then"],
        list(found.loads),
        lambda load: (
            load.title, equipment_title(readings, load.equipment), load.leg, volts(load.voltage_v), load.what,
        ),
    )  # fmt: skip


def worst_open_neutral(voltages: VoltageReading) -> OpenNeutral | None:
    """The run whose open neutral drives a listed load highest; None where no neutral feeds a 120 V load."""
    with_loads = [found for found in voltages.open_neutrals if found.loads]
    return max(with_loads, key=lambda found: found.loads[0].voltage_v, default=None)


def open_neutral_data(readings: Readings, cite: Cite) -> dict[str, Any] | None:
    """The page that teaches why the neutral is torqued and tested; None where there is nothing to show."""
    worst = worst_open_neutral(readings.voltages)
    if worst is None:
        return None
    top = worst.loads[0]
    return {
        "story": f"Were the neutral of {worst.title} to come loose with {worst.hours} running, {top.title} would "
        f"get {top.voltage_v:.0f} V.",
        "tables": [
            each.as_data() for each in (open_neutral_table(readings, cite), burning_table(readings, worst)) if each.rows
        ],
    }


def electrical_assumptions(readings: Readings) -> tuple[Any, ...]:
    """What fault currents and voltages rest on, beyond what the plan lists already."""
    faults: FaultReading = readings.faults
    return (*faults.assumptions, *(a for a in readings.voltages.assumptions if a not in faults.assumptions))
