"""Small houses and barns before and after a change, and what is read of them."""

from __future__ import annotations

from driploop.circuits import Duty
from driploop.installation import Town
from driploop.rules import Readings
from rules.build import installation, readings_of


def house(circuit: str = "", load: str = "", *, panel: str = "", use: str = "dwelling", more: str = "") -> str:
    """One panel with one circuit, ``one``, and where ``load`` is given one load of that name on it."""
    text = f'buildings.house = {{ use = "{use}" }}\nruns.service = {{ from = "utility", to = "panel" }}\n'
    text += f'equipment.panel = {{ kind = "panel", building = "house", {panel} }}\n'
    text += f'circuits.one = {{ from = "panel", serves = "one", {circuit} }}\n'
    return text + (f'loads.one = {{ circuit = "one", {load} }}\n' if load else "") + more


def changed(before: str, after: str, edition: str = "NEC 2023", *, permit: str | None = None) -> Readings:
    """The readings of what will stand, from what was found."""
    found = installation(before)
    return readings_of(installation(after), edition, found=found, town=Town(permit_date=permit))


def renewed(
    circuit: str, load: str = "", edition: str = "NEC 2023", *, permit: str | None = None, **more: str
) -> Readings:
    """A house whose panel was renewed in another place."""
    before = house(circuit, load, panel='location = "cellar"', **more)
    after = house(circuit, load, panel='location = "hall", is_new = true', **more)
    return changed(before, after, edition, permit=permit)


def duty_of(readings: Readings, id: str) -> Duty | None:
    """The one duty of this id; None where the installation says nothing of it."""
    there = [duty for duty in readings.duties if duty.id == id]
    assert len(there) < 2, there
    return there[0] if there else None


def answer_of(readings: Readings, id: str) -> str | None:
    """The answer to the one duty of this id, "yes until seen" for a yes with assumptions."""
    duty = duty_of(readings, id)
    if duty is None:
        return None
    return "yes until seen" if duty.answer == "yes" and duty.assumptions else duty.answer
