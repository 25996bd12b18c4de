"""What the voltage stage answers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from driploop.installation.kinds import Metal
from driploop.worksheet import Assumption, Worksheet


@dataclass(frozen=True, slots=True)
class VoltageAt:
    """Voltages at one enclosure. [V]

    A leg's voltage is None where no neutral arrives. ``neutral_to_earth_v`` is that of the neutral, or of the enclosure
    where there is none. Percents are of what the transformer gives without load; ``own_percent`` and
    ``own_leg_percent`` count only what the customer's own runs lose, across and on the worse leg.
    """

    equipment: str
    leg_a_v: float | None
    leg_b_v: float | None
    across_v: float
    neutral_to_earth_v: float
    drop_percent: float
    leg_drop_percent: float | None
    own_percent: float = 0.0
    own_leg_percent: float | None = None

    @property
    def lowest_leg_v(self) -> float | None:
        """The lower of the two legs."""
        legs = [v for v in (self.leg_a_v, self.leg_b_v) if v is not None]
        return min(legs) if legs else None


@dataclass(frozen=True, slots=True)
class RunDrop:
    """What one run carries and loses. [A, V] Percents are of the system's voltage, and of a leg's."""

    run: str
    line_a: float
    neutral_a: float
    drop_v: float
    drop_percent: float
    leg_drop_percent: float | None


@dataclass(frozen=True, slots=True)
class Scenario:
    """One way of running the place: voltages by equipment, drops by run.

    ``terminals_v`` are leg A, leg B and across at the utility's transformer, where every feeder starts. [V]
    """

    id: str
    title: str
    at: Mapping[str, VoltageAt]
    runs: Mapping[str, RunDrop]
    terminals_v: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class MotorStart:
    """A motor that starts while the rest of the calculated load runs.

    ``locked_rotor_a`` at rated voltage; ``current_a`` what it draws at the voltage left; ``motor_v`` at its terminals;
    ``dips`` how far the worse leg falls at each enclosure, in percent of what it was before.
    """

    load: str
    title: str
    equipment: str
    locked_rotor_a: float
    current_a: float
    motor_v: float
    motor_percent: float
    dips: Mapping[str, float]
    worksheet: Worksheet
    assumptions: tuple[Assumption, ...] = ()

    @property
    def worst_lamps(self) -> tuple[str, float]:
        """The enclosure whose lamps blink most, and by how much. [percent]"""
        return max(self.dips.items(), key=lambda item: item[1])


@dataclass(frozen=True, slots=True)
class WireChoice:
    """Conductors that bring a run under a limit, and what metal they take. [lb of lines and neutral]"""

    size: str
    metal: Metal
    sets: int
    drop_percent: float
    metal_lb: float


@dataclass(frozen=True, slots=True)
class DropAdvice:
    """One run that loses more than is advised, and the wires that would not, the lightest metal first."""

    run: str
    drop_percent: float
    advised_percent: float
    section: str
    choices: tuple[WireChoice, ...]


@dataclass(frozen=True, slots=True)
class LoadOnOpenNeutral:
    """What one 120 V load gets while the neutral is open. [V]"""

    load: str
    title: str
    equipment: str
    leg: str
    voltage_v: float
    what: str


@dataclass(frozen=True, slots=True)
class OpenNeutral:
    """The neutral of one run open, everything listed running. [V, A]

    Voltages are with the electrodes at their poorest; ``highest_at_best_v`` is the highest leg at the run's end with
    all of them at their best. ``earth_a`` and ``earth_at_best_a`` flow through the electrodes below the break.
    """

    run: str
    title: str
    hours: str
    at: Mapping[str, VoltageAt]
    loads: tuple[LoadOnOpenNeutral, ...]
    earth_a: float
    highest_at_best_v: float
    earth_at_best_a: float
    worksheet: Worksheet

    @property
    def highest(self) -> tuple[str, float]:
        """The enclosure with the highest leg, and that voltage. [V]"""
        found = [(id, max(at.leg_a_v or 0, at.leg_b_v or 0)) for id, at in self.at.items()]
        return max(found, key=lambda item: item[1])


@dataclass(frozen=True, slots=True)
class EarthVoltage:
    """Voltage between the neutral and earth at a building where animals stand, against published levels. [V, ohm]

    ``least_v`` to ``most_v`` is what the electrodes of the place leave open; ``electrode_least_ohm`` and ``most`` are
    those of the building together, None where it has none. ``over`` are the levels that the most passes,
    ``surely_over`` those that even the least does.
    """

    building: str
    equipment: str
    scenario: str
    least_v: float
    most_v: float
    electrode_least_ohm: float | None
    electrode_most_ohm: float | None
    over: tuple[str, ...]
    surely_over: tuple[str, ...]
