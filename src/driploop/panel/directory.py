"""The door card, where each old circuit goes, and the crew sheet: readings of one finished layout."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from driploop.editions import Edition
from driploop.installation import Circuit, Graph, Installation
from driploop.panel.geometry import leg_of, row_of
from driploop.panel.habits import stiff_from_a
from driploop.panel.results import DirectoryLine, LandingStep, Layout, PanelCircuit, PanelProblem, Place, Trace

SPARE = "Spare"
CHECK_PAIR = "on the other line than its partner, handles tied; their neutral in one place"
CHECK_FEEDER = "four wires: neutral and ground stay apart at the far end"
CHECK_INTERLOCK = "the interlock holds it and the main apart"
CHECK_SHORT = "short wire: measure before the breaker is set"
CHECK_ARC = "arc-fault breaker, or arc-fault protection at its first outlet"
CHECK_GROUND = "ground-fault breaker, or ground-fault protection at its outlets"
CHECK_UNRATED = "no breaker yet: its wire is not known"


def spaces_words(place: Place) -> str:
    """``6/8``, or ``12 upper half``."""
    words = "/".join(str(space) for space in sorted(place.spaces))
    return f"{words} {place.half} half" if place.half else words


def breaker_words(circuit: PanelCircuit, *, known: bool = True) -> str:
    """``40 A 2-pole``."""
    return f"{circuit.rating_a:g} A {circuit.poles}-pole" if known else f"{circuit.poles}-pole, size not known"


def directory_of(problem: PanelProblem, layout: Layout, *, unrated: frozenset[str]) -> tuple[DirectoryLine, ...]:
    """Every space in the order of its number, spares marked."""
    circuits = {circuit.id: circuit for circuit in problem.circuits}
    lines = []
    taken: set[int] = set()
    for place in sorted(layout, key=lambda place: (min(place.spaces), place.half != "upper")):
        circuit = circuits[place.circuit]
        taken |= set(place.spaces)
        size = "" if circuit.kind == "reserved" or circuit.id in unrated else f"{circuit.rating_a:g} A"
        legs = "".join(leg_of(space) for space in sorted(place.spaces))
        lines.append(
            DirectoryLine(spaces_words(place), min(place.spaces), circuit.words, size, circuit.poles, legs, circuit.id)
        )
    for space in range(1, problem.box.spaces + 1):
        if space not in taken:
            lines.append(DirectoryLine(str(space), space, SPARE, "", 1, leg_of(space)))
    return tuple(sorted(lines, key=lambda line: line.first_space))


def traces_of(
    problem: PanelProblem,
    layout: Layout,
    *,
    title: str,
    found: Installation | None,
    unrated: frozenset[str],
) -> tuple[Trace, ...]:
    """Where every circuit was found and where it goes, in the order of the circuits."""
    at = {place.circuit: place for place in layout}
    traces = []
    for circuit in problem.circuits:
        if circuit.kind == "reserved":
            continue
        place = at[circuit.id]
        device = breaker_words(circuit, known=circuit.id not in unrated)
        proposed = f"{title}, space {spaces_words(place)}, {device}"
        stays = circuit.present_space is not None and circuit.present_space == min(place.spaces)
        was = _found_words(circuit.id, found)
        traces.append(Trace(circuit.id, circuit.words, was, proposed, stays))
    return tuple(traces)


def _found_words(id: str, found: Installation | None) -> str:
    if found is None:
        return ""
    old = found.circuits.get(id)
    if old is None:
        run = found.runs.get(id)
        return "new" if run is None else _feeder_words(run.from_, run.ocpd, run.ocpd_a, found)
    where = found.equipment.get(old.from_ or "")
    home = where.title if where is not None else "start not known"
    position = f", {old.position}" if old.position else ""
    return f"{home}{position}, {_device_words(old)}"


def _feeder_words(start: str | None, kind: str | None, rating: float | None, found: Installation) -> str:
    where = found.equipment.get(start or "")
    size = f"{rating:g} A " if rating is not None else ""
    return f"{where.title if where else 'start not known'}, {size}{kind or 'device not known'}"


def _device_words(old: Circuit) -> str:
    kind = old.ocpd if old.ocpd is not None else "device not known"
    if kind == "none":
        return "no device"
    size = f"{old.ocpd_a:g} A " if old.ocpd_a is not None else ""
    plural = "s" if old.poles == 2 and kind.endswith("fuse") else ""
    return f"{size}{kind}{plural}"


def steps_of(
    problem: PanelProblem, layout: Layout, *, graph: Graph, unrated: frozenset[str], edition: Edition
) -> tuple[LandingStep, ...]:
    """The crew sheet in the order in which wires are landed.

    Feeders and stiff wires first, the largest before the others, while the gutters are empty; then row by row from the
    end that is farther from the main, so that no landed wire is in the way of the next.
    """
    circuits = {circuit.id: circuit for circuit in problem.circuits}
    places = [place for place in layout if circuits[place.circuit].kind != "reserved"]

    def order(place: Place) -> tuple[int, float, int, int]:
        circuit = circuits[place.circuit]
        stiff = circuit.rating_a >= stiff_from_a() and circuit.id not in unrated
        row = row_of(min(place.spaces))
        return (0, -circuit.rating_a, -row, place.spaces[0]) if stiff else (1, 0.0, -row, place.spaces[0])

    pair = f"{CHECK_PAIR} ({edition.section('multiwire-disconnect')})"
    return tuple(
        _step(circuits[place.circuit], place, graph, circuits, unrated, pair) for place in sorted(places, key=order)
    )


def _step(
    circuit: PanelCircuit, place: Place, graph: Graph, circuits: Mapping[str, PanelCircuit], unrated: frozenset[str],
    pair: str,
) -> LandingStep:  # fmt: skip
    checks = list(_checks(circuit, circuits, graph, unrated, pair))
    breaker = breaker_words(circuit, known=circuit.id not in unrated)
    if place.half:
        breaker = f"tandem, {place.half} half, {circuit.rating_a:g} A"
    legs = " and ".join(f"line {leg_of(space)}" for space in sorted(place.spaces))
    return LandingStep(
        spaces_words(place), circuit.id, circuit.words, _wire_words(circuit, graph), f"{breaker}, {legs}",
        "; ".join(checks),
    )  # fmt: skip


def _checks(
    circuit: PanelCircuit, circuits: Mapping[str, PanelCircuit], graph: Graph, unrated: frozenset[str], pair: str
) -> Iterable[str]:
    if circuit.id in unrated:
        yield CHECK_UNRATED
    if circuit.partner in circuits:
        yield pair
    part = graph.installation.circuits.get(circuit.id)
    if part is not None and part.afci:
        yield CHECK_ARC
    if part is not None and part.gfci:
        yield CHECK_GROUND
    run = graph.installation.runs.get(circuit.id)
    if run is not None and run.wires == 4:
        yield CHECK_FEEDER
    if circuit.interlocked:
        yield CHECK_INTERLOCK
    if circuit.reach_ft is not None:
        yield f"{CHECK_SHORT} ({circuit.reach_ft:g} ft free)"


def _wire_words(circuit: PanelCircuit, graph: Graph) -> str:
    part = graph.installation.circuits.get(circuit.id)
    if part is not None:
        wire = f"{part.wire_size} {part.metal or '(metal not known)'}" if part.wire_size else "wire not known"
        ground = "" if part.ground is None else "no ground" if part.ground == "none" else f"ground: {part.ground}"
        neutral = "" if part.neutral in (None, "none") else f"{part.neutral} neutral"
        return ", ".join(filter(None, (wire, part.cable or "", neutral, ground)))
    run = graph.installation.runs.get(circuit.id)
    if run is None:
        return "feeder of the second panel"
    size = f"{run.line_size} {run.metal or '(metal not known)'}" if run.line_size else "conductors not known"
    return ", ".join(filter(None, (size, run.method or "", f"{run.wires} wires" if run.wires else "")))
