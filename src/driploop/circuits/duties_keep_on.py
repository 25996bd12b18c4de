"""What must not go dark unseen while the work lasts, or behind a device that trips: alarms, stock, freezers, lights."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.change import Change
from driploop.circuits.duties_results import Duty, Need
from driploop.installation import Circuit
from driploop.installation.graph import AGRICULTURAL_USES

_WORDS = {
    "fire alarm panel": "A fire alarm panel hangs on it.",
    "smoke alarm": "Smoke alarms hang on it.",
    "freezer": "A freezer hangs on it.",
    "livestock alarm": "The alarm of the livestock ventilation hangs on it.",
    "livestock ventilation": "Animals breathe by the ventilation that hangs on it.",
    "emergency lighting": "Emergency lights hang on it.",
    "sump pump": "A sump pump hangs on it.",
    "medical equipment": "Somebody depends on equipment that hangs on it.",
}
#: By what it is about, the requirement that names its section; the rest is common practice.
_SECTIONS = {"fire alarm panel": "alarms-kept-on", "emergency lighting": "emergency-lights"}
_DO = {
    "fire alarm panel": "Keep it on a circuit of its own without arc-fault or ground-fault protection; tell whoever "
    "watches it before it goes off, and have it tested after the work.",
    "smoke alarm": "Leave them on a lighting circuit that is noticed, and test each after the work.",
    "livestock alarm": "Keep the alarm supplied through the outage, and off any device that trips unseen; test it.",
    "livestock ventilation": "Have a standby supply running or the doors open before it goes off.",
    "freezer": "Tell the owner the hours; no ground-fault device that feeds anything else; an alarm beside it.",
    "emergency lighting": "Keep it on the circuit of the room's own lights, and test it after the work.",
    "sump pump": "Tell the owner the hours, and ask what happens in rain.",
    "medical equipment": "Fix the hours with the person, and a supply meanwhile; tell the utility.",
}


def kept_on(change: Change, circuit: Circuit) -> str | None:
    """What on a circuit must not go dark unseen: as stated, or read from its loads; None for nothing known."""
    if circuit.stays_on is not None:
        return None if circuit.stays_on == "nothing" else circuit.stays_on
    building = change.building_of(circuit)
    for load in change.loads_on(circuit):
        if load.kind == "freezer":
            return "freezer"
        if load.kind == "ventilation fan" and building is not None and building.use in AGRICULTURAL_USES:
            return "livestock ventilation"
    return None


def keep_on(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """The duty of one circuit. Source: common practice; the edition on supplies of alarms."""
    what = kept_on(change, circuit)
    if what is None:
        return
    section = change.section(_SECTIONS[what]) if what in _SECTIONS else ""
    yield Duty(
        f"circuits.{circuit.id}", "keep-on", "yes", _WORDS[what], section, _DO[what],
        (Need("standby supply or watch through the outage, and a test afterwards"),),
    )  # fmt: skip
