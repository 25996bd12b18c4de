"""The equipment ground of an old circuit: what is there, whether it serves, what follows for receptacles and panel."""

from __future__ import annotations

from driploop.circuits.protection_results import GroundFound, GroundState
from driploop.conductors.equipment_ground import table_egc
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit
from driploop.installation.model import METAL_RACEWAYS, RACEWAYS
from driploop.worksheet import WorksheetWriter

_NONE_RECEPTACLES = (
    "two-slot receptacles, or ground-fault protection marked as without ground, or a ground wire run to them"
)
_BY_NEUTRAL = "the frame of its appliance hangs on the neutral: an old circuit's own rule decides whether it may stay"
_UNSEEN = "until it is seen, as without a ground: "
_FLEXIBLE = frozenset({"FMC", "LFMC"})
_NEVER = frozenset({"knob-and-tube"})


def ground_found(circuit: Circuit, *, device_a: float | None, edition: Edition) -> GroundFound:
    """The equipment ground of a circuit.

    Args:
        circuit: as the survey has it.
        device_a: the device that will stand ahead of it, None where none is chosen. [A]
        edition: the code edition to ask.

    Source: the edition's rules on what counts as an equipment ground, on its size, and on receptacles without one.
    """
    state = _state(circuit)
    serves, panel = _serves(circuit, state)
    if circuit.frame_grounded_by_neutral and serves is not True:
        return GroundFound(state, serves, None, "", _BY_NEUTRAL, edition.section("three-wire-range-dryer"))
    receptacles = ""
    if serves is not True and circuit.receptacles is not False and circuit.poles in (1, None):
        receptacles = f"{'' if serves is False else _UNSEEN}{_NONE_RECEPTACLES}"
    section = edition.section("ground-kinds")
    if receptacles:
        section = f"{section}, {edition.section('ungrounded-receptacles')}"
    least = _least(device_a, edition) if state in ("wire", "bare wire", "none", "not known") else None
    return GroundFound(state, serves, least, receptacles, panel, section)


def _state(circuit: Circuit) -> GroundState:
    if circuit.ground is not None:
        return circuit.ground
    return "none" if circuit.cable in _NEVER else "not known"


def _serves(circuit: Circuit, state: GroundState) -> tuple[bool | None, str]:
    if state in ("wire", "bare wire"):
        return True, "its ground lands on the equipment ground bar"
    if state == "raceway":
        return _raceway(circuit)
    if state == "armor":
        return None, "a listed connector joins the armor to the enclosure; look for the bonding strip under the armor"
    if state == "sheath that is not a ground":
        return False, "its sheath is cut back and clamped, and is no ground"
    if state == "none":
        return False, "nothing of it lands on the equipment ground bar; never join its neutral to it"
    return None, "look for a ground in the cable where it enters, with the panel dead"


def _raceway(circuit: Circuit) -> tuple[bool | None, str]:
    if circuit.cable in _FLEXIBLE:
        return None, "flexible conduit is a ground only where it is short and its circuit small"
    if circuit.cable in METAL_RACEWAYS:
        return True, "the raceway, tight from end to end, is its ground"
    if circuit.cable in RACEWAYS:
        return False, "a nonmetallic raceway is no ground"
    return None, "which raceway it is decides whether it is a ground"


def _least(device_a: float | None, edition: Edition) -> str | None:
    if device_a is None:
        return None
    try:
        return str(table_egc(device_a, "copper", edition=edition).value)
    except NotInTable:
        return None


def write_ground(writer: WorksheetWriter, found: GroundFound, *, edition: Edition) -> None:
    """The line ``ground``, and ``ground_size`` where a wire serves."""
    answer = {True: "serves", False: "none", None: "to be seen"}[found.serves]
    writer.write("Equipment ground", f"found: {found.state}", answer, "", found.section, key="ground")
    if found.least_size is not None and found.serves:
        section = edition.section("egc-size")
        writer.write("Its least size", "by the device, copper", found.least_size, "", section, key="ground_size")
