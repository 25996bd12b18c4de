"""What device an old branch-circuit wire allows, with each unknown read at its worst and at its best."""

from __future__ import annotations

from functools import lru_cache

from driploop.conductors import CableLimit, device_for_conductor, insulation_class
from driploop.conductors.ampacity import Conditions, figures
from driploop.conductors.heat import Heat, circuit_ambient_c, circuit_wires_together
from driploop.conductors.insulation import highest_class, lowest_class
from driploop.conductors.terminals import Terminal, terminal_temperature
from driploop.editions import Edition, NotInTable
from driploop.installation import Circuit, Equipment
from driploop.installation.model import Metal

_SIXTY_CABLES = frozenset({"NM cable", "NMC cable", "UF cable"})
_METALS: tuple[Metal, ...] = ("aluminum", "copper")


def old_wire_class(circuit: Circuit, *, hopeful: bool = False) -> int:
    """Temperature class of a circuit's wire [C]; one nobody could name at its lowest, or hopefully at its highest."""
    if circuit.insulation is not None:
        return insulation_class(circuit.insulation, wet=False)
    return highest_class() if hopeful else lowest_class()


def largest_lawful_device(
    circuit: Circuit, panel: Equipment | None, *, hopeful: bool, edition: Edition, heat: Heat = "ordinary"
) -> float | None:
    """Largest overcurrent device for a circuit's wire. [A]

    Args:
        circuit: its wire size must be known.
        panel: where it starts, for the mark of its terminals.
        hopeful: read what is not known as the best answer it could get instead of the worst.
        edition: the code edition to ask.
        heat: how hot its way is read where nobody followed it. A device is chosen for an ordinary way; whether a hot
            one would ask for a smaller is a question of its own.

    Returns:
        The rating; None where no table has such a wire.

    Source: the edition's rules on protection of conductors, small conductors and terminals.
    """
    marked: int | None = panel.terminal_temperature_c if panel is not None else None
    if marked is None and panel is not None and panel.is_new:
        marked = int(edition.number("large_terminal_temperature_c"))
    metals = _METALS if circuit.metal is None else (circuit.metal,)
    devices = [
        _device(
            circuit.wire_size or "",
            metal,
            old_wire_class(circuit, hopeful=hopeful),
            marked,
            circuit.ocpd_a or 0,
            circuit_ambient_c(circuit, heat, edition=edition),
            circuit_wires_together(circuit, heat),
            circuit.cable in _SIXTY_CABLES,
            _feeds_receptacles(circuit, hopeful=hopeful),
            hopeful,
            edition,
        )
        for metal in metals
    ]
    known = [device for device in devices if device is not None]
    return (max if hopeful else min)(known, default=None)


def largest_ampacity(circuit: Circuit, panel: Equipment | None, *, edition: Edition) -> float | None:
    """What a circuit's wire carries at best, with each unknown read as the best answer it could get. [A]

    Returns None where no table has such a wire. Source: the edition's ampacity table and its rule on terminals.
    """
    large = int(edition.number("large_terminal_temperature_c"))
    metals = _METALS if circuit.metal is None else (circuit.metal,)
    marked = panel.terminal_temperature_c if panel is not None and panel.terminal_temperature_c is not None else large
    usable = [
        _usable_a(
            circuit.wire_size or "",
            metal,
            old_wire_class(circuit, hopeful=True),
            marked,
            circuit_ambient_c(circuit, "ordinary", edition=edition),
            circuit_wires_together(circuit, "ordinary"),
            circuit.cable in _SIXTY_CABLES,
            edition,
        )
        for metal in metals
    ]
    return max((amperes for amperes in usable if amperes is not None), default=None)


def _feeds_receptacles(circuit: Circuit, *, hopeful: bool) -> bool:
    """Whether a circuit feeds several receptacles, so that its device may not be the next size up."""
    if circuit.purpose == "dedicated" or circuit.poles in (2, 3):
        return circuit.receptacles is True and circuit.purpose != "dedicated"
    if circuit.receptacles is None or (circuit.receptacles and circuit.purpose is None):
        return not hopeful
    return circuit.receptacles


@lru_cache(maxsize=4096)
def _usable_a(
    size: str,
    metal: Metal,
    insulation_c: int,
    terminal_c: int,
    ambient_c: float,
    current_carrying: int,
    sixty_cable: bool,
    edition: Edition,
) -> float | None:
    nm_c = edition.value("nm_temperature_c")
    conditions = Conditions(
        metal=metal,
        insulation_c=insulation_c,
        terminal_c=terminal_c,
        ambient_c=ambient_c,
        current_carrying=current_carrying,
        limit=CableLimit(int(nm_c.number), nm_c.section) if sixty_cable else None,
    )
    try:
        return figures(size, conditions, edition=edition).usable_a
    except NotInTable:
        return None


@lru_cache(maxsize=4096)
def _device(
    size: str,
    metal: Metal,
    insulation_c: int,
    panel_c: int | None,
    circuit_a: float,
    ambient_c: float,
    current_carrying: int,
    sixty_cable: bool,
    receptacles: bool,
    hopeful: bool,
    edition: Edition,
) -> float | None:
    # The far end is an outlet, an appliance or a splice whose mark the survey does not hold.
    large = int(edition.number("large_terminal_temperature_c"))
    ends = [Terminal("panel", panel_c), Terminal("far end", large if hopeful else None)]
    if hopeful and panel_c is None:
        ends[0] = Terminal("panel", large)
    terminal_c = terminal_temperature(circuit_a, ends, edition=edition).temperature_c
    usable_a = _usable_a(size, metal, insulation_c, terminal_c, ambient_c, current_carrying, sixty_cable, edition)
    if usable_a is None:
        return None
    try:
        return device_for_conductor(size, metal, usable_a, receptacle_circuit=receptacles, edition=edition).number
    except NotInTable:
        return None
