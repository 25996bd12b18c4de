"""Small installations for the grounding and marking tests, written as a survey would, and their readings."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from driploop.conductors.results import ConductorReading
from driploop.editions import load_edition
from driploop.grounding import read_grounding
from driploop.grounding.results import GroundingReading, Jumper
from driploop.installation import (
    Bond,
    Building,
    Circuit,
    Electrode,
    Equipment,
    Graph,
    Installation,
    Run,
)
from driploop.loads.results import LoadReading, LoadResult, NeutralLoad, NodeLoad
from driploop.worksheet import Worksheet

KINDS: Mapping[str, Any] = {
    "buildings": Building,
    "equipment": Equipment,
    "runs": Run,
    "circuits": Circuit,
    "electrodes": Electrode,
    "bonds": Bond,
}

#: Utility overhead to a meter, service cable to the main inside a house of 200 A in aluminum.
INSIDE_MAIN = """
buildings.house = { use = "dwelling", communications = true, other_sources = [] }
equipment.meter = { kind = "meter", building = "house", outdoors = true, rating_a = 200 }
equipment.panel = { kind = "panel", building = "house", outdoors = false, rating_a = 200, main_a = 200 }
runs.drop = { from = "utility", to = "meter", owner = "utility", method = "overhead triplex" }
runs.service = { from = "meter", to = "panel", method = "SE cable", wires = 3, \
line_size = "4/0 AWG", metal = "aluminum" }
electrodes.rod-1 = { kind = "rod", building = "house", length_ft = 8, diameter_in = 0.625, spacing_ft = 8 }
electrodes.rod-2 = { kind = "rod", building = "house", length_ft = 8, diameter_in = 0.625, spacing_ft = 8 }
electrodes.water = { kind = "metal water pipe", building = "house", earth_contact_ft = 30 }
"""

#: The same house with the disconnect outdoors: what it is, is its role.
OUTDOOR_DEVICE = """
buildings.house = {{ use = "dwelling", communications = true, other_sources = [] }}
equipment.meter = {{ kind = "meter", building = "house", outdoors = true }}
equipment.outdoor = {{ kind = "disconnect", building = "house", outdoors = true, rating_a = 200, role = "{role}" }}
equipment.panel = {{ kind = "panel", building = "house", outdoors = false, rating_a = 200 }}
runs.drop = {{ from = "utility", to = "meter", owner = "utility", method = "overhead triplex" }}
runs.service = {{ from = "meter", to = "outdoor", method = "PVC 80", wires = 3, \
line_size = "4/0 AWG", metal = "aluminum" }}
runs.inside = {{ from = "outdoor", to = "panel", method = "SE cable", wires = 3, \
line_size = "4/0 AWG", metal = "aluminum" }}
"""

#: A house and a shed on an old three-wire feeder; ``extra`` are further fields of the feeder.
SHED = """
buildings.house = {{ use = "dwelling" }}
buildings.shed = {{ use = "storage" }}
equipment.panel = {{ kind = "panel", building = "house", rating_a = 200, main_a = 200 }}
equipment.shed-panel = {{ kind = "panel", building = "shed", rating_a = 60 }}
runs.service = {{ from = "utility", to = "panel", wires = 3, line_size = "2/0 AWG", metal = "copper" }}
runs.shed-feeder = {{ from = "panel", to = "shed-panel", method = "overhead triplex", wires = 3, line_size = "4 AWG", \
neutral_size = "4 AWG", metal = "aluminum", ocpd_a = 60{extra} }}
"""
LAWFUL = ', egc = "none", metal_paths = [], gfpe_upstream = false'


def place(text: str, **fields: Any) -> Graph:
    """The graph of an installation written as TOML."""
    read = tomllib.loads(text)
    parts = {
        kind: {id: part(id=id, **written) for id, written in read.get(kind, {}).items()} for kind, part in KINDS.items()
    }
    return Graph(Installation(**parts, **fields))


def read(graph: Graph, *, edition: str = "2023", neutral_a: Mapping[str, float] = {}, **more: Any) -> GroundingReading:
    """The grounding reading, with runs as large as the survey says and neutral loads as given [A]."""
    loads = LoadReading({id: _node(id, current) for id, current in neutral_a.items()})
    return read_grounding(graph, loads, ConductorReading({}), edition=load_edition(edition), **more)


def jumper(reading: GroundingReading, id: str) -> Jumper:
    """The jumper with this id."""
    return next(j for j in reading.jumpers if j.id == id)


def jumper_ids(reading: GroundingReading) -> set[str]:
    """Ids of all jumpers."""
    return {j.id for j in reading.jumpers}


def asked(reading: GroundingReading) -> set[str]:
    """Where assumptions were made."""
    return {assumption.where for assumption in reading.assumptions}


def _node(id: str, neutral_a: float) -> NodeLoad:
    sheet = Worksheet(f"load/{id}/connected", id)
    result = LoadResult("connected", id, "", "yes", "", neutral_a * 240, neutral_a, sheet)
    neutral = NeutralLoad(neutral_a * 240, neutral_a, sheet)
    return NodeLoad(id, 240, (result,), result, neutral, neutral_a, sheet)
