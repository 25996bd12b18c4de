"""The wire of one circuit: what it carries as it lies there, and the largest device its ampacity allows.

Whatever is not known is read at its worst; read *hopefully* it is the best answer it could still get, so that a wire
which falls short only on the safe side is open, not condemned.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from driploop.conductors import CableLimit, device_for_conductor, insulation_class
from driploop.conductors.ampacity import Conditions, Figures, figures
from driploop.conductors.area import by_size
from driploop.conductors.heat import Heat, circuit_ambient_c, circuit_wires_together, hottest_place
from driploop.conductors.insulation import highest_class, lowest_class
from driploop.conductors.terminals import Terminal, TerminalLimit, terminal_temperature
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit, Equipment
from driploop.installation.model import RACEWAYS, Metal
from driploop.worksheet import Cited

_NM = frozenset({"NM cable", "NMC cable"})
_SE = frozenset({"SE cable", "SER cable"})
_METALS: tuple[Metal, ...] = ("aluminum", "copper")
ROOF = "raceway on a roof"
#: Hot places of the survey by their names in the table of hottest places.
_PLACES = {"attic": "attic", "boiler room": "boiler-room", "outdoors in the sun": "outdoors"}


@dataclass(frozen=True, slots=True)
class Wire:
    """The wire of a circuit as far as it is known; None is not known. Temperatures in C.

    ``panel_c`` is what the terminals at its start are marked for. ``wet``: some of it may lie in a wet place.
    ``several_receptacles``: it may feed several receptacles for cords, which allow no next size up.
    """

    size: str | None
    metal: Metal | None = "copper"
    insulation: str | None = None
    cable: str | None = None
    ambient_c: float | None = None
    hot_place: str | None = None
    current_carrying: int | None = None
    in_thermal_insulation: bool | None = None
    panel_c: int | None = None
    far_end_c: int | None = None
    wet: bool = False
    several_receptacles: bool = False


@dataclass(frozen=True, slots=True)
class WireLimit:
    """What a wire carries, and the largest device by its ampacity alone, before any exception. [A]"""

    size: str
    conditions: Conditions
    found: Figures
    terminals: TerminalLimit
    ordinary: Cited

    @property
    def usable_a(self) -> float:
        """Its ampacity after corrections, adjustment and terminals. [A]"""
        return self.found.usable_a


def wire_of(
    circuit: Circuit, panel: Equipment | None, *, hopeful: bool = False, heat: Heat = "ordinary", edition: Edition
) -> Wire:
    """The wire of a circuit as the survey has it, with the terminals where it starts.

    ``heat``: how hot and how crowded its way is read where nobody followed it. A device is chosen for an ordinary way;
    whether a hot one would ask for a smaller is a question of its own.
    """
    marked: int | None = panel.terminal_temperature_c if panel is not None else None
    if marked is None and panel is not None and panel.is_new:
        marked = int(edition.number("large_terminal_temperature_c"))
    followed = circuit.ambient_c is not None or circuit.hot_place is not None or heat == "ordinary"
    return Wire(
        size=circuit.wire_size,
        metal=circuit.metal,
        insulation=circuit.insulation,
        cable=circuit.cable,
        ambient_c=circuit.ambient_c if followed else circuit_ambient_c(circuit, heat, edition=edition),
        hot_place=circuit.hot_place,
        current_carrying=circuit.current_carrying if heat == "ordinary" else circuit_wires_together(circuit, heat),
        in_thermal_insulation=circuit.in_thermal_insulation,
        panel_c=marked,
        wet=not hopeful and _may_be_wet(circuit, panel),
        several_receptacles=_feeds_receptacles(circuit, hopeful=hopeful),
    )


def _feeds_receptacles(circuit: Circuit, *, hopeful: bool) -> bool:
    """Whether a circuit feeds several receptacles, so that its device may not be the next size up."""
    if circuit.purpose == "dedicated" or circuit.poles in (2, 3):
        return circuit.receptacles is True and circuit.purpose != "dedicated"
    if circuit.receptacles is None or (circuit.receptacles and circuit.purpose is None):
        return not hopeful
    return circuit.receptacles


def _may_be_wet(circuit: Circuit, panel: Equipment | None) -> bool:
    elsewhere = circuit.building is not None and panel is not None and circuit.building != panel.building
    return circuit.purpose == "outdoor" or elsewhere


def wire_limit(wire: Wire, *, circuit_a: float = 0.0, hopeful: bool = False, edition: Edition) -> WireLimit | None:
    """What a wire carries and the largest device it allows.

    Args:
        wire: the wire; its size must be known for an answer.
        circuit_a: rating of the circuit, by which terminals are judged. [A]
        hopeful: read what is not known as the best answer it could get instead of the worst.
        edition: the code edition to ask.

    Returns:
        The limit; of an unknown metal that of the worse one. None where the size is not known, or no table has such a
        wire, or it carries less than the smallest standard device.

    Source: the edition's rules on ampacity, terminals, small conductors and protection of conductors.
    """
    return None if wire.size is None else _limit(wire, circuit_a, hopeful, edition)


def lost_in_insulation(circuit: Circuit) -> bool:
    """Whether it is knob-and-tube wrapped in thermal insulation: made for open air, it may not stay there."""
    return circuit.cable == "knob-and-tube" and circuit.in_thermal_insulation is True


@lru_cache(maxsize=8192)
def _limit(wire: Wire, circuit_a: float, hopeful: bool, edition: Edition) -> WireLimit | None:
    insulation_c = _class_of(wire, hopeful, edition)
    made = [
        metal
        for metal in (_METALS if wire.metal is None else (wire.metal,))
        if wire.size in by_size(edition, "conductor_ampacity", f"{metal}_{insulation_c}c")
    ]
    limits = [_of_metal(wire, metal, circuit_a, hopeful, edition) for metal in made]
    found = [each for each in limits if each is not None]
    if not hopeful and len(found) < len(limits):
        return None  # of one of the metals it may be, it carries too little for any device
    by_device = max if hopeful else min
    return by_device(found, key=lambda each: (each.ordinary.number, each.usable_a), default=None)


def _of_metal(wire: Wire, metal: Metal, circuit_a: float, hopeful: bool, edition: Edition) -> WireLimit | None:
    terminals = terminal_temperature(circuit_a, _ends(wire, hopeful, edition), edition=edition)
    size = wire.size or ""
    try:
        conditions = Conditions(
            metal=metal,
            insulation_c=_class_of(wire, hopeful, edition),
            terminal_c=terminals.temperature_c,
            ambient_c=ambient_of(wire, edition=edition),
            current_carrying=wire.current_carrying or 1,
            limit=_cable_limit(wire, hopeful, edition),
        )
        found = figures(size, conditions, edition=edition)
        ordinary = device_for_conductor(
            size, metal, found.usable_a, receptacle_circuit=wire.several_receptacles, edition=edition
        )
    except NotInTable:
        return None
    return WireLimit(size, conditions, found, terminals, ordinary)


def _ends(wire: Wire, hopeful: bool, edition: Edition) -> tuple[Terminal, ...]:
    # The far end is an outlet, an appliance or a splice whose mark the survey does not hold.
    best = int(edition.number("large_terminal_temperature_c")) if hopeful else None
    ends = (("panel", wire.panel_c), ("far end", wire.far_end_c))
    return tuple(Terminal(name, marked if marked is not None else best) for name, marked in ends)


def _class_of(wire: Wire, hopeful: bool, edition: Edition) -> int:
    if wire.insulation is None:
        found = highest_class() if hopeful else lowest_class()
    else:
        found = insulation_class(wire.insulation, wet=wire.wet)
    # UF cable is counted as wire of its own class even before corrections; NM cable is not.
    return min(found, int(edition.number("uf_temperature_c"))) if wire.cable == "UF cable" else found


def ambient_of(wire: Wire, *, edition: Edition) -> float:
    """Temperature around the hottest part of a wire: measured, else that of the hot place it passes. [C]"""
    if wire.ambient_c is not None:
        return wire.ambient_c
    base = edition.number("ambient_base_c")
    if wire.hot_place == ROOF:
        return base + edition.number("roof_sun_adder_c")
    if wire.hot_place is None or wire.hot_place == "none":
        return base
    return hottest_place(_PLACES[wire.hot_place]).hottest_c


def _cable_limit(wire: Wire, hopeful: bool, edition: Edition) -> CableLimit | None:
    covered = wire.in_thermal_insulation is not False and not (hopeful and wire.in_thermal_insulation is None)
    if wire.cable in _NM or (wire.cable is None and not hopeful):
        return _held_to("nm_temperature_c", edition)
    if wire.cable == "UF cable":
        return _held_to("uf_temperature_c", edition)
    if wire.cable == "armored cable" and covered:
        return _held_to("armored_in_insulation_temperature_c", edition)
    if wire.cable in _SE and covered:
        return _held_to("se_in_insulation_temperature_c", edition, str(edition.value("se_in_insulation_largest").value))
    return None


def _held_to(name: str, edition: Edition, largest: str | None = None) -> CableLimit:
    cited = edition.value(name)
    return CableLimit(int(cited.number), cited.section, largest)


def wire_class(circuit: Circuit, *, hopeful: bool = False) -> int:
    """Temperature class of a circuit's wire [C]; one nobody could name at its lowest, or hopefully at its highest."""
    if circuit.insulation is not None:
        return insulation_class(circuit.insulation, wet=False)
    return highest_class() if hopeful else lowest_class()


