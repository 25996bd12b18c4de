"""Invented installations of any shape, for drawings that must never collide."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from drawings.readings import installation
from driploop.installation import Installation

KINDS = ("meter", "disconnect", "panel", "junction box", "transfer switch", None)
MAINS = ("breaker", "fuses", "none", None)
NAMES = (
    None,
    "Main",
    "Cold room and packing line panel, north wall",
    '<Barn> & "annex"',
    "Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww",
)


@st.composite
def installations(draw: st.DrawFn, *, most: int = 12, circuits: int = 45) -> Installation:
    """Up to ``most`` enclosures in up to five buildings, with up to ``circuits`` circuits on one of them."""
    count = draw(st.integers(1, most))
    pick = lambda values: draw(st.sampled_from(values))  # noqa: E731
    equipment: dict[str, dict[str, Any]] = {}
    runs: dict[str, dict[str, Any]] = {}
    for number in range(count):
        above = "utility" if number == 0 else pick([None, "utility", *(f"e{n}" for n in range(number))])
        equipment[f"e{number}"] = {
            "kind": pick(KINDS), "main": pick(MAINS), "main_a": pick((60.0, None)), "name": pick(NAMES),
            "building": pick(("house", "barn", "pole", "shed", None)), "neutral_bonded": pick((True, False, None)),
            "location": pick((None, "behind the pantry door, over the second step of the stair")),
            "is_new": pick((True, False)), "fate": pick((None, "remove", "keep")),
        }  # fmt: skip
        if above is not None:
            runs[f"r{number}"] = {
                "from": above, "to": f"e{number}", "wires": pick((2, 3, 4, None)), "ocpd": pick(("breaker", "fuses", None)),
                "line_size": pick(("4/0 AWG", None)), "metal": pick(("aluminum", None)), "egc": pick(("wire", "none", None)),
                "method": pick(("PVC 80", "SE cable", None)), "name": pick(NAMES),
            }  # fmt: skip
    full = pick(sorted(equipment))
    listed = {
        f"c{n}": {"from": full, "position": str(n), "serves": "kitchen and dining room receptacles, east", "poles": 1}
        for n in range(draw(st.integers(0, circuits)))
    }
    electrodes = {
        f"rod{n}": {"kind": "rod", "building": pick(("house", "barn", "pole")), "conductor_to": pick(sorted(equipment))}
        for n in range(draw(st.integers(0, 3)))
    }
    buildings = {"house": {"name": "House"}, "barn": {}, "pole": {"use": "yard pole"}, "shed": {"name": "Packing shed"}}
    return installation(buildings=buildings, equipment=equipment, runs=runs, circuits=listed, electrodes=electrodes)
