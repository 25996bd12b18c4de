"""A path of the job file as a person says it: the part's name, and its field in words."""

from __future__ import annotations

from typing import Any

from driploop.documents.text import sentence
from driploop.installation import Circuit, Electrode, Installation

KINDS = (
    "buildings", "equipment", "runs", "circuits", "loads", "electrodes", "bonds", "metered", "working_hours",
    "load_management",
)  # fmt: skip
WORDS = {
    "utility": "Utility", "town": "Town", "proposal": "Proposal", "site": "Site", "soil": "Soil",
    "job": "Job", "wishes": "Wishes",
}  # fmt: skip
FIELDS = {
    "x_over_r": "reactance over resistance",
    "from_": "fed from", "from": "fed from", "to": "feeds", "ocpd": "overcurrent device",
    "ocpd_a": "overcurrent device", "va": "load", "kw": "load", "hp": "horsepower", "egc": "equipment ground",
    "rla_a": "rated-load current", "mca_a": "minimum circuit ampacity", "mocp_a": "maximum overcurrent device",
    "lra_a": "locked-rotor current", "gfci": "ground-fault protection for people", "afci": "arc-fault protection",
    "current_carrying": "current-carrying conductors together", "ambient_c": "temperature around it",
    "buried": "whether it is buried or wet", "connected": "whether it is joined", "present": "whether it is there",
    "neutral_bonded": "whether the neutral is bonded", "metal_paths": "metal that joins both ends",
    "gfpe_upstream": "ground-fault protection of equipment ahead", "name": "what it is", "serves": "what it feeds",
}  # fmt: skip
_UNITS = ("_a", "_va", "_kva", "_kw", "_ft2", "_ft", "_in", "_ohm", "_c")


def field_words(name: str) -> str:
    """A field of the job file in words: ``burial_depth_in`` is "burial depth"."""
    if name in FIELDS:
        return FIELDS[name]
    for unit in _UNITS:
        if name.endswith(unit):
            name = name.removesuffix(unit)
            break
    return (
        name.replace("x_over_r", "reactance over resistance")
        .replace("egc", "equipment ground")
        .replace("ocpd", "overcurrent device")
        .replace("_", " ")
    )


def find(where: str, *installations: Installation | None) -> Any | None:
    """The part a path points at, from the first installation that has it; None where no part is meant."""
    kind, _, rest = where.partition(".")
    for installation in installations:
        if installation is None:
            continue
        if kind in KINDS:
            part = getattr(installation, kind).get(rest.partition(".")[0])
        else:
            part = next((getattr(installation, k)[where] for k in KINDS if where in getattr(installation, k)), None)
        if part is not None:
            return part
    return None


def part_path(where: str) -> str:
    """The path of the part alone: ``runs.drop`` for ``runs.drop.length_ft``."""
    return ".".join(where.split(".")[:2]) if where.split(".")[0] in KINDS else where


def place_words(where: str, *installations: Installation | None) -> str:
    """The name of the thing at a path, or at a bare id.

    Args:
        where: ``equipment.house-panel.main_a``, ``utility.supply``, or an id alone.
        installations: where to look, the one that matters first.
    """
    part = find(where, *installations)
    if part is None:
        kind, _, rest = where.partition(".")
        return f"{WORDS[kind]}, {rest.split('.')[0].replace('-', ' ')}" if kind == "wishes" else WORDS.get(kind, where)
    holder = next(i for i in installations if i is not None and find(where, i) is part)
    return part_words(part, holder)


def part_words(part: Any, installation: Installation) -> str:
    """A part's name; a circuit by what it feeds, an electrode; with panel or building where that is not enough."""
    if isinstance(part, Circuit):
        words = part.serves or part.title
        home = installation.equipment.get(part.from_ or "")
        alike = sum((each.serves or each.title) == words for each in installation.circuits.values())
        return f"Circuit: {words} ({home.title})" if alike > 1 and home is not None else f"Circuit: {words}"
    if isinstance(part, Electrode):
        namesakes = sum(e.title == part.title for e in installation.electrodes.values())
        building = installation.buildings.get(part.building or "")
        if namesakes > 1 and building is not None:
            return f"{part.title}, {building.title}"
    return sentence(str(part.title))