def largest_lawful_device(
    circuit: Circuit, panel: Equipment | None, *, hopeful: bool, heat: Heat = "ordinary", edition: Edition
) -> float | None:
    """Largest overcurrent device for a circuit's wire by its ampacity, before any exception. [A]

    Args:
        circuit: the circuit.
        panel: where it starts, for the mark of its terminals.
        hopeful: read what is not known as the best answer it could get instead of the worst.
        heat: how hot its way is read where nobody followed it.
        edition: the code edition to ask.

    Returns:
        The rating; None where the size is not known or no table has such a wire.

    Source: as ``wire_limit``.
    """
    limit = limit_of(circuit, panel, hopeful=hopeful, heat=heat, edition=edition)
    return limit.ordinary.number if limit is not None else None


def limit_of(
    circuit: Circuit, panel: Equipment | None, *, hopeful: bool, heat: Heat = "ordinary", edition: Edition
) -> WireLimit | None:
    """``wire_limit`` of a circuit as the survey has it, its terminals judged by its own device."""
    wire = wire_of(circuit, panel, hopeful=hopeful, heat=heat, edition=edition)
    return wire_limit(wire, circuit_a=circuit.ocpd_a or 0.0, hopeful=hopeful, edition=edition)


def largest_ampacity(circuit: Circuit, panel: Equipment | None, *, edition: Edition) -> float | None:
    """What a circuit's wire carries at best, with each unknown read as the best answer it could get. [A]

    Returns None where no table has such a wire. Source: the edition's ampacity table and its rule on terminals.
    """
    limit = limit_of(circuit, panel, hopeful=True, edition=edition)
    return limit.usable_a if limit is not None else None


def may_share_a_raceway(wire: Wire) -> bool:
    """Whether other circuits may lie in the same raceway, which nobody counted."""
    return wire.current_carrying is None and wire.cable in RACEWAYS
