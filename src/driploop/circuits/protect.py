"""One circuit: wire and load weighed against each other, the device that may stand ahead, and what is there today."""

from __future__ import annotations

from collections.abc import Sequence

from driploop.circuits.decision import Decision, decide
from driploop.circuits.ground import ground_found, write_ground
from driploop.circuits.machines import group_need, hermetic_need, motor_need, welder_need
from driploop.circuits.motor_start import StartVerdict, write_start
from driploop.circuits.need import Need, cooling_without_nameplate, is_hermetic, is_motor, ordinary_need
from driploop.circuits.protection_results import ProposedDevice, Protection
from driploop.circuits.remarks import ground_remarks, remarks_of
from driploop.circuits.today import Found, judge_found, new_circuit
from driploop.circuits.wire import limit_of, wire_of
from driploop.circuits.wire_words import say_wire, wire_assumptions, wire_words
from driploop.editions import Edition
from driploop.installation import Circuit, Equipment, Load
from driploop.worksheet import WorksheetWriter, unique


def read_need(
    circuit: Circuit, loads: Sequence[Load], *, system_volts: float, writer: WorksheetWriter, edition: Edition
) -> Need:
    """What the loads of a circuit ask, its lines written as they come."""
    need = Need()
    machines = [load for load in loads if is_motor(load) or is_hermetic(load)]
    others = [load for load in loads if load not in machines]
    single = loads[0] if len(loads) == 1 and loads[0].count == 1 else None
    if single is not None and is_hermetic(single):
        hermetic_need(need, single, circuit, volts=system_volts, writer=writer, edition=edition)
    elif single is not None and is_motor(single):
        motor_need(need, single, circuit, volts=system_volts, writer=writer, edition=edition)
    elif single is not None and single.kind == "welder":
        welder_need(need, single, circuit, volts=system_volts, writer=writer, edition=edition)
    elif machines:
        group_need(need, machines, others, circuit, volts=system_volts, writer=writer, edition=edition)
    elif others:
        ordinary_need(need, others, circuit, volts=system_volts, writer=writer, edition=edition)
    for load in others:
        if cooling_without_nameplate(load):
            need.ask(f"{load.title}: read minimum circuit ampacity and largest device on its nameplate.",
                     edition.section("ac-nameplate"))  # fmt: skip
    return need


def weigh(
    circuit: Circuit, loads: Sequence[Load], panel: Equipment | None, *, system_volts: float, edition: Edition
) -> tuple[ProposedDevice, Decision]:
    """The device for one circuit and the numbers behind it, without paper: arguments as of ``protect``."""
    writer = WorksheetWriter("", "")
    need = read_need(circuit, loads, system_volts=system_volts, writer=writer, edition=edition)
    decision = decide(circuit, panel, need, wanted_a=circuit.ocpd_a, edition=edition)
    return proposed_device(circuit, loads, decision), decision


