"""Ways that nobody followed: wire that serves along an ordinary way, and not through an attic or in a bundle."""

from __future__ import annotations

from collections.abc import Iterator

from driploop.conductors import RunSizing, hottest_place
from driploop.installation import Circuit, Run
from driploop.rules.catalogue import Found, rule
from driploop.rules.facts import named
from driploop.rules.looking import answer, asks, largest_device_a
from driploop.rules.overcurrent import motors_on
from driploop.rules.readings import Readings
from driploop.worksheet import Verdict

_FOLLOW = "Follow the way by eye, from the cellar and through the attic hatch"


@rule(
    "heat-along-the-way",
    title="Wire is judged by the hottest part of its way",
    why="Wire sheds its heat to the air round it, and in an attic in August or in a full pipe there is little to be "
    "shed to. The insulation ages where nobody looks.",
    requirement="ambient-correction",
    verdict=Verdict.ASK,
)
def heat_along_the_way(r: Readings) -> Iterator[Found]:
    attic = hottest_place("attic")
    for run in r.installation.runs.values():
        if asks(r, run):
            yield from _run(run, r.conductors.runs[run.id], f"{attic.hottest_c:g} C, {attic.words}")
    doubtful: dict[str, list[Circuit]] = {}
    for circuit in r.installation.circuits.values():
        if asks(r, circuit) and _too_hot(r, circuit):
            doubtful.setdefault(circuit.from_ or "", []).append(circuit)
    for panel, circuits in doubtful.items():
        where = f"equipment.{panel}" if panel else f"circuits.{min(circuit.id for circuit in circuits)}.from"
        wrong = f"At {attic.hottest_c:g} C, {attic.words}, or bundled with others these devices are too large: "
        mend = f"{_FOLLOW}; enter temperature and wires together, and choose a smaller device where it is hot."
        yield Found(where, f"{wrong}{named(circuits)}.", mend)


def _run(run: Run, sizing: RunSizing, attic: str) -> Iterator[Found]:
    larger = answer(sizing.worksheet, "hot_line_size")
    if larger is not None:
        wrong = f"Led where it is {attic}, this run needs more than {sizing.line_size}: {larger.value}."
        yield Found(f"runs.{run.id}.ambient_c", wrong, "Keep it out of attics and off roofs, or state its temperature.")
    ordinary = answer(sizing.worksheet, "in_an_ordinary_place")
    if ordinary is not None and sizing.ampacity_a is not None:
        field = "ambient_c" if run.ambient_c is None else "current_carrying"
        wrong = f"Along an ordinary way it serves and carries {ordinary.text}; at the worst its way may be, "
        mend = f"{_FOLLOW}; enter its temperature and the wires that lie with it."
        yield Found(f"runs.{run.id}.{field}", f"{wrong}{sizing.ampacity_a:.0f} A.", mend)


def _too_hot(r: Readings, circuit: Circuit) -> bool:
    """Whether a device serves along an ordinary way, as far as is known, and would be too large along a hot one."""
    if circuit.purpose == "spare" or circuit.ocpd_a is None or circuit.wire_size is None or motors_on(r, circuit):
        return False
    followed = circuit.ambient_c is not None or circuit.hot_place is not None
    if followed and circuit.current_carrying is not None:
        return False
    ordinary_a = largest_device_a(r, circuit, hopeful=True)
    hot_a = largest_device_a(r, circuit, hopeful=False, heat="hottest")
    return ordinary_a is not None and (hot_a or 0.0) < circuit.ocpd_a <= ordinary_a
