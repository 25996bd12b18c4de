"""Ranges and dryers whose frame the neutral grounds: when the old wiring may stay, when four wires are run."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.circuits.change import Change, unseen
from driploop.circuits.duties_results import Answer, Duty, Need
from driploop.editions import Edition
from driploop.installation import Circuit
from driploop.installation.sizes import rank
from driploop.worksheet import Assumption

FRAME_LOADS = frozenset({"range", "oven", "cooktop", "dryer"})
_SE = ("SE cable", "SER cable")
_FOUR = "Run four wires."
NEEDS: tuple[Need, ...] = (
    Need("four-wire circuit to the appliance"),
    Need("four-wire receptacle and cord, or connection"),
)
_STRAP: tuple[Need, ...] = (Need("strap between frame and neutral taken out, four-wire cord"),)
_DEAD_FIRST = "Look only where the circuit has been made dead and tested."
_SEE_CABLE = f"See the cable where it enters the panel. {_DEAD_FIRST}"

_Said = tuple[Answer, str, str, tuple[Assumption, ...]]


def three_wire(change: Change, circuit: Circuit) -> Iterator[Duty]:
    """The duty of one circuit of a range, oven, cooktop or dryer, or of one whose frame the neutral grounds.

    Source: the edition's rule on existing range and dryer circuits.
    """
    said, needs = _said(change, circuit), NEEDS
    if said is None and _joint_not_seen(change, circuit):
        said, needs = _joint(circuit), _STRAP
    if said is not None:
        answer, reason, do, assumptions = said
        section = change.section("three-wire-range-dryer")
        where = f"circuits.{circuit.id}"
        yield Duty(where, "four-wires-to-range-or-dryer", answer, reason, section, do, needs, (), assumptions)


def _said(change: Change, circuit: Circuit) -> _Said | None:
    if circuit.frame_grounded_by_neutral is None:
        if circuit.ground not in (None, "none") or not _feeds_a_frame(change, circuit):
            return None
        where = f"circuits.{circuit.id}.frame_grounded_by_neutral"
        reason = "Whether the neutral also grounds the frame of this appliance is not known."
        do = f"Three blades on its plug, no ground wire: then it does. {_DEAD_FIRST}"
        return "yes", reason, do, unseen(where, "it does", "a frame on the neutral is the graver case", "false")
    return _grounded_by_neutral(change, circuit) if circuit.frame_grounded_by_neutral else None


def _feeds_a_frame(change: Change, circuit: Circuit) -> bool:
    """Whether it feeds such an appliance, or may: two poles, and nobody said what hangs on it."""
    loads = change.loads_on(circuit)
    if not loads and not circuit.is_new and circuit.purpose != "spare":
        return circuit.poles == 2
    return any(load.kind in FRAME_LOADS or load.kind is None for load in loads)


def _joint_not_seen(change: Change, circuit: Circuit) -> bool:
    """Whether a ground reaches an old range or dryer, and nobody saw whether its frame is still on the neutral."""
    unseen_joint = circuit.frame_grounded_by_neutral is None and not circuit.is_new
    return unseen_joint and circuit.neutral != "none" and _feeds_a_frame(change, circuit)


def _joint(circuit: Circuit) -> _Said:
    where = f"circuits.{circuit.id}.frame_grounded_by_neutral"
    reason = "A ground reaches the appliance; whether its frame is still joined to the neutral was not seen."
    do = f"See its terminal block behind the plate. {_DEAD_FIRST}"
    return "yes", reason, do, unseen(where, "it is", "a joint that is looked for is found", "false")


def _grounded_by_neutral(change: Change, circuit: Circuit) -> _Said:
    if circuit.is_new:
        return "yes", "A new circuit grounds the frame by the neutral.", _FOUR, ()
    small = neutral_is_small(circuit, change.edition)
    if small:
        reason = f"Its neutral of {circuit.wire_size} {circuit.metal or 'wire'} is too small to ground a frame."
        return "yes", reason, _FOUR, ()
    if circuit.neutral == "insulated" and circuit.ground in ("wire", "bare wire", "raceway", "armor"):
        reason = "A ground reaches the appliance, and its frame is still joined to the neutral."
        do = "Take the joint out, and use the ground with a four-wire cord or connection."
        return "yes", reason, do, ()
    if circuit.neutral == "insulated":
        if small is None:
            return _unseen(circuit, "wire_size" if circuit.wire_size is None else "metal", "its size")
        return "no", "Its neutral is insulated and large enough; the old terms allow it where it is.", _FOUR, ()
    if circuit.neutral is None or circuit.cable is None:
        return _unseen(circuit, "neutral" if circuit.neutral is None else "cable", "insulated, and in what cable,")
    if circuit.neutral == "none" or circuit.cable not in _SE:
        reason = f"The frame is grounded by the bare wire of {circuit.cable}."
        return "yes", reason, "Run four wires; only service cable was ever allowed so.", ()
    if circuit.from_ is None:
        return _unseen(circuit, "from", "from the service equipment")
    at_service = change.graph.roles.get(circuit.from_) == "service disconnect"
    if not at_service and (said := _past_the_service(change, circuit)) is not None:
        return said
    if small is None:
        return _unseen(circuit, "wire_size" if circuit.wire_size is None else "metal", "its size")
    where = "starts at the service equipment" if at_service else "is covered inside its panel"
    return "no", f"Its bare neutral is in service cable and {where}.", _FOUR, ()


def _past_the_service(change: Change, circuit: Circuit) -> _Said | None:
    """What is wrong with a bare neutral on a panel that is not the service equipment; None where it is covered there
    and the edition takes that."""
    reason = "Its bare neutral starts at a panel that is not the service equipment."
    if not change.edition.has("three-wire-bare-neutral-covered"):
        return "yes", reason, "Run four wires, or start it from the service equipment.", ()
    if circuit.neutral_covered:
        return None
    do = "Cover or sleeve the bare neutral inside the panel, or run four wires."
    if circuit.neutral_covered is False:
        return "yes", reason, do, ()
    where = f"circuits.{circuit.id}.neutral_covered"
    assumed = unseen(where, "it is bare in the panel", "a bare neutral may touch the panel's metal", "true")
    return "yes", f"{reason} Whether it is covered inside that panel is not known.", f"{do} {_DEAD_FIRST}", assumed


def _unseen(circuit: Circuit, field: str, what: str) -> _Said:
    reason = f"Whether the neutral of this three-wire circuit is {what} is not known."
    if what == "its size":
        reason = "Whether the neutral of this three-wire circuit is large enough is not known."
    assumed = unseen(
        f"circuits.{circuit.id}.{field}", "the old terms do not allow it",
        "four wires are right in every case", "the cable and its print, seen where it enters the panel",
    )  # fmt: skip
    return "yes", reason, _SEE_CABLE, assumed


def neutral_is_small(circuit: Circuit, edition: Edition) -> bool | None:
    """Whether the neutral of an old three-wire circuit is too small to ground a frame; None where that is not known."""
    if circuit.wire_size is None:
        return None
    copper = rank(circuit.wire_size) < rank(str(edition.value("three_wire_neutral_copper").value))
    aluminum = rank(circuit.wire_size) < rank(str(edition.value("three_wire_neutral_aluminum").value))
    if circuit.metal is None:
        return copper if copper == aluminum else None
    return copper if circuit.metal == "copper" else aluminum
