"""Machines whose device may pass the wire's ordinary limit: motors, hermetic cooling equipment, welders."""

from __future__ import annotations

from collections.abc import Sequence

from driploop.circuits.motor_circuit import full_load_current, group_device, motor_device
from driploop.circuits.motor_start import motor_start
from driploop.circuits.need import Need, is_hermetic, line_volts, ordinary_need, rounded_down, standard_up
from driploop.circuits.protection_results import NamedException, OverloadState, Remark
from driploop.conductors import motor_conductor_current, motor_feeder_current
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit, Load
from driploop.loads.nameplate import read_nameplate
from driploop.worksheet import Assumption, Cited, Verdict, WorksheetWriter, plain

_OWN_OVERLOAD = frozenset({"starter", "built in", "its own fuses"})


def overload_state(load: Load) -> OverloadState:
    """Whether what opens on overload of a motor is there, and stays when its fuses give way to a breaker."""
    if load.overload_protection in _OWN_OVERLOAD:
        return "present"
    if load.overload_protection == "fuses of the circuit":
        return "lost with the fuses"
    return "missing" if load.overload_protection == "none" else "not known"


def say_overload(need: Need, load: Load, edition: Edition) -> None:
    """Take over a motor's overload protection, the worse of several, and say what is wrong with it."""
    state, section = overload_state(load), edition.section("motor-overload")
    order = ("present", "not known", "lost with the fuses", "missing")
    if need.overload is None or order.index(state) > order.index(need.overload):
        need.overload = state
    if state == "missing":
        words = f"{load.title} has no overload protection: fit a starter or a motor switch with an overload device."
        need.remarks.append(Remark(Verdict.MEND, words, section))
    elif state == "lost with the fuses":
        words = (
            f"{load.title}: the fuses that come out were its overload protection. A breaker does not take their place: "
            "fit an overload device."
        )
        need.remarks.append(Remark(Verdict.MEND, words, section))


def motor_need(
    need: Need, motor: Load, circuit: Circuit, *, volts: float, writer: WorksheetWriter, edition: Edition
) -> None:
    """One motor by its horsepower. Lines ``full_load``, ``carry``, ``most_device``, ``ceiling``, ``overload``."""
    own_volts, three = line_volts(motor, circuit, volts), motor.phase == 3
    current = full_load_current(motor.hp or "", volts=own_volts, phase=3 if three else 1, edition=edition)
    if current is None:
        ordinary_need(need, [motor], circuit, volts=volts, writer=writer, edition=edition)
        need.ask(f"{motor.title}: the motor tables have no {motor.hp} hp at {own_volts:g} V.",
                 edition.section("motor-branch-circuit"))  # fmt: skip
        return
    full_load_a = current.number
    writer.cite("Full-load current", f"{motor.hp} hp, {own_volts:g} V, by the motor table", current, key="full_load")
    carry = motor_conductor_current(full_load_a, edition=edition)
    percent = edition.value("motor_conductor_percent")
    writer.cite("The wire must carry", f"{plain(full_load_a)} A x {percent.text}", carry, key="carry")
    need.table_a = need.carried_a = need.prefer_a = carry.number
    need.full_load_a, need.three_phase = full_load_a, three
    need.least = standard_up(full_load_a, edition=edition)
    try:
        device = motor_device(full_load_a, three_phase=three, edition=edition)
    except NotInTable:
        return
    need.most, need.ceiling = device.usual, device.ceiling
    by = f"{plain(full_load_a)} A, inverse-time breaker: percentage of the table, next standard rating"
    writer.cite("Largest breaker for the motor", by, device.usual, key="most_device")
    writer.cite("Where it does not start on that", "no larger than", device.ceiling, key="ceiling")
    need.exception = NamedException("motor", edition.section("device-by-its-own-article"))
    need.start = motor_start(motor, full_load_a, volts=own_volts, edition=edition)
    say_overload(need, motor, edition)
    if motor.volts is None and circuit.poles is None:
        need.exception = None  # at half the voltage it draws twice as much: no exception rests on a guess
        need.ask(f"{motor.title}: its voltage is not read.", edition.section("motor-branch-circuit"))
    _overload_size(motor, writer, edition)


def _overload_size(motor: Load, writer: WorksheetWriter, edition: Edition) -> None:
    if motor.current_a is None:
        return
    percent = edition.value("motor_overload_other_percent")
    working = f"nameplate {plain(motor.current_a)} A x {percent.text}; more where its service factor or rise says so"
    writer.number("Overload device, at most", working, round(motor.current_a * percent.number / 100, 2), "A",
                  percent.section, key="overload", confirmed=percent.confirmed)  # fmt: skip