def protect(
    circuit: Circuit,
    loads: Sequence[Load],
    panel: Equipment | None,
    *,
    system_volts: float,
    edition: Edition,
    today: Protection | None = None,
    proposed: bool = False,
) -> Protection:
    """The protection of one circuit, with its worksheet.

    Args:
        circuit: as it stands in the installation that is read.
        loads: what hangs on it.
        panel: where it starts, None where nobody said.
        system_volts: line to line. [V]
        edition: the code edition to ask.
        today: its protection as found, where the installation is the proposed one: what stands there today.
        proposed: whether the installation is the proposed one.

    Source: the edition's rules on protection of conductors and the articles of the equipment; each line names its own.
    """
    writer = WorksheetWriter(f"circuit/{circuit.id}", f"Protection of {circuit.serves or circuit.title}")
    wire = wire_of(circuit, panel, edition=edition)
    limit = limit_of(circuit, panel, hopeful=False, edition=edition)
    say_wire(writer, wire, limit, edition=edition)
    need = read_need(circuit, loads, system_volts=system_volts, writer=writer, edition=edition)
    # Of kept fuses the rating is that of the fuses, which no longer stand in the panel as proposed.
    kept_a = today.found_a if need.fuse_only and today is not None else circuit.ocpd_a
    decision = decide(circuit, panel, need, wanted_a=kept_a, edition=edition)
    device = proposed_device(circuit, loads, decision)
    found = Found.of(today) if today is not None else _found(circuit, decision, proposed, edition)
    ground = ground_found(circuit, device_a=device.in_the_panel_a or decision.least_a, edition=edition)
    start = _write_decision(writer, decision, device, edition)
    writer.write("Found today", found.words, found.verdict, "", edition.section("breaker-matches-wire"), key="found")
    write_ground(writer, ground, edition=edition)
    told = remarks_of(circuit, decision, device, found, start=start, proposed=proposed, edition=edition)
    remarks = [*need.remarks, *told, *ground_remarks(circuit, ground)]
    return Protection(
        circuit=circuit.id,
        title=circuit.serves or circuit.title,
        wire=wire_words(circuit),
        poles=device.poles,
        ampacity_a=limit.usable_a if limit is not None else None,
        ordinary_a=decision.ordinary_a,
        largest_a=decision.largest.number if decision.largest is not None else None,
        least_a=decision.least_a,
        refused=decision.why,
        new_wire=bool(decision.why) and decision.certain,
        until_then_a=decision.until_then_a,
        device=device,
        exception=decision.exception,
        found_a=found.rating_a,
        found_kind=found.kind,
        found=found.verdict,
        found_words=found.words,
        overload=need.overload,
        start=start,
        ground=ground,
        remarks=tuple(dict.fromkeys(remarks)),
        worksheet=writer.done(),
        assumptions=unique([*wire_assumptions(circuit, wire, limit, edition=edition), *need.assumptions]),
    )


def _found(circuit: Circuit, decision: Decision, proposed: bool, edition: Edition) -> Found:
    if circuit.is_new or proposed:
        return new_circuit()
    return judge_found(circuit, decision, edition=edition)


def proposed_device(circuit: Circuit, loads: Sequence[Load], decision: Decision) -> ProposedDevice:
    """The device to put in, by its kind."""
    poles = circuit.poles or _poles_of(loads)
    if circuit.purpose == "spare" or decision.rating_a is None:
        return ProposedDevice("none", poles, None)
    if not decision.need.fuse_only:
        return ProposedDevice("inverse-time breaker", poles, decision.rating_a)
    ordinary_a = decision.ordinary_a or 0.0
    most = decision.need.most
    ahead_a = min(ordinary_a, most.number) if most is not None else ordinary_a
    # A breaker that would open under the load itself is none to propose.
    carries = ahead_a >= decision.need.carried_a
    return ProposedDevice("fuse kept", poles, decision.rating_a, ahead_a if carries else None)


def _poles_of(loads: Sequence[Load]) -> int | None:
    phases = {3 if load.phase == 3 else 2 for load in loads if (load.volts or 0) > 120}
    return max(phases) if phases else (1 if loads and all((load.volts or 240) <= 120 for load in loads) else None)


def _write_decision(
    writer: WorksheetWriter, decision: Decision, device: ProposedDevice, edition: Edition
) -> StartVerdict | None:
    section = edition.section("breaker-matches-wire")
    if decision.exception is not None:
        ordinary = decision.ordinary_a or 0.0
        words = f"{decision.exception.name}: the device may pass the wire's {ordinary:g} A"
        writer.write("Named exception", words, "holds", "", decision.exception.section, key="exception")
    if decision.largest is None:
        writer.write("Largest device", decision.why or "not known", "refused", "", section, key="largest")
    else:
        writer.cite("Largest device", "what wire and load allow", decision.largest, key="largest")
    start = None
    if decision.need.start is not None and device.rating_a is not None and device.kind == "inverse-time breaker":
        start = write_start(writer, decision.need.start, device.rating_a)
    if device.kind == "fuse kept" and device.ahead_a is not None:
        writer.number("Breaker ahead of the fuses", "the wire's ordinary limit", device.ahead_a, "A", section,
                      key="ahead")  # fmt: skip
    if decision.until_then_a is not None:
        writer.number("Until the wire is renewed", "what protects the wire that is there", decision.until_then_a, "A",
                      section, key="until_then")  # fmt: skip
    writer.write("Proposed device", device.kind, device.words, "", section, key="device")
    return start
