"""One load of the survey read as volt-amperes: which field was trusted, what had to be assumed."""

from __future__ import annotations

from dataclasses import dataclass, replace

from driploop.editions import Edition
from driploop.installation import Circuit, Load
from driploop.loads.motors import MotorNotInTable, horsepower, motor_current, phase_va
from driploop.loads.typical import of_site, typical
from driploop.worksheet import Assumption, plain

_NOMINAL = {115: 120, 230: 240}
MOTOR_KINDS = frozenset(
    {
        "motor", "well pump", "irrigation pump", "refrigeration", "milking equipment", "ventilation fan",
        "workshop machine", "disposer", "furnace blower", "air conditioner", "heat pump",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Nameplate:
    """A load's volt-amperes (of one, where ``count`` says several are alike) and how they were found.

    ``held``: by a system, together with others; its VA is then its part of the set point.
    """

    load: Load
    va: float
    working: str
    motor_va: float = 0.0
    hp: float | None = None
    line_to_neutral: bool = False
    known: bool = True
    continuous: bool = False
    circuit: Circuit | None = None
    building: str | None = None
    assumptions: tuple[Assumption, ...] = ()
    held: bool = False

    @property
    def id(self) -> str:
        """The load's id."""
        return self.load.id

    @property
    def title(self) -> str:
        """The load's name on paper."""
        return self.load.title


def read_nameplate(
    load: Load, *, circuit: Circuit | None, building: str | None, system_volts: float, edition: Edition
) -> Nameplate:
    """Read a load's VA from the first of: va, kw, current or horsepower, circuit or rated-load amperes.

    For motors the code's current by horsepower goes before a smaller nameplate current. Nothing to go by: the upper
    nameplate of its kind, with the assumption.

    Args:
        load: the load.
        circuit: the circuit that feeds it, where one is listed.
        building: id of the building it stands in.
        system_volts: line to line. [V]
        edition: the code edition to ask.
    """
    volts, assumptions = _volts(load, circuit, system_volts)
    found = _stated(load) or _from_current(load, volts=volts or system_volts, edition=edition)
    known = found is not None
    if found is None:
        found, said = _unread(load, circuit, volts or system_volts)
        assumptions.append(said)
    va, working = found
    on_neutral = volts <= 120 if volts else not known or _may_be_one_line(load, va)
    if volts is None and on_neutral:
        assumptions.append(_volts_unread(load))
    continuous, unsure = _continuous(load)
    assumptions += unsure
    return Nameplate(
        load=load,
        va=va,
        working=working,
        motor_va=_motor_va(load, va, volts=volts or system_volts),
        hp=horsepower_of(load),
        line_to_neutral=on_neutral,
        known=known,
        continuous=continuous,
        circuit=circuit,
        building=building,
        assumptions=tuple(assumptions),
    )


def as_counted(plate: Nameplate, *, edition: Edition) -> Nameplate:
    """A load as a calculation counts it: a vehicle charger at the edition's least value or more, wherever it stands."""
    if plate.load.kind != "vehicle charger" or not edition.has("evse_minimum"):
        return plate
    least = edition.value("evse_minimum")
    if plate.va >= least.number:
        return plate
    working = f"{plate.working} = {plain(plate.va)} VA; {least.text} at least by {least.section}"
    return replace(plate, va=least.number, working=working)


def _volts(load: Load, circuit: Circuit | None, system_volts: float) -> tuple[float | None, list[Assumption]]:
    if load.volts is not None:
        return float(_NOMINAL.get(load.volts, load.volts)), []
    if circuit is not None and circuit.poles is not None:
        return (120.0 if circuit.poles == 1 else system_volts), []
    return None, []


def _may_be_one_line(load: Load, va: float) -> bool:
    """Whether a load of unknown voltage could be one of 120 V. Its VA may stand for amperes taken at twice that."""
    by_current = load.va is None and load.kw is None
    return (va / 2 if by_current else va) <= of_site("line_to_neutral_most_va")


def _stated(load: Load) -> tuple[float, str] | None:
    if load.va is not None:
        return load.va, f"nameplate {plain(load.va)} VA"
    if load.kw is not None:
        return load.kw * 1000, f"nameplate {plain(load.kw)} kW"
    return None


def _from_current(load: Load, *, volts: float, edition: Edition) -> tuple[float, str] | None:
    phase = load.phase or 1
    ways: list[tuple[float, str]] = []
    if load.hp is not None and (by_table := _table_current(load.hp, volts=volts, phase=phase, edition=edition)):
        ways.append(by_table)
    if load.current_a is not None:
        ways.append((load.current_a, f"nameplate {plain(load.current_a)} A"))
    if not ways and load.mca_a is not None:
        ways.append(_compressor_and_fan(load.mca_a, load.rla_a, edition=edition))
    if not ways and load.rla_a is not None:
        ways.append((load.rla_a, f"rated-load {plain(load.rla_a)} A"))
    if not ways:
        return None
    current, words = max(ways, key=lambda way: way[0])
    root = " x 1.732" if phase == 3 else ""
    return phase_va(current, volts=volts, phase=phase), f"{words} x {plain(volts)} V{root}"


def _compressor_and_fan(mca_a: float, rla_a: float | None, *, edition: Edition) -> tuple[float, str]:
    """The load behind a minimum circuit ampacity, which holds its largest motor raised."""
    if rla_a is None or rla_a > mca_a:
        return mca_a, f"minimum circuit ampacity {plain(mca_a)} A"
    raised = edition.number("largest_motor_percent") / 100
    load_a = max(mca_a - raised * rla_a, rla_a)
    return load_a, f"({plain(mca_a)} A circuit ampacity - {plain(raised * 100)} % x {plain(rla_a)} A)"


def _table_current(hp: str, *, volts: float, phase: int, edition: Edition) -> tuple[float, str] | None:
    """Current by the motor table; beyond its end in proportion to its last row. None where it is no horsepower."""
    try:
        current = motor_current(hp, volts=volts, phase=phase, edition=edition).number
        return current, f"{hp} hp, {plain(current)} A by the motor table"
    except MotorNotInTable:
        pass
    try:
        wanted = horsepower(hp)
        last = edition.table("motor_three_phase" if phase == 3 else "motor_single_phase").rows[-1]
        current = motor_current(str(last["hp"]), volts=volts, phase=phase, edition=edition).number
    except MotorNotInTable:
        return None
    scaled = current * wanted / float(last["hp_value"] or 1)
    return scaled, f"{hp} hp, {plain(scaled)} A in proportion to the motor table's last row"


def horsepower_of(load: Load) -> float | None:
    """The horsepower of a nameplate as a number; None where there is none, or it is no horsepower."""
    if load.hp is None:
        return None
    try:
        return horsepower(load.hp)
    except MotorNotInTable:
        return None


def _motor_va(load: Load, va: float, *, volts: float) -> float:
    """The part of the load that is its largest motor. [VA]"""
    if load.kind not in MOTOR_KINDS and load.hp is None:
        return 0.0
    stated = load.va is not None or load.kw is not None or load.hp is not None or load.current_a is not None
    if load.mca_a is not None and not stated:
        # A circuit ampacity without its compressor's current already holds the largest motor raised.
        return 0.0 if load.rla_a is None else min(va, phase_va(load.rla_a, volts=volts, phase=load.phase or 1))
    return va


def _continuous(load: Load) -> tuple[bool, list[Assumption]]:
    if load.continuous is not None:
        return load.continuous, []
    nature = typical(load.kind).continuous
    if nature != "maybe":
        return nature == "yes", []
    return True, [
        Assumption(
            where=f"loads.{load.id}.continuous",
            assumed="runs three hours or more",
            why_safe="a continuous load counts higher for conductors and overcurrent devices",
            would_change="if it does not run three hours, conductors may carry less",
        )
    ]


#: Kinds that say nothing of the size: what the circuit's device holds may be more than is usual.
_OF_ANY_SIZE = (None, "other", "other appliance")


def _unread(load: Load, circuit: Circuit | None, volts: float) -> tuple[tuple[float, str], Assumption]:
    va = typical(load.kind).va
    words = f"{plain(va)} VA, the upper nameplate of {load.kind or 'an unnamed load'} (common practice)"
    why, working = "a nameplate of its kind is seldom larger", f"unread; taken as {plain(va)} VA"
    device_a = circuit.ocpd_a if circuit is not None and load.kind in _OF_ANY_SIZE else None
    if device_a is not None and device_a * volts > va:
        va = device_a * volts
        working = f"unread; what its circuit's device holds, {plain(device_a)} A x {plain(volts)} V"
        words, why = (
            f"{plain(va)} VA, {plain(device_a)} A x {plain(volts)} V",
            "its device would not hold more for long",
        )
    return (va, working), Assumption(
        where=f"loads.{load.id}.va",
        assumed=words,
        why_safe=why,
        would_change="the nameplate's VA, kW, amperes or horsepower",
    )


def _volts_unread(load: Load) -> Assumption:
    return Assumption(
        where=f"loads.{load.id}.volts",
        assumed="one line and the neutral",
        why_safe="it then loads the neutral in full",
        would_change="a load of two lines adds nothing to the neutral",
    )
