"""The overcurrent device that stands for a run, and the load the run must carry."""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.results import RunKind
from driploop.installation.graph import UTILITY, Graph
from driploop.installation.model import Equipment, Run
from driploop.worksheet import Assumption


@dataclass(frozen=True, slots=True)
class Device:
    """What protects a run. ``rating_a`` is None when not known.

    ``several`` says that more than one main hangs below service conductors: ``total_a`` is their sum, and the
    conductors need not exceed the calculated load. ``known`` is False where the rating was assumed. [A]
    """

    rating_a: float | None
    words: str
    several: bool = False
    total_a: float | None = None
    known: bool = True
    assumptions: tuple[Assumption, ...] = ()


def kind_of(graph: Graph, run: Run) -> RunKind:
    """Whose rules speak for a run. One of unknown owner is taken as the customer's."""
    if run.owner == "utility":
        return "utility"
    return "service" if graph.is_service_run(run) else "feeder"


def owner_assumption(run: Run) -> tuple[Assumption, ...]:
    """What is assumed of a run from the utility whose owner nobody stated."""
    if run.from_ != UTILITY or run.owner is not None:
        return ()
    return (
        Assumption(
            f"runs.{run.id}.owner",
            "the customer's",
            "the code then binds it; the utility sizes its own conductors by its own book",
            "the utility's word that it owns the run leaves its size to the utility",
        ),
    )


def device_of(graph: Graph, run: Run, kind: RunKind) -> Device:
    """The device that stands for a run: the mains below service conductors, the device ahead of a feeder."""
    return _mains_below(graph, run) if kind == "service" else _device_ahead(graph, run)


def _mains_below(graph: Graph, run: Run) -> Device:
    mains = [graph.equipment(id) for id in _first_mains(graph, run.to)]
    if not mains:
        return Device(None, "no main below", known=False)
    ratings = [_main_rating(main) for main in mains]
    names = " + ".join(f"{main.title} {_amperes(rating)}" for main, rating in zip(mains, ratings, strict=True))
    unknown = tuple(_unknown_main(m) for m, rating in zip(mains, ratings, strict=True) if rating is None)
    known = [rating for rating in ratings if rating is not None]
    counts = [main.mains_count or 1 for main in mains]
    if sum(counts) > 1 or any(main.main == "none" for main in mains):
        total = sum(known) if not unknown and sum(counts) == len(mains) else None
        return Device(None, f"several mains: {names}", several=True, total_a=total, assumptions=unknown)
    return Device(ratings[0], names, known=not unknown, assumptions=unknown)


def _first_mains(graph: Graph, start: str | None) -> list[str]:
    """The first device with overcurrent protection, or the service disconnect, on each way down from here."""
    found: list[str] = []
    stack = [start] if start in graph.installation.equipment else []
    while stack:
        id = stack.pop()
        assert id is not None
        equipment, role = graph.equipment(id), graph.roles.get(id)
        if role in _MAINS or (role == "site-isolating device" and equipment.main != "none"):
            found.append(id)
            continue
        below = (graph.installation.runs[out].to for out in reversed(graph.runs_out.get(id, [])))
        stack.extend(to for to in below if to in graph.installation.equipment)
    return found


_MAINS = frozenset({"service disconnect", "building disconnect", "feeder panel", "subpanel"})


def _main_rating(equipment: Equipment) -> float | None:
    if equipment.main_a is not None:
        return equipment.main_a
    return equipment.rating_a


def _amperes(rating_a: float | None) -> str:
    return "rating not known" if rating_a is None else f"{rating_a:g} A"


def _unknown_main(equipment: Equipment) -> Assumption:
    return Assumption(
        f"equipment.{equipment.id}.main_a",
        "the rating is not taken from anything; the conductors are held to the calculated load",
        "nothing is called protected that is not shown to be",
        "the rating on the main breaker or fuses decides whether the conductors are protected",
    )


def _device_ahead(graph: Graph, run: Run) -> Device:
    if run.ocpd_a is not None and run.ocpd != "none":
        return Device(run.ocpd_a, f"{run.ocpd or 'device'} at its start")
    source = graph.installation.equipment.get(run.from_ or "")
    if graph.roles.get(run.from_ or "") == "site-isolating device" and (source is None or source.main == "none"):
        return _mains_below(graph, run)
    return _from_above(graph, run, source)


def _from_above(graph: Graph, run: Run, source: Equipment | None) -> Device:
    """A feeder without a device of its own is protected by the next one up; a panel's own breaker is not known."""
    seen: Equipment | None = source
    while seen is not None:
        own_main = seen.main in ("breaker", "fuses") and seen.main_a is not None
        through = own_main and (run.ocpd == "none" or seen.kind == "disconnect")
        if through:
            return Device(seen.main_a, f"main of {seen.title}")
        rating = seen.main_a or seen.rating_a
        if rating is not None and seen.kind in ("disconnect", "panel", "transfer switch") and run.ocpd != "none":
            return Device(rating, f"as large as {seen.title}", known=False, assumptions=(_assumed(run, rating, seen),))
        above = graph.feeding_run(seen.id)
        if above is None:
            break
        if above.ocpd_a is not None:
            return Device(above.ocpd_a, f"device ahead of {seen.title}")
        seen = graph.installation.equipment.get(above.from_ or "")
    return Device(None, "not known", known=False, assumptions=(_nothing_known(run),))


def _assumed(run: Run, rating_a: float, source: Equipment) -> Assumption:
    return Assumption(
        f"runs.{run.id}.ocpd_a",
        f"{rating_a:g} A",
        f"no device in {source.title} is larger than its own main or bus",
        "the rating of the breaker or fuses at the start of the run; a smaller one asks less of the wire",
    )


def _nothing_known(run: Run) -> Assumption:
    return Assumption(
        f"runs.{run.id}.ocpd_a",
        "not shown to be protected",
        "a wire behind a device nobody has read may be overloaded without anything opening",
        "the rating of the breaker or fuses at the start of the run",
    )
