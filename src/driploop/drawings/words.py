"""The words a drawing prints about equipment, runs, circuits and electrodes; "not known" where nobody has looked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from driploop.conductors.results import RunSizing
from driploop.drawings.display import NO_BREAK
from driploop.installation.model import RACEWAYS, TAKEN_DOWN, Circuit, Electrode, Equipment, Metal, Run, Utility
from driploop.rules.readings import Readings
from driploop.worksheet import plain

Standing = Literal["kept", "new", "removed"]
GONE = TAKEN_DOWN | {"replace"}

KINDS = {
    "meter": "meter", "disconnect": "disconnect", "panel": "panel", "junction box": "junction box",
    "transfer switch": "transfer switch", "utility": "utility equipment",
}  # fmt: skip
ROLES = {
    "service disconnect": "service disconnect",
    "emergency disconnect": "emergency disconnect, not service equipment",
    "meter disconnect": "meter disconnect, not service equipment",
    "site-isolating device": "site-isolating device, not service equipment",
    "building disconnect": "building disconnect",
    "feeder panel": "feeder panel",
    "subpanel": "subpanel",
}
SHORT_METAL = {"copper": "Cu", "aluminum": "Al"}
NOT_BRANCH_PROTECTION = frozenset({None, "none"})


def standing(part: Equipment | Run | Electrode) -> Standing:
    """Whether a part is new, goes, or stays, as its line style shows."""
    if part.is_new:
        return "new"
    return "removed" if getattr(part, "fate", None) in GONE else "kept"


def amperes(value: float | None, what: str = "rating") -> str:
    """``200 A``, or that the value is not known."""
    return f"{plain(value)}{NO_BREAK}A" if value is not None else f"{what} not known"


def metal_size(size: str | None, metal: Metal | None) -> str:
    """``2/0 AWG copper``; each half may be unknown."""
    if size is None:
        return "size not known" if metal is None else f"{metal}, size not known"
    return f"{size.replace(' ', NO_BREAK)} {metal or '(metal not known)'}"


def fault_words(readings: Readings, equipment: str) -> str:
    """The available fault current at an enclosure; nothing while not even the transformer's size is known."""
    faults = readings.faults
    if not faults.transformer_known or equipment not in faults.largest:
        return ""
    return f"fault current up to {faults.available_a(equipment):,.0f}{NO_BREAK}A"


def supply_words(utility: Utility) -> tuple[str, ...]:
    """What is known about the utility's side."""
    kva = utility.transformer_kva
    return (
        f"{plain(kva)} kVA transformer" if kva is not None else "transformer size not known",
        utility.system or "voltage not known",
        utility.supply or "overhead or underground not known",
    )


def rating_words(equipment: Equipment) -> str:
    """``200 A panel, main breaker 200 A``."""
    kind = KINDS.get(equipment.kind or "", "equipment, kind not known")
    if equipment.kind == "junction box":
        return kind
    if equipment.kind == "meter":
        return f"{kind}, {amperes(equipment.rating_a)}"
    start = f"{kind}, {amperes(equipment.rating_a)}"
    return f"{start}, {main_words(equipment)}"


def main_words(equipment: Equipment) -> str:
    """The main overcurrent device in words."""
    count = f"{equipment.mains_count} mains, " if (equipment.mains_count or 1) > 1 else ""
    match equipment.main:
        case None:
            return count + "main not known"
        case "none":
            return count + ("main lugs only" if equipment.kind == "panel" else "no fuses or breaker")
        case "breaker":
            return f"{count}main breaker {amperes(equipment.main_a, 'size')}"
        case _:
            return f"{count}main fuses {amperes(equipment.main_a, 'size')}"


def role_words(readings: Readings, equipment: str) -> str:
    """What the equipment is to the installation; empty for a meter or a box."""
    return ROLES.get(readings.graph.roles.get(equipment, ""), "")


