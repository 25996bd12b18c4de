"""The network of an installation: supply, runs, bonds and electrodes as one model."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from driploop.conductors.results import ConductorReading
from driploop.earth import ElectrodeBand, electrode_bands
from driploop.editions import Edition, common_table
from driploop.grounding.results import NeutralBond
from driploop.installation.graph import UTILITY, Graph
from driploop.installation.model import Equipment
from driploop.loads.results import LoadReading
from driploop.network.conductor import temperature_facts
from driploop.network.model import Branch, EarthPath, Network, Node, Wire
from driploop.network.runs import Case, RunWires, run_wires
from driploop.network.supply import LEG_V, Supply, supply_facts, supply_of
from driploop.worksheet import Assumption, plain, unique

CaseName = Literal["strong", "low", "weak"]


@dataclass(frozen=True)
class Built:
    """A network with what it was built from. ``electrodes`` are the bands of its paths to earth, by name."""

    case: CaseName
    network: Network
    supply: Supply
    wires: Mapping[str, RunWires]
    electrodes: Mapping[str, ElectrodeBand]
    assumptions: tuple[Assumption, ...]


def build_network(
    graph: Graph,
    loads: LoadReading,
    conductors: ConductorReading,
    bonds: Mapping[str, NeutralBond],
    *,
    case: CaseName,
    edition: Edition,
) -> Built:
    """The network of an installation, single-phase three-wire, from the utility's terminals to every enclosure.

    Args:
        graph: the installation.
        loads: its calculated loads; the service's bounds a transformer nobody stated.
        conductors: its runs, with the sizes chosen for new ones.
        bonds: where the neutral must be bonded; speaks where nobody looked.
        case: "strong" for the largest fault current; "low" for the least that the largest may turn out to be; "weak"
            for the smallest, and for voltage.
        edition: the code edition to ask.

    Returns:
        The network, its supply, the wires of each run, and what was assumed; what hangs on no known supply is left
        out.
    """
    said: list[Assumption] = []
    side = _case(case)
    tops = [graph.installation.runs[run].to or "" for run in graph.runs_out.get(UTILITY, ())]
    supply, assumed = supply_of(
        graph.installation.utility,
        load_va=sum(loads.nodes[id].load_va for id in tops if id in loads.nodes),
        rating_va=_rating_va(graph, tops),
        strength=case,
    )
    said += assumed
    buses: dict[str, tuple[Wire, ...]] = {UTILITY: ("A", "B", "N")}
    wires: dict[str, RunWires] = {}
    branches: list[Branch] = []
    for id in graph.order:
        run = graph.feeding_run(id)
        if run is None or run.from_ not in buses or id == UTILITY:
            continue
        stated = supply.stated_a is not None and run.from_ == UTILITY and case != "weak"
        found = run_wires(graph, run, conductors.runs.get(run.id), side, said.append, edition=edition)
        if stated:  # a stated figure speaks for the service point: nothing ahead of it is reckoned again
            found = RunWires(run.id, 0.0, found.line_size, found.metal, 0j, 0j, found.ground_ohm and 0j, None)
        wires[run.id] = found
        with_neutral = found.neutral_ohm is not None and "N" in buses[run.from_]
        buses[id] = ("A", "B", "N", "G") if with_neutral else ("A", "B", "G")
        branches += _branches(run.from_, id, found, buses)
    bonded = frozenset(id for id, has in buses.items() if "N" in has and "G" in has and _bonded(graph, id, bonds, said))
    earth = _earth(graph, buses, said, edition=edition)
    network = Network(
        buses=dict(reversed(buses.items())),
        source=supply.source(),
        branches=tuple(branches),
        earth=tuple(EarthPath(id, at, band.least_ohm if case == "strong" else band.most_ohm) for at, band, id in earth),
        bonded=bonded,
    )
    return Built(case, network, supply, wires, {id: band for _, band, id in earth}, unique(said))


def _branches(above: str, here: str, found: RunWires, buses: Mapping[str, tuple[Wire, ...]]) -> list[Branch]:
    made = [Branch(found.run, Node(above, leg), Node(here, leg), found.line_ohm) for leg in _LEGS]
    if "N" in buses[here] and found.neutral_ohm is not None:
        made.append(Branch(found.run, Node(above, "N"), Node(here, "N"), found.neutral_ohm))
    start: Wire = "G" if "G" in buses[above] else "N"
    if found.ground_ohm is not None:
        made.append(Branch(found.run, Node(above, start), Node(here, "G"), found.ground_ohm))
    if found.metal_ohm is not None:
        made.append(Branch(f"{found.run}, metal", Node(above, start), Node(here, "G"), complex(found.metal_ohm)))
    return made


_LEGS: tuple[Wire, Wire] = ("A", "B")


def _bonded(graph: Graph, id: str, bonds: Mapping[str, NeutralBond], said: list[Assumption]) -> bool:
    found = graph.equipment(id).neutral_bonded
    if found is not None:
        return found
    bond = bonds.get(id)
    required = bond is not None and bond.required == "bonded"
    said.append(
        Assumption(
            f"equipment.{id}.neutral_bonded",
            "joined, as the code wants it here" if required else "kept apart, as the code wants it here",
            "what must be so is checked when the enclosure is opened; the current of a ground fault rests on it",
            "whether the neutral is joined to this enclosure",
        )
    )
    return required


def _earth(
    graph: Graph, buses: Mapping[str, tuple[Wire, ...]], said: list[Assumption], *, edition: Edition
) -> tuple[tuple[Node, ElectrodeBand, str], ...]:
    """Every electrode that a known supply reaches: where it lands, its band, its id. The utility's own comes first."""
    facts = supply_facts()
    pole = ElectrodeBand(facts["pole_electrode_strong_ohm"], facts["pole_electrode_weak_ohm"], "usual")
    paths = [(Node(UTILITY, "N"), pole, UTILITY)]
    bands = electrode_bands(graph, edition=edition)
    for electrode in graph.installation.electrodes.values():
        if electrode.connected is False or electrode.kind is None:
            continue
        lands = electrode.conductor_to or _first_in(graph, electrode.building, buses)
        if lands is None or lands not in buses:
            continue
        band = bands.get(electrode.id) or _usual(electrode.kind)
        if band.most_ohm > band.least_ohm:
            said.append(
                Assumption(
                    f"electrodes.{electrode.id}.resistance_ohm",
                    f"{_ohms(band.least_ohm)} where a good electrode is the safe side, {_ohms(band.most_ohm)} where a "
                    "poor one is",
                    f"what earth can make of such an electrode: {band.basis}",
                    "a measured resistance; what the soil is narrows it",
                )
            )
        wire: Wire = "G" if "G" in buses[lands] else "N"
        paths.append((Node(lands, wire), band, electrode.id))
    return tuple(paths)