def hermetic_need(
    need: Need, unit: Load, circuit: Circuit, *, volts: float, writer: WorksheetWriter, edition: Edition
) -> None:
    """Hermetic equipment by its nameplate. Lines ``carry``, ``most_device``, ``ceiling``."""
    nameplate, by_rla = edition.section("ac-nameplate"), edition.section("hermetic-circuit")
    if unit.mca_a is not None:
        need.table_a = need.carried_a = unit.mca_a
        writer.number("The wire must carry", "minimum circuit ampacity of the nameplate", unit.mca_a, "A", nameplate,
                      key="carry")  # fmt: skip
    elif unit.rla_a is not None:
        percent = edition.value("hermetic_conductor_percent")
        need.table_a = need.carried_a = unit.rla_a * percent.number / 100
        working = f"rated-load {plain(unit.rla_a)} A x {percent.text}"
        writer.number("The wire must carry", working, round(need.table_a, 2), "A", percent.section, key="carry")
    _hermetic_device(need, unit, writer, edition)
    if need.most is None:
        need.ask(f"{unit.title}: the largest device is not read from its nameplate.", nameplate)
    else:
        section = nameplate if unit.mocp_a is not None else by_rla
        need.exception = NamedException("cooling equipment by its nameplate" if unit.mocp_a is not None else
                                        "hermetic compressor", f"{edition.section('device-by-its-own-article')}, "
                                        f"{section}")  # fmt: skip
        need.overload = "present"  # the compressor's own protector is part of the equipment
    if need.table_a:
        up = standard_up(need.table_a, edition=edition)
        most_a = need.most.number if need.most is not None else up.number
        need.least = Cited(min(up.number, most_a), "A", up.section, up.confirmed)
        need.prefer_a = need.least.number
    own = unit.rla_a or unit.mca_a
    if own is not None and (unit.rla_a is not None or unit.lra_a is not None):
        need.start = motor_start(unit, own, volts=line_volts(unit, circuit, volts), edition=edition)
    need.fuse_only = unit.nameplate_device == "fuse only"
    if unit.nameplate_device is None:
        need.ask(f"{unit.title}: does its nameplate allow a breaker, or fuses alone?",
                 edition.section("fuse-only-nameplate"))  # fmt: skip


def _hermetic_device(need: Need, unit: Load, writer: WorksheetWriter, edition: Edition) -> None:
    least_a = edition.number("hermetic_device_least_a")
    if unit.mocp_a is not None:
        section = edition.section("ac-nameplate")
        down = rounded_down(unit.mocp_a, least_a=least_a, edition=edition)
        # A marked device below the smallest breaker that is made leaves none that the nameplate allows.
        value = down.number if down.number <= unit.mocp_a else unit.mocp_a
        need.most = need.ceiling = Cited(value, "A", section, down.confirmed)
        writer.cite("Largest device for it", f"nameplate {plain(unit.mocp_a)} A", need.most, key="most_device")
    elif unit.rla_a is not None:
        usual, most = edition.value("hermetic_device_percent"), edition.value("hermetic_device_ceiling_percent")
        first = rounded_down(unit.rla_a * usual.number / 100, least_a=least_a, edition=edition)
        last = rounded_down(unit.rla_a * most.number / 100, least_a=least_a, edition=edition)
        need.most = Cited(first.value, "A", usual.section, usual.confirmed)
        need.ceiling = Cited(last.value, "A", most.section, most.confirmed)
        words = f"rated-load {plain(unit.rla_a)} A x {{}}, rounded down"
        writer.cite("Largest device for it", words.format(usual.text), need.most, key="most_device")
        writer.cite("Where it does not start on that", words.format(most.text), need.ceiling, key="ceiling")


