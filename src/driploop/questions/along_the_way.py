"""How far an answer about the way of a circuit's wire is heard: its heat, its neighbours, what covers it.

It is read where the breaker of an old wire is chosen, and by rules that judge wire and device, and nowhere else. Both
go by a few numbers: where these come out the same, so does everything.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal, NamedTuple

from driploop.circuits.protect import weigh
from driploop.circuits.reading import system_volts
from driploop.circuits.wire import limit_of
from driploop.conductors.heat import Heat
from driploop.installation import Circuit
from driploop.planning import Plan
from driploop.questions.paths import Place, written_in

#: What is asked about the way of a circuit's wire, read by nothing but the weighing of wire and device.
ALONG_THE_WAY = frozenset({"ambient_c", "current_carrying", "hot_place", "in_thermal_insulation"})
#: How rules read a wire: hopefully or not, along an ordinary way or the hottest.
_READ_AS: tuple[tuple[bool, Heat], ...] = ((False, "ordinary"), (True, "ordinary"), (False, "hottest"))

Hearing = Literal["nothing", "rules", "stages"]


class _Weighed(NamedTuple):
    """The numbers by which the breaker of a wire is chosen, and those by which rules judge the two."""

    chosen: tuple[object, ...]
    judged: tuple[object, ...]


@dataclass(frozen=True)
class WireWays:
    """The wires of one plan, against which answers about their ways are held."""

    plan: Plan

    def hear(self, place: Place, value: Any) -> Hearing:
        """How far one answer goes."""
        told = written_in(self.plan.final.installation, place, value).circuits
        heard = {self._one_hears(id, told.get(id)) for id in place.ids}
        return "stages" if "stages" in heard else "rules" if "rules" in heard else "nothing"

    def _one_hears(self, id: str, told: Circuit | None) -> Hearing:
        now = self.plan.final.installation.circuits.get(id)
        if now is None or told is None:
            return "stages"
        found = self._landed(id)
        alike = True
        if found is not None:
            before, after = self._weighs(found), self._weighs(told.model_copy(update=_device_of(found)))
            if before.chosen != after.chosen:
                return "stages"
            alike = before == after
        elif not self._stated_as_new(now):
            return "stages"
        if not alike or now.cable == "knob-and-tube" or self._weighs(now) != self._weighs(told):
            return "rules"
        return "nothing"

    def _landed(self, id: str) -> Circuit | None:
        """An old circuit as it is when its new breaker is chosen, with the device that was found."""
        now, found = self.plan.final.installation.circuits[id], self.plan.job.found.circuits.get(id)
        return now.model_copy(update=_device_of(found)) if found is not None else None

    def _stated_as_new(self, circuit: Circuit) -> bool:
        """Whether a circuit is new and the proposal speaks of it, so that an answer adds no part to the proposal."""
        proposal = self.plan.job.proposal
        return circuit.is_new and proposal is not None and circuit.id in proposal.circuits

    def _weighs(self, circuit: Circuit) -> _Weighed:
        """Every number by which the breaker of a wire is chosen and judged."""
        known = self._weighed.get(circuit.id, ())
        if (before := next((weighed for each, weighed in known if each == circuit), None)) is not None:
            return before
        final = self.plan.final
        loads = [final.installation.loads[id] for id in final.graph.loads_on.get(circuit.id, ())]
        panel, edition = final.installation.equipment.get(circuit.from_ or ""), final.edition
        volts = system_volts(final.installation)
        device, decision = weigh(circuit, loads, panel, system_volts=volts, edition=edition)
        limits = [limit_of(circuit, panel, hopeful=hopeful, heat=heat, edition=edition) for hopeful, heat in _READ_AS]
        carried = tuple((each.usable_a, each.ordinary.number) if each is not None else None for each in limits)
        no_ordinary = decision.ordinary_a is None
        weighed = _Weighed(
            chosen=(device.rating_a, device.in_the_panel_a, decision.until_then_a, decision.rating_a, no_ordinary),
            judged=(decision.ordinary_a, decision.why, decision.certain, *carried),
        )
        self._weighed.setdefault(circuit.id, []).append((circuit, weighed))
        return weighed

    @cached_property
    def _weighed(self) -> dict[str, list[tuple[Circuit, _Weighed]]]:
        """What was weighed of each circuit so far, by its answers."""
        return {}


def _device_of(circuit: Circuit) -> dict[str, Any]:
    return {"ocpd_a": circuit.ocpd_a, "ocpd": circuit.ocpd}
