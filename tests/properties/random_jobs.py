"""Random jobs: sites that could stand somewhere, any field of them unknown, with every kind of proposal.

Each field's values come from the models themselves, so that a new field is varied without anybody adding it here.
Hypothesis draws the sizes and a seed; a job of a given draw is always the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random
from typing import Any, get_args

from hypothesis import strategies as st
from pydantic import BaseModel

from driploop.editions import edition_names
from driploop.installation import (
    Bond,
    Building,
    Circuit,
    Electrode,
    Equipment,
    Job,
    Load,
    MeteredDemand,
    Proposal,
    Run,
    Utility,
    Wish,
)
from driploop.installation.kinds import LoadKind
from driploop.survey.contradictions import check_contradictions
from driploop.survey.fields import Shape, keys_of
from driploop.survey.layout import JobFile

Tables = dict[str, Any]

#: Values a survey may well hold, by key; other keys take any value their model allows.
#: Fields drawn by a dice of their own, so that a seed still gives the job it gave before they were there.
OUTDOORS = frozenset(
    {"span_ft", "pole_attachment_height_ft", "measured_temperature_f", "fall_of_potential", "current_probe_ft",
     "loading_district", "distance_ft"}
)  # fmt: skip
LIKELY: dict[str, tuple[Any, ...]] = {
    "rating_a": (60.0, 100.0, 125.0, 200.0, 400.0),
    "main_a": (60.0, 100.0, 200.0, 320.0),
    "panel_rating_a": (100.0, 200.0, 225.0),
    "ocpd_a": (15.0, 20.0, 30.0, 40.0, 50.0, 60.0, 100.0),
    "interrupting_rating_a": (5000.0, 10000.0, 22000.0),
    "available_fault_current_a": (4200.0, 9800.0, 15000.0),
    "mains_count": (1, 1, 1, 2, 6),
    "spaces": (6, 12, 30, 42),
    "circuits_max": (6, 24, 42),
    "panel_spaces": (30, 40, 60),
    "poles": (1, 2, 2),
    "wires": (3, 3, 4, 2),
    "sets": (1, 1, 1, 2),
    "count": (1, 1, 2, 4),
    "length_ft": (2.0, 14.0, 60.0, 210.0),
    "feeder_length_ft": (6.0, 40.0),
    "extend_ft": (0.0, 3.0, 9.0),
    "floor_area_ft2": (240.0, 900.0, 1450.0, 3200.0),
    "garage_area_ft2": (0.0, 400.0),
    "year_built": (1911, 1948, 1972, 2004),
    "year_installed": (1938, 1966, 1998, 2015),
    "va": (120.0, 700.0, 1500.0, 4500.0, 9600.0),
    "kw": (0.9, 3.0, 8.0, 12.0, 18.0),
    "hp": ("1/2", "3/4", "1", "3", "5", "7-1/2"),
    "current_a": (4.0, 12.0, 32.0),
    "rla_a": (9.0, 14.0, 21.0),
    "mca_a": (15.0, 22.0, 31.0),
    "mocp_a": (25.0, 40.0),
    "lra_a": (60.0, 96.0),
    "volts": (120, 240, 240),
    "phase": (1, 1, 1, 3),
    "ambient_c": (20.0, 30.0, 38.0, 50.0),
    "current_carrying": (2, 3, 3, 6, 12),
    "trade_size": ("1", "1-1/4", "2", "2-1/2"),
    "size": ("8 AWG", "6 AWG", "4 AWG"),
    "line_size": ("12 AWG", "8 AWG", "6 AWG", "2 AWG", "1/0 AWG", "4/0 AWG"),
    "neutral_size": ("12 AWG", "8 AWG", "6 AWG", "2 AWG", "2/0 AWG"),
    "egc_size": ("10 AWG", "8 AWG", "6 AWG"),
    "wire_size": ("14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG"),
    "conductor_size": ("8 AWG", "6 AWG", "4 AWG"),
    "ring_size": ("4 AWG", "2 AWG"),
    "system": ("120/240 V single-phase", "120/240 V single-phase", "208Y/120 V single-phase"),
    "peak_kw": (4.1, 9.7, 16.0),
    "interval_minutes": (15.0, 15.0, 60.0),
    "record_months": (3.0, 12.0, 14.0),
    "record_days": (10.0, 30.0),
    "diameter_in": (0.5, 0.625),
    "resistance_ohm": (19.0, 25.0, 80.0),
    "spacing_ft": (4.0, 6.0, 8.0),
    "new_rods": (0, 1, 2),
    "rod_spacing_ft": (6.0, 8.0),
    "handle_height_in": (60.0, 66.0, 84.0),
    "transformer_kva": (15.0, 25.0, 50.0),
    "stays_on": (
        "smoke alarm",
        "freezer",
        "livestock alarm",
        "livestock ventilation",
        "emergency lighting",
        "sump pump",
        "medical equipment",
        "nothing",
    ),
    "fate": ("keep", "keep", "replace", "replace", "remove", "convert to unfused"),
}
#: Keys that name other parts or the person who asked: set by the site below, or nobody's business here.
LINKS = frozenset(
    {
        "id", "name", "note", "part_of", "building", "from", "to", "circuit", "panel", "multiwire_with", "conductor_to",
        "continues_to", "supplemental_to", "never_with", "replaces", "equipment", "meter", "overlay", "outdoor_place",
        "disconnect_ratings_a", "moves", "runs", "circuits", "electrodes", "bonds", "is_new", "role", "sets", "count",
        "buildings", "load_management", "tandem_spaces", "held_places", "laid_places",
    }
)  # fmt: skip
#: What hangs below a meter; and what makes up most houses, so that demand factors have something to bite on.
BOXES = ("panel", "panel", "panel", "disconnect", "transfer switch", "junction box", None)
HOUSEHOLD = ("range", "dryer", "water heater", "electric heat", "heat pump", "supplemental heat", "air conditioner")


@dataclass(frozen=True, slots=True)
class Size:
    """How large a site is, and how much of it nobody could read [share of all fields]."""

    buildings: int
    enclosures: int
    circuits: int
    loads: int
    unknown: float


class Maker:
    """One random site under construction."""

    def __init__(self, seed: int, size: Size) -> None:
        self.random = Random(seed)
        self.outdoor_random = Random(f"outdoors {seed}")
        self.size = size
        self.tables: Tables = {
            "town": {"edition": self.random.choice(edition_names())},
            "utility": self.part(Utility),
            "buildings": self.buildings(),
            "equipment": {},
            "runs": {},
        }
        site = self.random.choice(("residence", "residence", "farm", "farm", None))
        self.tables["site"] = {"kind": site} if site else {}
        self.supply()
        self.tables["circuits"] = {f"c{n}": self.circuit() for n in range(size.circuits)}
        self.tables["loads"] = {f"l{n}": self.load(Load) for n in range(size.loads)}
        self.link_loads()
        self.tables["electrodes"] = {f"e{n}": self.electrode() for n in range(self.random.randint(0, 4))}
        self.tables["bonds"] = {f"b{n}": self.bond() for n in range(self.random.randint(0, 3))}
        self.tables["metered"] = self.metered()
        self.tables["wishes"] = {f"w{n}": self.wish() for n in range(self.random.randint(0, 3))}
        proposal = self.proposal()
        if proposal is not None:
            self.tables["proposal"] = proposal
        self.drop_contradictions()

    def drop_contradictions(self) -> None:
        """What a reader would refuse as said against something else was not read."""
        for fault in list(check_contradictions(self.tables)):
            held = self.tables
            for step in fault.path[:-1]:
                held = held[step]
            held.pop(fault.path[-1], None)

    # --- values --------------------------------------------------------------------------------------------------

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def pick(self, table: str) -> str:
        return self.random.choice(list(self.tables[table]))

    def part(self, model: type[BaseModel], **fixed: Any) -> Tables:
        """A part of the survey, each field a value its model allows, or left unknown."""
        made = {
            name: self.value(name, key.shape)
            for name, key in keys_of(model).items()
            if name not in LINKS and name not in OUTDOORS and not self.chance(self.size.unknown)
        }
        made |= self.outdoors(model)
        made |= {name: value for name, value in fixed.items() if value is not None}
        return made

    def outdoors(self, model: type[BaseModel]) -> Tables:
        usual, self.random = self.random, self.outdoor_random
        keys = [key for name, key in keys_of(model).items() if name in OUTDOORS]
        made = {key.name: self.value(key.name, key.shape) for key in keys if not self.chance(self.size.unknown)}
        self.random = usual
        return made

    def value(self, name: str, shape: Shape) -> Any:
        if name in LIKELY:
            return self.random.choice(LIKELY[name])
        if shape.kind == "yes or no":
            return self.chance(0.5)
        if shape.kind in ("words", "size"):
            return self.random.choice(shape.words or LIKELY["line_size"])
        if shape.kind == "list":
            words = shape.item.words if shape.item else ()
            return tuple(word for word in words if self.chance(0.2))
        if shape.kind == "whole number":
            return self.random.randint(int(shape.low or 0), int(min(shape.high or 6, (shape.low or 0) + 8)))
        if shape.kind == "number":
            low = shape.low if shape.low is not None else shape.above or 0.0
            return round(self.random.uniform(max(low, 0.0) + 0.5, min(shape.high or 60.0, 60.0)), 1)
        if shape.kind == "rows" and shape.model is not None:
            return tuple(self.part(shape.model) for _ in range(self.random.randint(0, 3)))
        return self.random.choice("ABCD") if shape.pattern else "as seen"

    # --- the site ------------------------------------------------------------------------------------------------

    def buildings(self) -> Tables:
        made: Tables = {"house": self.part(Building, use=self.random.choice(("dwelling", "dwelling", None)))}
        for number in range(1, self.size.buildings):
            made[f"place-{number}"] = self.part(Building)
        if self.chance(0.2):
            made["house"]["use"] = "two-family dwelling"
            made |= {id: self.part(Building, use="dwelling unit", part_of="house") for id in ("flat-a", "flat-b")}
        return made

    def supply(self) -> None:
        equipment, runs = self.tables["equipment"], self.tables["runs"]
        meters = 2 if self.chance(0.15) else 1
        for number in range(meters):
            equipment[f"meter-{number}"] = self.part(Equipment, kind="meter", building=self.pick("buildings"))
            owner = self.random.choice(("utility", "customer", None))
            runs[f"drop-{number}"] = {**self.part(Run), "from": "utility", "to": f"meter-{number}"}
            runs[f"drop-{number}"] |= {"owner": owner} if owner else {}
        for number in range(self.size.enclosures):
            id, above = f"box-{number}", self.pick("equipment")
            kind = self.random.choice(BOXES)
            building = None if self.chance(self.size.unknown / 3) else self.pick("buildings")
            equipment[id] = self.part(Equipment, building=building)
            equipment[id].pop("kind", None)
            equipment[id] |= {"kind": kind} if kind else {}
            if self.chance(0.95):
                runs[f"run-{number}"] = {**self.part(Run), "from": above, "to": id}

    def circuit(self) -> Tables:
        elsewhere = self.pick("buildings") if self.chance(0.1) else None
        source = None if self.chance(self.size.unknown / 5) else self.pick("equipment")
        return self.part(Circuit, building=elsewhere, **{"from": source} if source else {})

    def load(self, model: type[BaseModel]) -> Tables:
        kind = self.random.choice(HOUSEHOLD if self.chance(0.5) else get_args(LoadKind))
        made = self.part(model, kind=kind)
        # A nameplate gives its load in one or two ways, seldom in all.
        ways = ["va", "kw", "hp", "current_a", "rla_a", "mca_a"]
        for way in self.random.sample(ways, self.random.randint(3, 6)):
            made.pop(way, None)
        circuits = self.tables["circuits"]
        if circuits and self.chance(0.8):
            made["circuit"] = self.random.choice(list(circuits))
        elif self.chance(0.9):
            made["panel"] = self.pick("equipment")
        if self.chance(0.1):
            made["building"] = self.pick("buildings")
        return made

    def link_loads(self) -> None:
        loads = self.tables["loads"]
        pumps = [id for id, load in loads.items() if load["kind"] == "heat pump"]
        for id, load in loads.items():
            if load["kind"] == "supplemental heat" and pumps and self.chance(0.7):
                load["supplemental_to"] = self.random.choice(pumps)
            if self.chance(0.1) and len(loads) > 1:
                load["never_with"] = (self.random.choice([other for other in loads if other != id]),)

    def electrode(self) -> Tables:
        made = self.part(Electrode, building=self.pick("buildings"))
        if self.chance(0.8):
            made["conductor_to"] = self.pick("equipment")
        return made

    def bond(self) -> Tables:
        return self.part(Bond, building=self.pick("buildings"))

    def metered(self) -> Tables:
        return {"record": self.part(MeteredDemand, meter=self.pick("equipment"))} if self.chance(0.3) else {}

    def wish(self) -> Tables:
        made = self.load(Wish)
        if self.tables["loads"] and self.chance(0.3):
            made["replaces"] = (self.pick("loads"),)
        return made

    def proposal(self) -> Tables | None:
        if self.chance(0.15):
            return None
        made = self.part(Proposal)
        if self.chance(0.6):
            made["scope"] = "full service"
        if self.chance(0.5):
            made.pop("rating_a", None)
        panels = [id for id, each in self.tables["equipment"].items() if each.get("kind") == "panel"]
        if panels and self.chance(0.6):
            made["panel"] = self.random.choice(panels)
        if self.chance(0.6):
            made["outdoor_place"] = self.pick("buildings")
        return made


def random_tables(seed: int, size: Size) -> Tables:
    """The tables of a random job file, ready for ``job_of``."""
    return Maker(seed, size).tables


def job_of(tables: Tables) -> Job:
    """The job of these tables."""
    ready = {
        name: {id: {**part, "id": id} for id, part in held.items()} if name in _BY_ID else held
        for name, held in tables.items()
    }
    return JobFile.model_validate(ready).as_job()


_BY_ID = frozenset({"buildings", "equipment", "runs", "circuits", "loads", "electrodes", "bonds", "metered", "wishes"})

sizes = st.builds(
    Size,
    buildings=st.integers(1, 4),
    enclosures=st.integers(1, 8),
    circuits=st.integers(0, 20),
    loads=st.integers(0, 20),
    unknown=st.sampled_from((0.0, 0.1, 0.3, 0.6, 1.0)),
)
seeds = st.integers(0, 2**32)
tables = st.builds(random_tables, seeds, sizes)
