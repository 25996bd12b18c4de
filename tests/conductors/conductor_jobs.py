"""Small installations for the conductor tests, with loads stated instead of calculated."""

from driploop.conductors import read_conductors
from driploop.editions import load_edition
from driploop.installation import Building, Circuit, Equipment, Graph, Installation, Run
from driploop.loads.results import LoadReading, LoadResult, NeutralLoad, NodeLoad
from driploop.worksheet import Worksheet

EDITIONS = ("NEC 2017", "NEC 2020", "NEC 2023", "NEC 2026")
NEC_2017, NEC_2020, NEC_2023, NEC_2026 = (load_edition(name) for name in EDITIONS)


def node(equipment, current_a, neutral_a=0.0):
    """A node with a stated load at 240 V."""
    load = LoadResult("standard", "stated", "", "yes", "stated", current_a * 240, current_a, Worksheet("l", "l"))
    neutral = NeutralLoad(neutral_a * 240, neutral_a, Worksheet("n", "n"))
    return NodeLoad(equipment, 240, (load,), load, neutral, current_a, Worksheet("c", "c"))


def reading(installation, loads, edition=NEC_2023):
    """``loads``: equipment id to (line current, neutral current)."""
    nodes = {id: node(id, *amperes) for id, amperes in loads.items()}
    return read_conductors(Graph(installation), LoadReading(nodes), edition=edition).runs


def parts(**kinds):
    """Parts by kind and id from plain keywords."""
    made = {"equipment": Equipment, "runs": Run, "buildings": Building, "circuits": Circuit}
    return {
        kind: {id: made[kind].model_validate({"id": id, **fields}) for id, fields in each.items()}
        for kind, each in kinds.items()
    }


PANEL = {"kind": "panel", "building": "house", "outdoors": False, "main": "breaker", "mains_count": 1, "is_new": True}


def house(rating_a=200, *, run=None, panel=None, use="dwelling", kind="residence"):
    """A meter, one run, one panel with a main that is the service disconnect."""
    service = {"from": "meter", "to": "panel", "owner": "customer", "metal": "aluminum", "insulation": "XHHW-2",
               "ambient_c": 30.0, "wires": 3, "is_new": True}  # fmt: skip
    return Installation(
        site_kind=kind,
        **parts(
            buildings={"house": {"use": use}},
            equipment={
                "meter": {"kind": "meter", "building": "house", "outdoors": True, "is_new": True},
                "panel": {**PANEL, "rating_a": float(rating_a), "main_a": float(rating_a), **(panel or {})},
            },
            runs={
                "drop": {"from": "utility", "to": "meter", "owner": "utility"},
                "service": {**service, **(run or {})},
            },
            circuits={"lights": {"from": "panel"}},
        ),
    )


def feeder(*, run=None, panel=None, source=None, use="workshop"):
    """A house service with a feeder to another building."""
    base = house(200)
    more = parts(
        buildings={"shed": {"use": use}},
        equipment={"shed-panel": {**PANEL, "building": "shed", "rating_a": 100.0, "main_a": 100.0, **(panel or {})}},
        runs={
            "shed-feeder": {
                "from": "panel", "to": "shed-panel", "metal": "aluminum", "insulation": "XHHW-2", "ambient_c": 30.0,
                "wires": 4, "ocpd": "breaker", "ocpd_a": 100.0, "is_new": True, **(run or {}),
            }
        },
        circuits={"shed-lights": {"from": "shed-panel"}},
    )  # fmt: skip
    merged = {kind: {**getattr(base, kind), **each} for kind, each in more.items()}
    if source:
        merged["equipment"]["panel"] = merged["equipment"]["panel"].model_copy(update=source)
    return base.model_copy(update=merged)