def place_words(equipment: Equipment) -> str:
    """Where it hangs; empty when the survey says nothing."""
    side = {True: "outdoors", False: "indoors", None: ""}[equipment.outdoors]
    return ", ".join(word for word in (side, equipment.location or equipment.room or "") if word)


@dataclass(frozen=True, slots=True)
class NeutralWords:
    """State of the neutral at one enclosure. ``bonded`` None with ``present`` means that nobody has looked."""

    words: str
    bonded: bool | None
    present: bool = True


def neutral_words(readings: Readings, equipment: str) -> NeutralWords | None:
    """How the neutral stands at an enclosure: as found, or as it must be once the work is done.

    None where the grounding reading has nothing to say about the enclosure.
    """
    bond = readings.grounding.bonds.get(equipment)
    if bond is None:
        return None
    if bond.required == "no neutral":
        return NeutralWords("no neutral here", None, present=False)
    must = bond.required == "bonded"
    if readings.proposed:
        mend = "" if bond.found in (None, must) else "; add the bond" if must else "; take out the bond found"
        return NeutralWords(_bonded_words(must) + mend, must)
    if bond.found is None:
        return NeutralWords(f"neutral bond not known; it must be {'bonded' if must else 'kept apart'}", None)
    wrong = "" if bond.found == must else "; it must be " + ("bonded" if must else "kept apart")
    return NeutralWords(_bonded_words(bond.found) + wrong, bond.found)


def _bonded_words(bonded: bool) -> str:
    return "neutral bonded to enclosure" if bonded else "neutral kept apart from enclosure"


def wires_of(readings: Readings, run: Run) -> int | None:
    """Number of wires of a run: what it has, or for a new one what it needs."""
    sizing = readings.conductors.runs.get(run.id)
    count = readings.grounding.wires.get(run.id)
    needed = count.needed if count is not None and run.is_new else None
    return needed or (sizing.wires if sizing is not None else None) or run.wires


def wires_words(count: int | None) -> str:
    """``4 wires``."""
    return "number of wires not known" if count is None else f"{count} wires"


def run_words(readings: Readings, run: Run) -> tuple[str, ...]:
    """Everything printed beside a run but its name, a line a thought."""
    sizing = readings.conductors.runs.get(run.id)
    count = wires_of(readings, run)
    way = f"{device_words(readings, run)}; {way_words(run, sizing)}"
    if run.owner == "utility" and run.line_size is None:
        return way, wires_words(count)
    ground = ground_words(run, sizing, count)
    neutral = neutral_size_words(run, sizing) if has_neutral(readings, run) else "no neutral"
    sizes = "; ".join(part for part in (line_words(run, sizing), neutral, ground) if part)
    return way, f"{wires_words(count)}: {sizes}"


def device_words(readings: Readings, run: Run) -> str:
    """The overcurrent device at the start of a run; for a service run, that there is none ahead."""
    sizing = readings.conductors.runs.get(run.id)
    if run.owner == "utility" or (sizing is not None and sizing.kind == "utility"):
        return "utility's conductors"
    if readings.graph.is_service_run(run):
        return "service conductors"
    size = run.ocpd_a if run.ocpd_a is not None else (sizing.ocpd_a if sizing is not None else None)
    if run.ocpd == "none":
        return "feeder, no overcurrent device at its start"
    if size is None:
        return f"feeder, {run.ocpd or 'overcurrent device'} size not known"
    return f"feeder, {plain(size)}{NO_BREAK}A {run.ocpd or 'overcurrent device'}"


def line_words(run: Run, sizing: RunSizing | None) -> str:
    """Size, metal and insulation of the line conductors, with the number of parallel sets."""
    size = sizing.line_size if sizing is not None else run.line_size
    metal = (sizing.metal if sizing is not None else None) or run.metal
    insulation = (sizing.insulation if sizing is not None else None) or run.insulation
    sets = sizing.sets if sizing is not None else run.sets
    words = f"lines {metal_size(size, metal)}"
    words += f" {insulation}" if insulation else ", insulation not known"
    return words if sets == 1 else f"{sets} sets, each {words}"