def _ohms(ohm: float) -> str:
    return f"{plain(float(f'{ohm:.2g}'))} ohm"


@lru_cache(maxsize=16)
def _usual(kind: str) -> ElectrodeBand:
    """The band of an electrode that no formula fits."""
    table = common_table("earth_paths")
    row = next((row for row in table.rows if row["path"] == kind), None) or table.row(path="any other")
    return ElectrodeBand(float(row["least_ohm"] or 0), float(row["most_ohm"] or 0), "usual, from memory")


def _first_in(graph: Graph, building: str | None, buses: Mapping[str, tuple[Wire, ...]]) -> str | None:
    return next((id for id in graph.order if id in buses and graph.equipment(id).building == building), None)


def _rating_va(graph: Graph, tops: list[str]) -> float:
    """Of the service: the mains of its service equipment, else of whatever hangs at the top. [VA]"""
    mains = [graph.equipment(id) for id in graph.service_disconnects] or [graph.equipment(id) for id in tops if id]
    return sum(_rating(each) for each in mains) * 2 * LEG_V


def _rating(equipment: Equipment) -> float:
    return equipment.main_a or equipment.rating_a or 0.0


@lru_cache(maxsize=4)
def _case(name: CaseName) -> Case:
    facts = temperature_facts()
    cold = name != "weak"
    return Case(name, short=name == "strong", temperature_c=facts["cold_c" if cold else "hot_c"])