def welder_need(
    need: Need, welder: Load, circuit: Circuit, *, volts: float, writer: WorksheetWriter, edition: Edition
) -> None:
    """One arc welder by supply current and duty cycle. Lines ``carry`` and ``most_device``."""
    plate = read_nameplate(welder, circuit=circuit, building=None, system_volts=volts, edition=edition)
    if not plate.known:
        need.known = False
        need.ask(f"{welder.title}: its supply current is not read.", edition.section("welder-circuit"))
        return
    current_a = plate.va / line_volts(welder, circuit, volts)
    share = welder_share(welder.duty_percent or 100.0, motor_generator=True, edition=edition)
    if welder.duty_percent is None:
        need.assumptions.append(
            Assumption(f"loads.{welder.id}.duty_percent", "100 percent", "it asks the largest wire",
                       "the duty cycle on its plate; most are far below")
        )  # fmt: skip
    carry_a = current_a * share.number
    working = f"{plain(round(current_a, 2))} A x {share.text}, duty {welder.duty_percent or 100:g} %"
    writer.number("The wire must carry", working, round(carry_a, 2), "A", share.section, key="carry")
    need.table_a = need.carried_a = carry_a
    need.least = standard_up(carry_a, edition=edition)
    percent = edition.value("welder_device_percent")
    up = standard_up(current_a * percent.number / 100, edition=edition)
    need.most = Cited(up.value, "A", percent.section, percent.confirmed)
    writer.cite("Largest device for it", f"{plain(round(current_a, 2))} A x {percent.text}, next standard rating",
                need.most, key="most_device")  # fmt: skip
    need.wire_percent = percent
    need.exception = NamedException("welder", f"{edition.section('device-by-its-own-article')}, {percent.section}")


def welder_share(duty_percent: float, *, motor_generator: bool = False, edition: Edition) -> Cited:
    """Share of a welder's supply current that its conductors must carry, by duty cycle [percent].

    Between two rows the larger duty is taken. Source: the edition's table of duty cycles of arc welders.
    """
    table = edition.table("welder_duty")
    return table.cite(table.at_least("duty_to", duty_percent), "motor_generator" if motor_generator else "no_motor")


def group_need(
    need: Need,
    motors: Sequence[Load],
    others: Sequence[Load],
    circuit: Circuit,
    *,
    volts: float,
    writer: WorksheetWriter,
    edition: Edition,
) -> None:
    """Several motors, or a motor with other load, on one circuit. Lines ``load``, ``carry``, ``most_device``."""
    ordinary_need(need, others, circuit, volts=volts, writer=writer, edition=edition)
    currents: list[tuple[float, Load]] = []
    for motor in motors:
        own = _own_current(motor, circuit, volts, edition)
        if own is None:
            need.known = False
            need.ask(f"{motor.title}: its current is not known.", edition.section("motor-group"))
            continue
        words = f"{motor.hp} hp by the motor table" if motor.hp is not None else "nameplate"
        counted = f"{motor.count} x " if motor.count > 1 else ""
        writer.number(motor.title, f"{counted}{words}", own * motor.count, "A", edition.section("motor-branch-circuit"))
        currents += [(own, motor)] * motor.count
        if is_hermetic(motor):
            need.overload = need.overload or "present"  # its own protector is part of the equipment
        else:
            say_overload(need, motor, edition)
    if not currents:
        return
    full_loads = [current for current, _ in currents]
    carry = motor_feeder_current(full_loads, other_a=need.table_a, edition=edition)
    largest_a, largest = max(currents, key=lambda pair: pair[0])
    rest_a = sum(full_loads) - largest_a + need.carried_a
    working = f"largest {plain(largest_a)} A raised, and {plain(round(rest_a, 2))} A"
    writer.cite("The wire must carry", working, carry, key="carry")
    need.table_a = need.carried_a = need.prefer_a = carry.number
    need.least = standard_up(sum(full_loads) + (carry.number - _raised(full_loads, edition)), edition=edition)
    try:
        device = motor_device(largest_a, three_phase=largest.phase == 3, edition=edition)
    except NotInTable:
        return
    need.most = need.ceiling = group_device(device.usual.number, rest_a, edition=edition)
    words = f"largest motor's {device.usual.number:g} A and {plain(round(rest_a, 2))} A, rounded down"
    writer.cite("Largest device for them", words, need.most, key="most_device")
    need.exception = NamedException("several motors", edition.section("motor-group"))


def _raised(full_loads: Sequence[float], edition: Edition) -> float:
    return motor_feeder_current(full_loads, edition=edition).number


def _own_current(motor: Load, circuit: Circuit, volts: float, edition: Edition) -> float | None:
    if motor.hp is not None:
        own_volts, phase = line_volts(motor, circuit, volts), 3 if motor.phase == 3 else 1
        found = full_load_current(motor.hp, volts=own_volts, phase=phase, edition=edition)
        if found is not None:
            return found.number
    return motor.rla_a or motor.mca_a or motor.current_a
