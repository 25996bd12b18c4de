"""One run as the model takes it: length, wires and their impedances, every unknown on the side that is asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from driploop.conductors import equipment_grounding_conductor
from driploop.conductors.results import RunSizing
from driploop.editions import Edition, NotInTable, common_table
from driploop.grounding.sites import enters_building
from driploop.grounding.wires import carries_neutral
from driploop.installation.graph import UTILITY, Graph
from driploop.installation.model import Metal, Run
from driploop.network.conductor import wire_impedance
from driploop.worksheet import Assumption


@dataclass(frozen=True, slots=True)
class Case:
    """Which side of every unknown is taken, and how warm the wires are.

    ``strong`` and ``low`` ask for the largest fault current: cold wires; the first takes each unknown at its strongest,
    the second at its weakest. ``weak`` asks for voltage and the smallest fault current: hot wires, weakest unknowns.
    """

    name: str
    short: bool
    temperature_c: float


@dataclass(frozen=True, slots=True)
class RunWires:
    """Length and impedance of each wire of a run, all sets together. [ft, ohm]

    ``ground_ohm`` is None where nothing but the neutral or the earth leads back; ``metal_ohm`` is what metal beside the
    run adds, where it counts. ``line_size`` is None where no wire is known and none is reckoned.
    """

    run: str
    length_ft: float
    line_size: str | None
    metal: Metal | None
    line_ohm: complex
    neutral_ohm: complex | None
    ground_ohm: complex | None
    metal_ohm: float | None


Say = Callable[[Assumption], None]


def run_wires(graph: Graph, run: Run, sizing: RunSizing | None, case: Case, say: Say, *, edition: Edition) -> RunWires:
    """The wires of one run under one case. ``say`` is told what was assumed."""
    length_ft = _length(graph, run, case, say)
    size, metal = _line(run, sizing, case, say)
    if size is None or metal is None:
        return RunWires(run.id, 0.0, None, None, 0j, 0j, _no_impedance(run, case), _metal(run, case))
    sets = sizing.sets if sizing else run.sets
    share = length_ft / 1000 / sets

    def ohms(of: str, which: Metal) -> complex:
        z = wire_impedance(of, which, method=run.method, temperature_c=case.temperature_c, edition=edition)
        return z * share

    neutral = (sizing.neutral_size if sizing else None) or run.neutral_size
    if not carries_neutral(graph, run):
        neutral = None
    elif neutral is None:
        neutral = size if case.short else _smaller_neutral(size, run, say)
    return RunWires(
        run=run.id,
        length_ft=length_ft,
        line_size=size,
        metal=metal,
        line_ohm=ohms(size, metal),
        neutral_ohm=None if neutral is None else ohms(neutral, metal),
        ground_ohm=_ground(graph, run, sizing, case, ohms, size, metal, say, edition=edition),
        metal_ohm=_metal(run, case),
    )


def _length(graph: Graph, run: Run, case: Case, say: Say) -> float:
    if run.length_ft is not None:
        return run.length_ft
    most = longest(_place(graph, run))
    say(
        Assumption(
            f"runs.{run.id}.length_ft",
            f"0 ft for the largest fault current, {most:g} ft for the smallest and for voltage",
            "a short run lets the most current through; a long one loses the most voltage and trips its breaker last",
            "the length, paced or measured",
        )
    )
    return 0.0 if case.short else most


def _place(graph: Graph, run: Run) -> str:
    if run.owner == "utility" or (run.from_ == UTILITY and run.owner is None):
        return "utility underground" if run.buried else "utility overhead"
    if graph.is_service_run(run):
        return "service"
    return "feeder outside" if enters_building(graph, run) else "feeder inside"


@lru_cache(maxsize=16)
def longest(place: str) -> float:
    """The longest length taken of a run of this kind that nobody measured. [ft]"""
    return float(common_table("run_unknowns").row(run=place)["most_ft"] or 0)


def _line(run: Run, sizing: RunSizing | None, case: Case, say: Say) -> tuple[str | None, Metal | None]:
    size = (sizing.line_size if sizing else None) or run.line_size
    metal = (sizing.metal if sizing else None) or run.metal
    if size is not None:
        if metal is None:
            say(
                Assumption(
                    f"runs.{run.id}.metal",
                    "copper for the largest fault current, aluminum for the smallest and for voltage",
                    "copper lets more current through, aluminum loses more voltage",
                    "the metal, seen at a bare end of a dead wire or read on the cable",
                )
            )
            metal = "copper" if case.short else "aluminum"
        return size, metal
    row = common_table("run_size_unknown").at_least("to_a", _current(run, sizing))
    guess, of = str(row["size"]), str(row["metal"])
    say(
        Assumption(
            f"runs.{run.id}.line_size",
            f"no impedance at all for the largest fault current, {guess} {of} for the smallest and for voltage",
            "the side on which each answer is safe",
            "the size and metal of its wires",
        )
    )
    if case.short:
        return None, None
    return guess, "aluminum" if of == "aluminum" else "copper"


def _current(run: Run, sizing: RunSizing | None) -> float:
    known = [a for a in (run.ocpd_a, sizing.ocpd_a if sizing else None, sizing.load_a if sizing else None) if a]
    return known[0] if known else 200.0


def _smaller_neutral(size: str, run: Run, say: Say) -> str:
    say(
        Assumption(
            f"runs.{run.id}.neutral_size",
            f"{size}, as the lines",
            "usual in cables; common practice",
            "a smaller neutral loses more voltage and lets less fault current back",
        )
    )
    return size


def _ground(
    graph: Graph,
    run: Run,
    sizing: RunSizing | None,
    case: Case,
    ohms: Callable[[str, Metal], complex],
    size: str,
    metal: Metal,
    say: Say,
    *,
    edition: Edition,
) -> complex | None:
    """The way back for fault current besides the neutral, whole; None where there is none."""
    wired = run.egc == "wire" or (run.egc is None and (run.wires == 4 or (sizing is not None and sizing.wires == 4)))
    if wired:
        known = (sizing.egc_size if sizing else None) or run.egc_size
        of: Metal = (sizing.egc_metal if sizing else None) or run.egc_metal or metal
        if known is not None:
            return ohms(known, of)
        say(_unknown_ground(run, "egc_size"))
        return ohms(size, metal) if case.short else _by_table(run, sizing, ohms, size, metal, edition=edition)
    if run.egc in ("raceway", "armor"):
        say(
            Assumption(
                f"runs.{run.id}.egc",
                "it leads back as well as a line for the largest fault current, as the code's equipment ground for the "
                "smallest",
                "a listed raceway or armor must be as good a path as that wire, while its joints are tight",
                "a test of the path with the run dead, or an equipment ground drawn in",
            )
        )
        return ohms(size, metal) if case.short else _by_table(run, sizing, ohms, size, metal, edition=edition)
    if run.egc is None and run.wires is None and not graph.is_service_run(run):
        say(
            Assumption(
                f"runs.{run.id}.egc",
                "a path as good as a line for the largest fault current, none for the smallest",
                "a path that is not there trips nothing",
                "whether the run has a fourth wire, a metal raceway or armor",
            )
        )
        return ohms(size, metal) if case.short else None
    return None


def _by_table(
    run: Run,
    sizing: RunSizing | None,
    ohms: Callable[[str, Metal], complex],
    size: str,
    metal: Metal,
    *,
    edition: Edition,
) -> complex:
    rating = run.ocpd_a or (sizing.ocpd_a if sizing else None)
    if rating is None:
        return ohms(size, metal)
    try:
        return ohms(str(equipment_grounding_conductor(rating, "copper", edition=edition).size), "copper")
    except NotInTable:
        return ohms(size, metal)


def _unknown_ground(run: Run, field: str) -> Assumption:
    return Assumption(
        f"runs.{run.id}.{field}",
        "as large as a line for the largest fault current, the code's least for the smallest",
        "the side on which each answer is safe",
        "its size",
    )


def _no_impedance(run: Run, case: Case) -> complex | None:
    return 0j if run.egc in ("wire", "raceway", "armor") or run.wires == 4 else None


@lru_cache(maxsize=1)
def _metal_ohm() -> float:
    return float(common_table("earth_paths").row(path="metal between")["least_ohm"] or 0)


def _metal(run: Run, case: Case) -> float | None:
    """Metal that joins both ends counts only where a low impedance is the safe side: nobody warrants a water pipe."""
    return _metal_ohm() if case.short and run.metal_paths else None