def neutral_size_words(run: Run, sizing: RunSizing | None) -> str:
    """Size of the neutral, and that it is bare."""
    size = (sizing.neutral_size if sizing is not None else None) or run.neutral_size
    insulated = sizing.neutral_insulated if sizing is not None else run.neutral_insulated
    bare = ", bare" if insulated is False else ""
    return f"neutral {size.replace(' ', NO_BREAK) if size else 'size not known'}{bare}"


def brings_ground(run: Run, sizing: RunSizing | None, wires: int | None) -> bool | None:
    """Whether a run brings an equipment ground along; None where nobody knows. The utility's own run brings none."""
    size = (sizing.egc_size if sizing is not None else None) or run.egc_size
    if run.owner == "utility" or (run.egc == "none" and size is None):
        return False
    if run.egc in ("wire", "raceway", "armor") or size is not None or wires == 4:
        return True
    return None if wires is None else False


def ground_words(run: Run, sizing: RunSizing | None, wires: int | None) -> str:
    """The equipment ground of a run: wire, raceway or armor, none, or not known. Empty for the utility's own run."""
    if run.owner == "utility":
        return ""
    if run.egc in ("raceway", "armor"):
        return f"equipment ground by the {run.egc}"
    brings = brings_ground(run, sizing, wires)
    if not brings:
        return "equipment ground not known" if brings is None else "no equipment ground"
    size = (sizing.egc_size if sizing is not None else None) or run.egc_size
    metal = (sizing.egc_metal if sizing is not None else None) or run.egc_metal
    return f"equipment ground {metal_size(size, metal)}"


def has_neutral(readings: Readings, run: Run) -> bool:
    """Whether a run carries a neutral, which it does unless the enclosure it supplies is known to need none."""
    bond = readings.grounding.bonds.get(run.to or "")
    return bond is None or bond.required != "no neutral"


def way_words(run: Run, sizing: RunSizing | None) -> str:
    """How the run gets there: method, trade size, length."""
    trade_size = sizing.raceway.trade_size if sizing is not None and sizing.raceway is not None else run.trade_size
    parts: list[str] = [run.method or "wiring method not known"]
    if run.method in RACEWAYS:
        parts.append(f"{trade_size}{NO_BREAK}in" if trade_size else "trade size not known")
    parts.append(f"{plain(run.length_ft)}{NO_BREAK}ft" if run.length_ft is not None else "length not known")
    return ", ".join(parts)


def short_run_words(readings: Readings, run: Run) -> str:
    """A run in one line, for a small drawing."""
    sizing = readings.conductors.runs.get(run.id)
    size = sizing.line_size if sizing is not None else run.line_size
    metal = (sizing.metal if sizing is not None else None) or run.metal
    wires = wires_words(wires_of(readings, run))
    return f"{wires}, {size or 'size not known'} {SHORT_METAL.get(metal or '', '')}".rstrip()


def circuit_row(circuit: Circuit) -> tuple[str, str, str, str]:
    """Position, amperes and poles, what it serves, wire: one row of a panel's circuits."""
    amps = f"{plain(circuit.ocpd_a)} A" if circuit.ocpd_a is not None else "? A"
    poles = f"/{circuit.poles}" if circuit.poles is not None else "/?"
    serves = circuit.serves or circuit.title
    metal = SHORT_METAL.get(circuit.metal or "", "?")
    wire = f"{circuit.wire_size} {metal}" if circuit.wire_size else "size not known"
    return circuit.position or "?", amps + poles, serves, wire


def electrode_words(electrode: Electrode) -> str:
    """Name and kind of an electrode; the kind alone where the name says no more."""
    kind = electrode.kind or "kind not known"
    return kind if electrode.title.lower() == kind else f"{electrode.title} ({kind})"
