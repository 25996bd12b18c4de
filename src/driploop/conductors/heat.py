"""How hot it is along a wire's way, and how many wires lie together, where the survey does not say.

Three readings of the same way: *safe* is what a plan rests on; *ordinary* is a way through walls, floors and cellars,
alone; *hottest* is the worst that is common where the wire may lie. An answer beyond that has to be stated.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any, Literal

from driploop.editions import Edition
from driploop.installation.graph import Graph
from driploop.installation.model import RACEWAYS, Circuit, Equipment, Run
from driploop.worksheet import Assumption

Heat = Literal["safe", "ordinary", "hottest"]
Where = Literal["earth", "outdoors", "indoors", "unknown"]
#: Wires with air all round; the code has tables of its own for them, which stand on a hotter air.
FREE_AIR = frozenset({"overhead triplex", "overhead open conductors"})


@dataclass(frozen=True, slots=True)
class Place:
    """A kind of place: its words, the hottest that is common there [C], and why that is the safe side."""

    words: str
    hottest_c: float
    why: str


@lru_cache(maxsize=1)
def _document() -> Mapping[str, Any]:
    return tomllib.loads((files(__package__) / "hottest_places.toml").read_text(encoding="utf-8"))


@lru_cache(maxsize=8)
def hottest_place(name: str) -> Place:
    """A row of the table of hottest places."""
    row = _document()["places"][name]
    return Place(str(row["words"]), float(row["hottest_c"]), str(row["why"]))


@lru_cache(maxsize=8)
def together(name: str) -> int:
    """How many current-carrying wires may lie together where nobody counted them, by the name in the table."""
    return int(_document()["together"][name])


def where_it_lies(graph: Graph, run: Run) -> Where:
    """The kind of place a run lies in, as far as the survey shows. Indoors, its way through the building stays open."""
    if run.overhead:
        return "outdoors"
    if run.buried:
        return "earth"
    ends = [graph.installation.equipment.get(id or "") for id in (run.from_, run.to)]
    sites = {graph.site_of(end.building) for end in ends if end is not None and end.building is not None}
    if any(end is not None and end.outdoors for end in ends) or len(sites) > 1:
        return "outdoors"
    inside = all(end is not None and end.outdoors is False for end in ends)
    return "indoors" if inside and len(sites) == 1 else "unknown"


def run_place(graph: Graph, run: Run, heat: Heat) -> Place:
    """What a run of unstated temperature is read at.

    The way of a new run is the shop's to choose: it is not led through an attic unless that is stated. One that is
    there may pass wherever a building has room, but for one between enclosures of the same room.
    """
    lies = where_it_lies(graph, run)
    if lies == "earth":
        return hottest_place("earth")
    if heat == "ordinary":
        return hottest_place("indoors")
    if lies == "outdoors":
        return hottest_place("outdoors")
    if lies == "indoors" and _in_one_room(graph, run):
        return hottest_place("indoors")
    if heat == "safe" and run.is_new:
        return hottest_place("indoors" if lies == "indoors" else "outdoors")
    return hottest_place("attic")


def _in_one_room(graph: Graph, run: Run) -> bool:
    if run.method == "busbar or nipple":
        return True
    rooms = {_room(graph.installation.equipment.get(id or "")) for id in (run.from_, run.to)}
    return len(rooms) == 1 and None not in rooms and "attic" not in rooms


def _room(end: Equipment | None) -> str | None:
    return end.room if end is not None and end.room != "other" else None


def ambient_of(graph: Graph, run: Run, said: list[Assumption], *, heat: Heat = "safe", edition: Edition) -> float:
    """The temperature a run is read at [C]; where it is not stated, the assumption goes to ``said``."""
    base_c = edition.number("ambient_base_c")
    if run.ambient_c is not None:
        return _in_free_air(run, run.ambient_c, edition=edition)
    taken = run_place(graph, run, heat)
    hottest_c = max(taken.hottest_c, base_c)
    said.append(
        Assumption(
            f"runs.{run.id}.ambient_c", f"{taken.words}, not over {hottest_c:g} C", taken.why,
            "its way followed from end to end; what is hotter, as a roof in the sun or a boiler room, must be stated",
        )
    )  # fmt: skip
    return _in_free_air(run, hottest_c, edition=edition)


def _in_free_air(run: Run, ambient_c: float, *, edition: Edition) -> float:
    """A wire with air all round is read by the table for wires together, which at its base gives less than the free-air
    tables give at theirs; so up to that nothing is taken off."""
    if run.method not in FREE_AIR or run.buried:
        return ambient_c
    base_c, free_c = edition.number("ambient_base_c"), edition.number("messenger_ambient_base_c")
    return min(ambient_c, base_c) if ambient_c <= free_c else ambient_c


def wires_together(graph: Graph, run: Run, said: list[Assumption], *, heat: Heat = "safe", edition: Edition) -> int:
    """Current-carrying wires of a run and of what lies with it; where not stated, the assumption goes to ``said``."""
    if run.current_carrying is not None:
        return run.current_carrying
    free = int(edition.number("adjustment_free_conductors"))
    if run.method is not None and run.method not in RACEWAYS:
        return free
    if run.is_new or graph.is_service_run(run):
        why = "no wire but the service's own may lie in its raceway" if graph.is_service_run(run) else (
            "a new raceway is laid for this run alone"
        )  # fmt: skip
        said.append(
            Assumption(
                f"runs.{run.id}.current_carrying", f"not over {free} together", why,
                "other wires in the same raceway lower what each may carry: state the number",
            )
        )  # fmt: skip
        return free
    shared = free if heat == "ordinary" else max(free, together("feeder_raceway"))
    said.append(
        Assumption(
            f"runs.{run.id}.current_carrying", f"{shared} together",
            "an old raceway often holds a second feeder, and seldom more",
            "the number counted where its raceway ends; more than that must be stated",
        )
    )  # fmt: skip
    return shared


def circuit_ambient_c(circuit: Circuit, heat: Heat, *, edition: Edition) -> float:
    """The temperature a branch circuit's wire is read at. [C]"""
    if circuit.ambient_c is not None:
        return circuit.ambient_c
    name = "attic" if heat == "hottest" else "indoors"
    return max(hottest_place(name).hottest_c, edition.number("ambient_base_c"))


def circuit_wires_together(circuit: Circuit, heat: Heat) -> int:
    """Current-carrying wires that lie together along a branch circuit's way."""
    if circuit.current_carrying is not None:
        return circuit.current_carrying
    if heat != "hottest":
        return 1
    return together("circuit_raceway" if circuit.cable in RACEWAYS else "cables")
