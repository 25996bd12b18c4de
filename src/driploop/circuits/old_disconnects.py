"""What becomes of each old switch, fuse box and pull-out: kept where a rule asks for it, else taken down or a box."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from driploop.circuits.old_disconnects_required import is_fixed_motor, required_by
from driploop.circuits.old_disconnects_results import Fault, OldDisconnect, Outcome, Room
from driploop.circuits.old_disconnects_room import junction_box_room, wiring_space_room
from driploop.conductors import RacewayConductors
from driploop.editions import Edition
from driploop.installation import Circuit, Equipment, Graph, Run
from driploop.installation.kinds import TAKEN_DOWN
from driploop.worksheet import Assumption

_GOING = TAKEN_DOWN | {"convert to junction box"}
_DOWN = "With its supply opened, locked and tested dead, take it down and close the openings it leaves."
_BOX = "With its supply opened, locked and tested dead, take out the works, splice, fit a cover that stays reachable."
#: What offices say of a motor whose only disconnect is a breaker that locks.
LOCK_READINGS = (
    "a motor has its switch in sight; a lock at the panel serves only where that cannot be done or adds danger",
    "a breaker that locks open is as safe, and is let pass where the reason is written down",
)
_NEW_ONE = "Put a new disconnect in sight, and say so in its in_sight_of."
#: What offices say of an old enclosure without its works.
BOX_READINGS = (
    "an enclosure without its works is a box like another, if volume, cover and access are right",
    "an enclosure is used as it was listed, and a listed box takes its place",
)


def read_old_disconnects(found: Graph, *, proposed: Graph | None = None, edition: Edition) -> tuple[OldDisconnect, ...]:
    """What becomes of every old disconnect, fuse box and panel.

    What a rule asks for is kept; what may be asked for is kept too, and says so, until the survey names the loads
    seen from it (``in_sight_of``).

    Args:
        found: the installation as found.
        proposed: the installation as proposed; None while nothing is proposed.
        edition: the code edition to ask.

    Returns:
        One answer an enclosure, in order of supply.

    Source: the edition's rules on disconnects in sight, at buildings, on boxes and on splices in enclosures.
    """
    return tuple(_Old(found, proposed, edition, found.equipment(id)).answer() for id in _old(found))


def takes_down(each: Equipment) -> bool:
    """Whether the survey has decided that an enclosure goes and none takes its place."""
    return each.fate in TAKEN_DOWN


def _old(found: Graph) -> Iterator[str]:
    for id in found.order:
        if found.equipment(id).kind in ("disconnect", "panel") and not found.equipment(id).is_new:
            yield id


class _Old:
    """One old enclosure, looked at with what hangs on it before and after."""

    def __init__(self, found: Graph, proposed: Graph | None, edition: Edition, each: Equipment) -> None:
        self.found, self.proposed, self.edition, self.each = found, proposed, edition, each
        self.after = proposed.installation.equipment.get(each.id) if proposed is not None else None
        self.required = required_by(found, each.id, after=proposed, edition=edition)
        self.spliced = [c for c in self._moved() if c.extend_ft is None or c.extend_ft > 0]

    def answer(self) -> OldDisconnect:
        fate = self.each.fate
        if fate == "replace by a lockable breaker":
            return self._lockable()
        if fate in _GOING and self.required:
            return self._refused()
        if fate == "convert to junction box":
            return self._box("The survey makes a box of it, and no rule asks for a switch here.")
        if fate is not None and takes_down(self.each):
            return self._down()
        if fate == "convert to unfused":
            return self._unfused()
        taken_out = self.proposed is not None and self.after is None
        if (fate == "replace" and not taken_out) or (self.after is not None and self.after.is_new):
            return self._replaced()
        return self._undecided()

    # --- the outcomes --------------------------------------------------------------------------------------------

    def _undecided(self) -> OldDisconnect:
        """What the survey left open, or keeps: needed, still in use, a box for splices, or in nobody's way."""
        kept = self.each.fate == "keep"
        if self.required:
            return self._required()
        if kept or self.proposed is None:
            reason = "The survey keeps it." if kept else self._today()
            return self._stays(reason)
        if self.after is not None and (hangs := self._still_hangs()):
            return self._stays(f"It still feeds {hangs}.")
        if self.each.fate == "replace":
            return replace(self._down(), reason="What is proposed takes its place.")
        if self.spliced:
            names = ", ".join(circuit.serves or circuit.title for circuit in self.spliced)
            return self._box(f"The old wires of {names} end in it and are too short, or were not measured.")
        return self._down()

    def _replaced(self) -> OldDisconnect:
        said = self._say("replace", "A new one takes its place.", self._section(), "Hang the new one where it hung.")
        if self.after is None or _place(self.after) == _place(self.each):
            return said
        # A building keeps its disconnect wherever in or on it the new one hangs.
        stays_there = self.after.building == self.each.building
        lost = [each for each in self.required if not (stays_there and each.of_building)]
        if not lost:
            return said
        words = "; ".join(each.words for each in lost)
        return replace(
            said,
            fault="takes away a required disconnect",
            wrong=f"The new one hangs elsewhere, and a rule asks for a disconnect where the old one hung: {words}.",
            must_mend=lost[0].sure,
            do=_NEW_ONE,
        )

    def _stays(self, reason: str) -> OldDisconnect:
        rooms = self._splices(self.spliced)
        wrong = (
            "The wiring space has not room for what is spliced in it." if any(r.enough is False for r in rooms) else ""
        )
        said = self._say("keep", reason, rooms[0].section if rooms else "", "Leave it.")
        assumed = tuple(a for room in rooms for a in room.assumptions)
        said = replace(said, rooms=rooms, assumptions=(*said.assumptions, *assumed))
        return replace(said, fault="no room", wrong=wrong, must_mend=True) if wrong else said

    def _required(self) -> OldDisconnect:
        first = self.required[0]
        outcome: Outcome = "keep as the disconnect in sight"
        if first.of_building:
            outcome = "keep as the building's disconnect"
        words = "; ".join(each.words for each in self.required)
        reason = f"A rule asks for a disconnect here: {words}."
        if not first.sure:
            reason = f"It may be the disconnect that a rule asks for: {words}."
        ways = []
        if all(each.breaker_will_do for each in self.required):
            ways.append("replace by a breaker that locks open")
        if self.each.main == "fuses":
            ways.append("convert to unfused where the breaker ahead protects the wire and no nameplate asks for fuses")
        instead = "; or ".join(ways)
        if self.after is None and self.proposed is not None:
            return self._lost(outcome, reason, instead)
        return self._say(outcome, reason, first.section, "Leave it in place and working.", instead=instead)

    def _lost(self, outcome: Outcome, reason: str, instead: str) -> OldDisconnect:
        """The proposal takes away what a rule asks for, though the survey did not say so."""
        sure = self.required[0].sure
        mend = f"Keep it, or {_NEW_ONE[:1].lower()}{_NEW_ONE[1:]}"
        if instead:
            mend = f"{mend[:-1]}; or {instead}."
        said = self._say(outcome, reason, self.required[0].section, mend, instead=instead)
        wrong = f"What is proposed takes it away. {reason}"
        return replace(said, fault="takes away a required disconnect", wrong=wrong, must_mend=sure)

    def _refused(self) -> OldDisconnect:
        """The survey throws away what a rule asks for."""
        said = self._required()
        stated = self.each.fate
        wrong = f"The survey says {stated!r}, and a rule asks for a disconnect here: {said.required_for[0].words}."
        if not self.required[0].sure:
            wrong = f"The survey says {stated!r}, and it may be the disconnect of {said.required_for[0].words}."
        do = f"Keep it, or {_NEW_ONE[:1].lower()}{_NEW_ONE[1:-1]}"
        do += f"; or {said.instead}." if said.instead else "."
        fault: Fault = "takes away a required disconnect"
        return replace(said, do=do, fault=fault, wrong=wrong, must_mend=self.required[0].sure)

    def _lockable(self) -> OldDisconnect:
        """A breaker that locks open instead: lawful for an appliance, seldom for a motor, never for a cooling unit."""
        refused = [each for each in self.required if not each.breaker_will_do and not each.breaker_may_do]
        if refused:
            return self._refused()
        section = self.edition.entry("lockable-breaker").section
        reason = "A breaker that locks open takes its place, with a lock that stays on it."
        do = f"Fit the breaker's listed locking part, and leave it on. {_DOWN}"
        said = self._say("replace by a breaker that locks open", reason, section, do)
        motors = [each for each in self.required if each.breaker_may_do]
        if not motors:
            return said
        words = "; ".join(each.words for each in motors)
        wrong = f"A breaker that locks serves only where a switch in sight is impracticable or a hazard: {words}."
        fault: Fault = "takes away a required disconnect"
        return replace(said, section=motors[0].section, fault=fault, wrong=wrong, readings=LOCK_READINGS)

    def _down(self) -> OldDisconnect:
        reason, section, wrong = "No rule asks for a switch here, and nothing hangs on it.", "", ""
        held = self._held()
        if held:
            reason = "No rule asks for a switch here; what hung on it is fed from elsewhere."
            if self.proposed is None:
                reason = f"No rule asks for a switch here; something else must feed {held}."
        if self.each.fate == "abandon":
            section = self.edition.entry("unused-openings").section
            wrong = "An old switch left hanging is taken for one that opens something."
        do = _DOWN
        if self.spliced and self.proposed is not None:
            do += " Where old wires are too short, splice them in a box that stays reachable."
        said = self._say("remove", reason, section, do)
        return replace(said, fault="left hanging", wrong=wrong, must_mend=True) if wrong else said

    def _box(self, reason: str) -> OldDisconnect:
        ends = self.spliced or (list(self.found.circuits_of(self.each.id)) if self.proposed is None else [])
        rooms = junction_box_room(self.each, ends, self._runs_through(), edition=self.edition)
        rooms += self._splices(ends, empty=True)
        sections = dict.fromkeys((self.edition.section("box-fill"), *(room.section for room in rooms)))
        said = self._say("convert to junction box", reason, ", ".join(sections), _BOX)
        assumed = tuple(a for room in rooms for a in room.assumptions)
        said = replace(said, rooms=rooms, readings=BOX_READINGS, assumptions=(*said.assumptions, *assumed))
        if all(room.enough is True for room in rooms):
            return said
        sure = any(room.enough is False for room in rooms)
        wrong = "It has not room for what is spliced in it."
        if not sure:
            wrong = "Whether it has room for what is spliced in it is not known."
        return replace(said, fault="no room", wrong=wrong, must_mend=sure)

    def _unfused(self) -> OldDisconnect:
        loads = [load for load in self.found.loads_below(self.each.id) if is_fixed_motor(load)]
        reason = "It stays a switch; its fuses go, and the breaker ahead protects the wire."
        said = self._say("convert to unfused", reason, self._section(), "Fit the listed parts that replace the fuses.")
        if not loads:
            return said
        words = ", ".join(load.title for load in loads)
        assumed = Assumption(
            f"equipment.{self.each.id}.fate", "its fuses are the overload protection of the motor",
            "a motor without overload protection burns", f"overloads in the starter or inside {words}, seen",
        )  # fmt: skip
        wrong = f"Whether its fuses are the only overload protection of {words} is not known."
        return replace(said, fault="overload not known", wrong=wrong, assumptions=(*said.assumptions, assumed))

    def _say(self, outcome: Outcome, reason: str, section: str, do: str, *, instead: str = "") -> OldDisconnect:
        return OldDisconnect(
            f"equipment.{self.each.id}", self.each.title, outcome, reason, section, do, stated=self.each.fate,
            instead=instead, required_for=self.required, assumptions=self._assumed(),
        )  # fmt: skip

    # --- what is looked at ---------------------------------------------------------------------------------------

    def _assumed(self) -> tuple[Assumption, ...]:
        unsure = [each for each in self.required if not each.sure]
        if not unsure:
            return ()
        words = ", ".join(each.words for each in unsure)
        return (
            Assumption(
                f"equipment.{self.each.id}.in_sight_of", f"it is the disconnect of {words}",
                "a switch too many hangs in nobody's way; one too few fails the inspection",
                "the loads seen from it within the distance the code calls in sight; none, if it is seen from no load",
            ),
        )  # fmt: skip

    def _section(self) -> str:
        return self.required[0].section if self.required else ""

    def _moved(self) -> list[Circuit]:
        """Old circuits that started here and are landed elsewhere, as they will be."""
        if self.proposed is None:
            return []
        after = [self.proposed.installation.circuits.get(c.id) for c in self.found.circuits_of(self.each.id)]
        renewed = self.after is not None and self.after.is_new  # the new one has taken over its name, not its box
        return [c for c in after if c is not None and not c.is_new and (renewed or c.from_ != self.each.id)]

    def _today(self) -> str:
        role = self.found.roles[self.each.id]
        held = self._held()
        return f"Nothing is proposed yet; today it is the {role}{f' and feeds {held}' if held else ''}."

    def _held(self) -> str:
        return _names(self.found, self.each.id)

    def _still_hangs(self) -> str:
        return _names(self.proposed, self.each.id) if self.proposed is not None else ""

    def _runs_through(self) -> list[Run]:
        """Old runs that ended or started here and go on, spliced, in what is proposed; none while nothing is."""
        if self.proposed is None:
            return []
        touched = [r for r in self.found.installation.runs.values() if self.each.id in (r.from_, r.to)]
        kept = (self.proposed.installation.runs.get(run.id) for run in touched)
        return [run for run in kept if run is not None and not run.is_new and run.owner != "utility"]

    def _splices(self, ends: Sequence[Circuit], *, empty: bool = False) -> tuple[Room, ...]:
        """Room for the splices of old wires that are lengthened from here, beside the works or in their place."""
        sized = [c for c in ends if c.wire_size is not None]
        if not sized:
            return ()
        wires: Sequence[RacewayConductors] = [
            RacewayConductors(c.insulation, c.wire_size or "", 2 * ((c.poles or 2) + (c.neutral != "none")))
            for c in sized
        ]
        splices = sum((c.poles or 2) + (c.neutral != "none") for c in sized)
        return (wiring_space_room(self.each, wires, splices=splices, edition=self.edition, empty=empty),)


def _place(each: Equipment) -> tuple[object, ...]:
    return each.building, each.outdoors, each.room, each.location


def _names(graph: Graph, id: str) -> str:
    parts = graph.installation
    circuits = [circuit.serves or circuit.title for circuit in graph.circuits_of(id)]
    fed = [parts.equipment[to].title for run in graph.runs_out.get(id, ())
           if (to := parts.runs[run].to) is not None and to in parts.equipment]  # fmt: skip
    loads = [parts.loads[load].title for load in graph.loads_at.get(id, ())]
    return ", ".join([*circuits, *fed, *loads])
