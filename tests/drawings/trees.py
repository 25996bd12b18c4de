"""Invented installations of any shape, for drawings that must never collide. A failing one is told by its seed."""

from __future__ import annotations

from random import Random
from typing import Any

from drawings.readings import installation
from driploop.installation import Installation

EQUIPMENT: dict[str, tuple[Any, ...]] = {
    "kind": ("meter", "disconnect", "panel", "panel", "junction box", "transfer switch", None),
    "main": ("breaker", "fuses", "none", None),
    "main_a": (60.0, None),
    "name": (None, "Main", "Cold room and packing line panel, north wall", '<Barn> & "annex"', "W" * 40),
    "building": ("house", "barn", "pole", "shed", None),
    "neutral_bonded": (True, False, None),
    "location": (None, "behind the pantry door, over the second step of the stair"),
    "is_new": (True, False),
    "fate": (None, "remove", "keep"),
}
RUN: dict[str, tuple[Any, ...]] = {
    "wires": (2, 3, 4, None),
    "ocpd": ("breaker", "fuses", "none", None),
    "line_size": ("4/0 AWG", None),
    "metal": ("aluminum", None),
    "egc": ("wire", "raceway", "none", None),
    "method": ("PVC 80", "SE cable", None),
    "length_ft": (175.0, None),
    "name": (None, "Overhead run", "Buried cable from the yard pole to the far end of the packing shed", "W" * 60),
}
BUILDINGS = {"house": {"name": "House"}, "barn": {}, "pole": {"use": "yard pole"}, "shed": {"name": "Packing shed"}}


def tree(seed: int, *, most: int = 12, circuits: int = 45) -> Installation:
    """Up to ``most`` enclosures in up to four buildings, with up to ``circuits`` circuits on one of them."""
    random = Random(seed)
    ids = [f"e{number}" for number in range(random.randint(1, most))]
    runs: dict[str, dict[str, Any]] = {}
    for number, id in enumerate(ids):
        above = (
            "utility"
            if number == 0
            else random.choice([None, "utility", *ids[:number], *ids[max(0, number - 2) : number]])
        )
        if above is not None:
            runs[f"r{number}"] = {"from": above, "to": id, **_any(RUN, random)}
    full = random.choice(ids)
    serves = "kitchen and dining room receptacles, east wall"
    listed = {
        f"c{n}": {"from": full, "position": str(n), "serves": serves, "poles": 1}
        for n in range(random.choice([0, 3, 12, 20, random.randint(0, circuits)]))
    }
    rods = {
        f"rod{n}": {"kind": "rod", "building": random.choice(["house", "barn"]), "conductor_to": random.choice(ids)}
        for n in range(random.randint(0, 3))
    }
    equipment = {id: _any(EQUIPMENT, random) for id in ids}
    return installation(buildings=BUILDINGS, equipment=equipment, runs=runs, circuits=listed, electrodes=rods)


OUTSIDE: dict[str, tuple[Any, ...]] = {
    "outdoors": (True, False, None),
    "meter_height_in": (62.0, None),
    "handle_height_in": (66.0, None),
    "from_gas_ft": (4.0, None),
}
WAY: dict[str, tuple[Any, ...]] = {
    "overhead": (True, False, None),
    "buried": (True, False, None),
    "burial_depth_in": (18.0, None),
    "attachment_height_ft": (14.5, None),
    "lowest_over_ground_ft": (11.0, None),
    "ground_below": ("street or truck or farm", None),
    "head_above_attachment": (True, False, None),
    "roof_slope_in_12": (4.0, None),
    "mast_trade_size": ("2", "none", None),
    "owner": ("utility", "customer", None),
}


def seen_from_outside(seed: int, *, most: int = 12) -> Installation:
    """As ``tree``, with what riser and site drawing show of it: what hangs outdoors, what is overhead or buried."""
    random, found = Random(seed + 1), tree(seed, most=most, circuits=3)
    equipment = {id: each.model_copy(update=_any(OUTSIDE, random)) for id, each in found.equipment.items()}
    runs = {id: run.model_copy(update=_any(WAY, random)) for id, run in found.runs.items()}
    return found.model_copy(update={"equipment": equipment, "runs": runs})


def _any(fields: dict[str, tuple[Any, ...]], random: Random) -> dict[str, Any]:
    return {field: random.choice(values) for field, values in fields.items()}
