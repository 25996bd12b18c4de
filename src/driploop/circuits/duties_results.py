"""A duty that a change awakens: yes, no or ask the office, with its reason and what it costs in parts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from driploop.worksheet import Assumption, Worksheet

Answer = Literal["yes", "no", "ask the office"]

#: Every duty by its id, with its name on paper, in the order of the paper.
TITLES = {
    "arc-fault-protection": "Arc-fault protection",
    "ground-fault-receptacles": "Ground-fault protection of receptacles",
    "ground-fault-outdoors": "Ground-fault protection of outdoor outlets",
    "ground-fault-appliance": "Ground-fault protection of an appliance",
    "tamper-resistant": "Tamper-resistant receptacles",
    "weather-resistant": "Weather-resistant receptacles",
    "receptacles-without-a-ground": "Receptacles without a ground",
    "multiwire-opens-together": "Multiwire circuit opens together",
    "four-wires-to-range-or-dryer": "Four wires to a range or dryer",
    "aluminum-branch-wiring": "Small aluminum branch wiring",
    "knob-and-tube": "Knob-and-tube wiring",
    "cloth-insulation": "Cloth and rubber insulation",
    "sixty-degree-wire": "Wire of the coolest class",
    "agricultural-wiring": "Wiring of an agricultural building",
    "agricultural-receptacles": "Ground-fault protection among stock",
    "feeder-to-building": "Feeder to another building",
    "surge-protection": "Surge protection",
    "keep-on": "What must not go dark unseen",
}


@dataclass(frozen=True, slots=True)
class Need:
    """What has to be bought or done if the answer is yes: the kind in words, and how many."""

    what: str
    count: int = 1


@dataclass(frozen=True, slots=True)
class Duty:
    """One duty of one circuit, load, run or enclosure.

    ``where`` is its path in the job file: ``circuits.range``. ``needs`` are told whatever the answer, so that a quote
    can be made with and without. ``readings`` are the ways in which offices read the section where they disagree.
    A "yes" with assumptions is a yes for want of knowing better.
    """

    where: str
    id: str
    answer: Answer
    reason: str
    section: str
    do: str
    needs: tuple[Need, ...] = ()
    readings: tuple[str, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    worksheet: Worksheet | None = None

    @property
    def title(self) -> str:
        """Its name on paper."""
        return TITLES[self.id]

    @property
    def part(self) -> str:
        """The id of the circuit, load, run or enclosure."""
        return self.where.split(".")[1]

    @property
    def sure(self) -> bool:
        """Whether the answer is yes, and rests on what was seen."""
        return self.answer == "yes" and not self.assumptions
