"""The neutral of one run open: what each leg then gets, and what that does to the loads on it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from driploop.editions import common_table
from driploop.installation.graph import Graph
from driploop.network import Built, Node, Solver, Wire
from driploop.network.solve import LEAST_OHM
from driploop.voltage.draws import LoadDraw
from driploop.voltage.results import LoadOnOpenNeutral, OpenNeutral
from driploop.voltage.scenario import voltages_at
from driploop.worksheet import DriploopError, WorksheetWriter

_LEGS: tuple[Wire, Wire] = ("A", "B")


def opened(
    run: str, graph: Graph, built: Built, draws: Sequence[LoadDraw], *, hours: str, across_v: float
) -> OpenNeutral:
    """Everything that runs as a fixed impedance, and the neutral of one run open.

    Args:
        run: id of the run.
        graph: the installation.
        built: its network.
        draws: what runs.
        hours: what that is, in words.
        across_v: line to line without load. [V]

    Raises:
        DriploopError: there is no such run, or it has no neutral; the message lists those that have.
    """
    with_neutral = [b.run for b in built.network.branches if b.to.wire == "N"]
    if run not in with_neutral:
        listed = ", ".join(with_neutral) or "none"
        raise DriploopError(f'"{run}" is no run with a neutral on a known supply. There are: {listed}.')
    network = built.network.without(run, wire="N")
    loaded = [each.draw for each in draws]
    volts = Solver(network, loaded).idle
    at = voltages_at(built, volts, across_v)
    best = network.at_electrodes({name: band.least_ohm for name, band in built.electrodes.items()})
    volts_at_best = Solver(best, loaded).idle
    below = set(graph.below(graph.installation.runs[run].to or ""))
    loads = [
        LoadOnOpenNeutral(
            load=each.load.id,
            title=each.load.title,
            equipment=each.draw.positive.bus,
            leg=each.draw.positive.wire,
            voltage_v=(v := abs(volts.between(each.draw.positive, each.draw.negative))),
            what=what_becomes(v),
        )
        for each in draws
        if each.on_neutral and each.draw.positive.bus in below
    ]
    loads.sort(key=lambda load: -load.voltage_v)
    earth, earth_at_best = (
        sum(abs(v.at(p.at)) / max(p.resistance_ohm, LEAST_OHM) for p in n.earth if p.at.bus in below)
        for n, v in ((network, volts), (best, volts_at_best))
    )
    title = graph.installation.runs[run].title
    sheet = WorksheetWriter(f"open-neutral/{run}", f"Neutral of {title} open")
    legs = {leg: sum(abs(d.draw.va) for d in draws if d.on_neutral and d.draw.positive == Node(d.draw.positive.bus, leg)
                     and d.draw.positive.bus in below) for leg in _LEGS}  # fmt: skip
    for leg, va in legs.items():
        sheet.number(f"Running on leg {leg} below it", "listed loads of one line", round(va), "VA", key=f"leg_{leg}")
    end = graph.installation.runs[run].to or ""
    for leg, volts_of in (("A", at[end].leg_a_v), ("B", at[end].leg_b_v)):
        if volts_of is not None:
            working = "the legs share the voltage across as their loads stand against each other"
            sheet.number(
                f"Leg {leg} at {graph.equipment(end).title}", working, round(volts_of, 1), "V", key=f"volts_{leg}"
            )
    n = Node(end, "N")
    highest_at_best = max(abs(volts_at_best.between(Node(end, leg), n)) for leg in _LEGS)
    sheet.number("Highest leg there, electrodes at their best", "earth then stands in for a part of the neutral",
                 round(highest_at_best, 1), "V", key="at_best")  # fmt: skip
    for words, current, key in (("poorest", earth, "earth"), ("best", earth_at_best, "earth_at_best")):
        sheet.number(f"Through the electrodes below, at their {words}", "neutral's voltage over their resistance",
                     round(current, 2), "A", key=key)  # fmt: skip
    return OpenNeutral(run, title, hours, at, tuple(loads), earth, highest_at_best, earth_at_best, sheet.done())


def what_becomes(voltage_v: float) -> str:
    """What a load made for 120 V does at this voltage. [V]"""
    for low, high, what in _bands():
        if (low is None or voltage_v >= low) and (high is None or voltage_v < high):
            return what
    return ""


@lru_cache(maxsize=1)
def _bands() -> tuple[tuple[float | None, float | None, str], ...]:
    rows = common_table("voltage_on_a_load").rows
    return tuple((_maybe(row["from_v"]), _maybe(row["to_v"]), str(row["what"])) for row in rows)


def _maybe(value: object) -> float | None:
    return float(value) if isinstance(value, (int, float)) else None
