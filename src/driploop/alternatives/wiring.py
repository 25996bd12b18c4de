"""Metal and wiring method: what is usual, what the place forbids, and every choice for the runs of one alternative."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from driploop.alternatives.new_parts import usual_insulation
from driploop.alternatives.results import Choice
from driploop.alternatives.trade import metals, methods
from driploop.conductors.new_run import size_new_run
from driploop.conductors.results import RunSizing
from driploop.editions import Edition
from driploop.installation import Job, Proposal, Run
from driploop.installation.kinds import Metal, Method
from driploop.rules import Readings

_HEADS = {
    "service_overhead": "service conductors", "service_underground": "service conductors",
    "feeder_inside": "feeder inside", "feeder_between_buildings": "feeders between buildings",
}  # fmt: skip
_OVERHEAD = ("overhead triplex", "overhead open conductors")
_BURIED = ("direct-buried conductors", "USE cable", "UF cable")


def forbidden(edition: Edition) -> dict[str, str]:
    """Why each wiring method that the place forbids is not allowed, by its name in small letters."""
    return {_spelled(ban.method): f"{ban.reason} ({ban.source})" for ban in edition.forbidden}


def usual_wiring(job: Job, stated: Proposal, *, edition: Edition) -> dict[str, object]:
    """Metal and method of service and feeder: as stated, else the usual ones that the place does not forbid."""
    banned = forbidden(edition)
    supply = job.found.utility.supply
    farm = job.found.site_kind == "farm"
    service = _allowed(methods(f"service_{supply or 'overhead'}"), banned)
    feeder = _allowed(methods("feeder_between_buildings" if farm else "feeder_inside"), banned)
    metal = stated.metal or metals()[0]
    return {
        "metal": metal, "method": stated.method or service, "feeder_method": stated.feeder_method or feeder,
        "feeder_metal": stated.feeder_metal or metal,
    }  # fmt: skip


def choices_of(readings: Readings, *, edition: Edition) -> tuple[Choice, ...]:
    """Every metal and method for the new service conductors and for the new feeders.

    The load of a run does not hang on its wiring, so only the run itself is sized anew.
    """
    banned = forbidden(edition)
    groups: dict[str, list[Run]] = defaultdict(list)
    for run in readings.installation.runs.values():
        if run.is_new and run.owner != "utility" and run.method is not None and run.method != "busbar or nipple":
            groups[_place(readings, run)].append(run)
    return tuple(
        choice
        for where, runs in sorted(groups.items(), key=lambda group: list(_HEADS).index(group[0]))
        for choice in _of_group(readings, where, runs, banned, edition=edition)
    )


def conductor_feet(sizings: Mapping[str, RunSizing], runs: Mapping[str, Run]) -> tuple[dict[str, float], list[str]]:
    """Feet of new conductor by size and metal, and the runs whose length is not known. Lines, neutral and ground."""
    feet: dict[str, float] = defaultdict(float)
    unknown = []
    for id, sizing in sizings.items():
        run = runs[id]
        if not run.is_new or sizing.kind == "utility" or run.method == "busbar or nipple":
            continue
        if run.length_ft is None:
            unknown.append(id)
            continue
        length_ft = run.length_ft * sizing.sets
        if sizing.line_size is not None:
            feet[f"{sizing.line_size} {sizing.metal}"] += 2 * length_ft
        if sizing.neutral_size is not None:
            feet[f"{sizing.neutral_size} {sizing.metal}"] += length_ft
        if sizing.egc_size is not None:
            feet[f"{sizing.egc_size} {sizing.egc_metal}"] += length_ft
    return dict(sorted(feet.items())), unknown


def _place(readings: Readings, run: Run) -> str:
    if readings.graph.is_service_run(run):
        return f"service_{readings.installation.utility.supply or 'overhead'}"
    source, to = (readings.installation.equipment.get(end or "") for end in (run.from_, run.to))
    site = readings.graph.site_of
    between = source is not None and to is not None and site(source.building) != site(to.building)
    return "feeder_between_buildings" if between else "feeder_inside"


def _of_group(
    readings: Readings, where: str, runs: list[Run], banned: Mapping[str, str], *, edition: Edition
) -> Iterator[Choice]:
    now = (runs[0].method, readings.conductors.runs[runs[0].id].metal)
    ways: dict[tuple[Method | None, Metal | None], None] = {now: None}
    ways |= dict.fromkeys((method, metal) for method in methods(where) for metal in metals())
    for method, metal in ways:
        chosen = (method, metal) == now
        sized = {
            run.id: readings.conductors.runs[run.id]
            if chosen
            else _sized(readings, run, method, metal, edition=edition)
            for run in runs
        }
        feet, _ = conductor_feet(sized, {run.id: run for run in runs})
        bad = [fault for sizing in sized.values() for fault in sizing.faults]
        if _spelled(method or "") in banned:
            bad.insert(0, banned[_spelled(method or "")])
        head = _HEADS[where]
        yield Choice(
            id=f"{head}/{method}/{metal}",
            title=f"{head}: {method}, {metal}",
            method=method,
            metal=metal,
            sizes={id: _words(sizing) for id, sizing in sized.items()},
            raceways={id: sizing.raceway.trade_size for id, sizing in sized.items() if sizing.raceway is not None},
            conductor_ft=feet,
            why_not=tuple(dict.fromkeys(bad)),
            chosen=chosen,
            worksheets=tuple(sizing.worksheet for sizing in sized.values()),
        )


def _sized(readings: Readings, run: Run, method: Method | None, metal: Metal | None, *, edition: Edition) -> RunSizing:
    other = run.model_copy(
        update={
            "method": method, "metal": metal, "insulation": usual_insulation(method), "line_size": None,
            "neutral_size": None, "egc_size": None, "egc_metal": None, "trade_size": None,
            "overhead": True if method in _OVERHEAD else None, "buried": True if method in _BURIED else None,
            "neutral_insulated": run.wires == 4 or method not in ("SE cable", *_OVERHEAD),
        }
    )  # fmt: skip
    kind = readings.conductors.runs[run.id].kind
    return size_new_run(readings.graph, other, kind, readings.loads, edition=edition)


def _words(sizing: RunSizing) -> str:
    if sizing.line_size is None:
        return "none of the tables serves"
    sets = f"{sizing.sets} sets of " if sizing.sets > 1 else ""
    neutral = f", neutral {sizing.neutral_size}" if sizing.neutral_size else ""
    ground = f", ground {sizing.egc_size} {sizing.egc_metal}" if sizing.egc_size else ""
    return f"{sets}{sizing.line_size} {sizing.metal}{neutral}{ground}"


def _allowed(usual: tuple[Method, ...], banned: Mapping[str, str]) -> Method:
    return next((method for method in usual if _spelled(method) not in banned), usual[0])


def _spelled(method: str) -> str:
    return method.lower().replace(" ", "-")
