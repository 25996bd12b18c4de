"""Small invented sites for the tests of the load reading, written as a surveyor's facts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from driploop.editions import load_edition
from driploop.installation import Building, Circuit, Equipment, Graph, Installation, Load, MeteredDemand, Run, Utility
from driploop.loads import read_loads
from driploop.loads.results import NodeLoad

NEC_2023 = load_edition("NEC 2023")
Facts = Mapping[str, Mapping[str, Any]]


def site(
    *,
    kind: str | None = "residence",
    buildings: Facts,
    equipment: Facts,
    feeds: Mapping[str, str],
    circuits: Facts | None = None,
    loads: Facts | None = None,
    metered: Facts | None = None,
) -> Installation:
    """An installation from facts by id; ``feeds`` says what each piece of equipment is fed from."""
    return Installation(
        site_kind=kind,
        utility=Utility(system="120/240 V single-phase"),
        buildings={id: Building(id=id, **fields) for id, fields in buildings.items()},
        equipment={id: Equipment(id=id, **fields) for id, fields in equipment.items()},
        runs={f"to-{to}": Run(id=f"to-{to}", from_=source, to=to) for to, source in feeds.items()},
        circuits={id: Circuit(id=id, **fields) for id, fields in (circuits or {}).items()},
        loads={id: Load(id=id, **fields) for id, fields in (loads or {}).items()},
        metered={id: MeteredDemand(id=id, **fields) for id, fields in (metered or {}).items()},
    )


def house(
    loads: Facts | None = None,
    *,
    circuits: Facts | None = None,
    rating_a: float | None = 100,
    building: Mapping[str, Any] | None = None,
    kind: str | None = "residence",
    metered: Facts | None = None,
) -> Installation:
    """A one-family house of 1,500 ft2: meter, one panel, a general circuit, each of these loads on its own circuit."""
    rows = dict(loads or {})
    own = {
        id: {"from_": "panel", "purpose": "dedicated", "poles": fields.get("poles", 2)} for id, fields in rows.items()
    }
    return site(
        kind=kind,
        buildings={"house": {"use": "dwelling", "floor_area_ft2": 1500, "garage_area_ft2": 0.0, **(building or {})}},
        equipment={
            "meter": {"kind": "meter", "building": "house"},
            "panel": {"kind": "panel", "building": "house", "main_a": rating_a},
        },
        feeds={"meter": "utility", "panel": "meter"},
        circuits={"general": {"from_": "panel", "purpose": "general", "poles": 1}, **own, **(circuits or {})},
        loads={id: {"circuit": id, **{k: v for k, v in fields.items() if k != "poles"}} for id, fields in rows.items()},
        metered=metered,
    )


def barn(loads: Facts, *, circuits: Facts | None = None) -> Installation:
    """A farm with one barn, its panel fed from a pole, loads on the panel."""
    return site(
        kind="farm",
        buildings={"pole": {"use": "yard pole"}, "barn": {"use": "agricultural"}},
        equipment={
            "pole-main": {"kind": "disconnect", "building": "pole", "main_a": 200},
            "barn-panel": {"kind": "panel", "building": "barn", "main_a": 100},
        },
        feeds={"pole-main": "utility", "barn-panel": "pole-main"},
        circuits=circuits,
        loads={id: {"panel": "barn-panel", **fields} for id, fields in loads.items()},
    )


def node(installation: Installation, equipment: str = "panel", *, edition=NEC_2023) -> NodeLoad:
    """The load read at one piece of equipment."""
    return read_loads(Graph(installation), edition=edition).nodes[equipment]
