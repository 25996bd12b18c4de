"""A motor that starts: what it draws standing still, what voltage is left for it, how far the lamps dip."""

from __future__ import annotations

import math
from collections.abc import Sequence

from driploop.conductors import locked_rotor_current
from driploop.editions import Edition, NotInTable, common_table
from driploop.fault_current.reading import motor_facts
from driploop.installation.graph import Graph
from driploop.installation.kinds import Metal
from driploop.installation.model import Circuit, Load
from driploop.loads.nameplate import horsepower_of
from driploop.network import Built, Solver, Voltages, longest, wire_impedance
from driploop.voltage.draws import LoadDraw
from driploop.voltage.results import MotorStart
from driploop.voltage.scenario import voltages_at
from driploop.worksheet import Assumption, WorksheetWriter, plain


def start(
    motor: LoadDraw,
    graph: Graph,
    built: Built,
    solver: Solver,
    before: Voltages,
    *,
    across_v: float,
    temperature_c: float,
    edition: Edition,
) -> MotorStart:
    """One motor starting, everything else at calculated load.

    Args:
        motor: the motor as a load.
        graph: the installation.
        built: its network, every unknown at its weakest.
        solver: it, factored.
        before: voltages before the start.
        across_v: line to line without load. [V]
        temperature_c: of the circuit's wires. [C]
        edition: the code edition to ask.
    """
    load, first, second = motor.load, motor.draw.positive, motor.draw.negative
    said: list[Assumption] = []
    sheet = WorksheetWriter(f"start/{load.id}", f"Starting of {load.title}")
    rated_v = motor.draw.rated_v
    locked_a = _locked_rotor(motor, sheet, said, edition=edition)
    facts = motor_facts()
    phi = math.acos(facts["starting_power_factor"])
    standing = rated_v / locked_a * complex(math.cos(phi), math.sin(phi))
    circuit = graph.installation.circuits.get(load.circuit or "")
    wires = _circuit(circuit, load, sheet, said, temperature_c=temperature_c, edition=edition)
    ahead = solver.looking_in(first, second)
    sheet.number("Supply and runs ahead", "seen from the enclosure", round(abs(ahead), 4), "ohm")
    open_v = before.between(first, second)
    current = open_v / (ahead + wires + standing)
    words = f"{abs(open_v):.1f} V / |{abs(ahead):.3f} + {abs(wires):.3f} + {abs(standing):.3f}| ohm, as vectors"
    sheet.number("Starting current", words, round(abs(current), 1), "A", key="current")
    motor_v = abs(current * standing)
    sheet.number("At the motor", f"{abs(current):.1f} A x {abs(standing):.3f} ohm", round(motor_v, 1), "V", key="motor")
    after = before.lowered(current, solver.transfer(first, second))
    was, now = voltages_at(built, before, across_v), voltages_at(built, after, across_v)
    dips = {id: _dip(was[id].leg_a_v, now[id].leg_a_v, was[id].leg_b_v, now[id].leg_b_v) for id in now}
    worst = max(dips, key=lambda id: dips[id])
    title = graph.equipment(worst).title
    sheet.number(f"Lamps dip most at {title}", "of their voltage before", round(dips[worst], 2), "%", key="lamps")
    return MotorStart(
        load=load.id,
        title=load.title,
        equipment=first.bus,
        locked_rotor_a=locked_a,
        current_a=abs(current),
        motor_v=motor_v,
        motor_percent=motor_v / rated_v * 100,
        dips=dips,
        worksheet=sheet.done(),
        assumptions=tuple(said),
    )


def _dip(*legs: float | None) -> float:
    pairs = zip(legs[::2], legs[1::2], strict=True)
    return max(((was - now) / was * 100 for was, now in pairs if was and now is not None), default=0.0)


def _locked_rotor(motor: LoadDraw, sheet: WorksheetWriter, said: list[Assumption], *, edition: Edition) -> float:
    """Current standing still: by nameplate, code letter, the code's table, or a multiple of full load. [A]"""
    load, volts = motor.load, motor.draw.rated_v
    if load.lra_a is not None:
        return sheet.number("Locked-rotor current", "nameplate", load.lra_a, "A", key="locked")
    hp = horsepower_of(load)
    if hp is not None and load.code_letter is not None:
        try:
            cited = locked_rotor_current(hp, load.code_letter, volts=volts, phase=load.phase or 1, edition=edition)
            working = f"{load.hp} hp, code letter {load.code_letter}, upper end"
            return sheet.cite("Locked-rotor current", working, cited, key="locked").number
        except NotInTable:
            pass
    if hp is not None and (load.phase or 1) == 1:
        column = "a_115v" if volts <= 120 else "a_208v" if volts <= 208 else "a_230v"
        table = edition.table("locked_rotor_single_phase")
        try:
            cited = table.cite(table.at_least("hp_value", hp), column)
            return sheet.cite("Locked-rotor current", f"{load.hp} hp by the table", cited, key="locked").number
        except NotInTable:
            pass
    full_a = abs(motor.draw.va) / volts
    multiple = motor_facts()["starting_multiple"]
    said.append(
        Assumption(
            f"loads.{load.id}.lra_a",
            f"{plain(multiple)} times its full load",
            "usual for single-phase motors; common practice",
            "the locked-rotor amperes or the code letter on its nameplate",
        )
    )
    working = f"{plain(multiple)} x {plain(full_a)} A full load"
    return sheet.number("Locked-rotor current", working, multiple * full_a, "A", key="locked")


def _circuit(
    circuit: Circuit | None,
    load: Load,
    sheet: WorksheetWriter,
    said: list[Assumption],
    *,
    temperature_c: float,
    edition: Edition,
) -> complex:
    """The circuit's two wires, there and back. [ohm]"""
    length_ft = None
    if circuit is not None and circuit.length_ft is not None:
        length_ft = circuit.length_ft + (circuit.extend_ft or 0)
    if length_ft is None:
        length_ft = longest("circuit")
        where = f"circuits.{circuit.id}.length_ft" if circuit is not None else f"loads.{load.id}.circuit"
        said.append(
            Assumption(where, f"{length_ft:g} ft of circuit", "a long circuit leaves the motor least", "its length")
        )
    size, metal = _wire(circuit, load, said)
    per_kft = wire_impedance(
        size, metal, method=circuit.cable if circuit else None, temperature_c=temperature_c, edition=edition
    )
    z = 2 * per_kft * length_ft / 1000
    working = f"2 x {length_ft:g} ft of {size} {metal}"
    sheet.number("Its own circuit", working, round(abs(z), 4), "ohm")
    return z


def _wire(circuit: Circuit | None, load: Load, said: list[Assumption]) -> tuple[str, Metal]:
    if circuit is not None and circuit.wire_size is not None:
        return circuit.wire_size, circuit.metal or "copper"
    device_a = circuit.ocpd_a if circuit is not None and circuit.ocpd_a else 20.0
    row = common_table("run_size_unknown").at_least("to_a", device_a)
    size = str(row["size"])
    where = f"circuits.{circuit.id}.wire_size" if circuit is not None else f"loads.{load.id}.circuit"
    said.append(
        Assumption(where, f"{size} {row['metal']}", "the smallest that is usual behind such a device", "its wire")
    )
    return size, "aluminum" if row["metal"] == "aluminum" else "copper"


def motors_of(draws: Sequence[LoadDraw]) -> list[LoadDraw]:
    """The motors among the loads, one each where several are alike."""
    return [each for each in draws if each.motor]
