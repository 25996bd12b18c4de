"""What is known of a run, with the safe side taken, and said, wherever something is not.

Every unknown can also be read *hopefully*: the best answer it could still get. A run that falls short on the safe side
but not on the hopeful one is open, not condemned.
"""

from __future__ import annotations

from dataclasses import dataclass

from driploop.conductors.ampacity import CableLimit, Conditions
from driploop.conductors.heat import Heat, ambient_of, wires_together
from driploop.conductors.insulation import (
    highest_class,
    insulation_class,
    made_for_wet_places,
    unknown_insulation,
)
from driploop.conductors.terminals import Terminal, TerminalLimit, terminal_temperature
from driploop.editions import Edition
from driploop.installation.graph import Graph
from driploop.installation.model import Metal, Run
from driploop.installation.sizes import rank
from driploop.worksheet import Assumption, unique

#: Taken for a new run whose insulation is not chosen: the class of every building wire sold today, thick enough that
#: the others fit where it fits.
NEW_WIRE = "THW"
_NM = frozenset({"NM cable", "NMC cable"})
_NM_INSIDE = "THHN"
_SE = frozenset({"SE cable", "SER cable"})
_MADE_DRY = frozenset({"NM cable", "knob-and-tube", "armored cable"})
#: Cables made for wet places as a whole, whatever the marking inside reads.
_MADE_WET = frozenset({"SE cable", "SER cable", "USE cable", "UF cable", "overhead triplex"})


@dataclass(frozen=True, slots=True)
class RunFacts:
    """A run as it is read: conditions of its conductors, and what was assumed.

    ``wet_misuse``: the insulation is not made, or not known to be made, for the wet place it lies in.
    """

    conditions: Conditions
    insulation: str | None
    terminals: TerminalLimit
    wet_misuse: bool
    assumptions: tuple[Assumption, ...]


def read_facts(
    graph: Graph, run: Run, *, circuit_a: float, edition: Edition, hopeful: bool = False, heat: Heat = "safe"
) -> RunFacts:
    """Conditions of a run's conductors.

    Args:
        graph: the installation it is part of.
        run: the run.
        circuit_a: rating of its device, or its load where there is none. [A]
        edition: the code edition to ask.
        hopeful: read each unknown as the best answer it could get instead of the worst.
        heat: how hot its way is read where nobody followed it; hopefully, it is an ordinary one.
    """
    heat = "ordinary" if hopeful else heat
    said: list[Assumption] = []
    insulation, insulation_c, misuse = _insulation(graph, run, hopeful, said)
    terminals = _terminals(graph, run, circuit_a, hopeful, said, edition=edition)
    conditions = Conditions(
        metal=_metal(run, hopeful, said),
        insulation_c=insulation_c,
        terminal_c=terminals.temperature_c,
        ambient_c=ambient_of(graph, run, said, heat=heat, edition=edition),
        current_carrying=wires_together(graph, run, said, heat=heat, edition=edition),
        limit=_limit(graph, run, hopeful, said, edition=edition),
    )
    return RunFacts(conditions, insulation, terminals, misuse, unique(said))


def misuse_fault(facts: RunFacts, run: Run) -> tuple[str, ...]:
    """In words, that the insulation is not for the wet place it lies in; empty when it is."""
    if not facts.wet_misuse:
        return ()
    if run.insulation is None:
        return ("its insulation is not known to be made for wet places",)
    return (f"{run.insulation} insulation is not made for wet places, and this run is not known to stay dry",)


def _metal(run: Run, hopeful: bool, said: list[Assumption]) -> Metal:
    if run.metal is not None:
        return run.metal
    said.append(
        Assumption(
            f"runs.{run.id}.metal", "aluminum", "it carries less than copper of the same size",
            "copper would carry more; the cut end or the bare neutral shows the metal",
        )
    )  # fmt: skip
    return "copper" if hopeful else "aluminum"


def _insulation(graph: Graph, run: Run, hopeful: bool, said: list[Assumption]) -> tuple[str | None, int, bool]:
    name: str | None = run.insulation
    if name is None and run.is_new:
        name = NEW_WIRE
        said.append(
            Assumption(
                f"runs.{run.id}.insulation", f"{NEW_WIRE} or better",
                "every building wire sold today is of this class or a higher one, and most is thinner",
                "naming the wire may make the raceway smaller",
            )
        )  # fmt: skip
    if name is None:
        said.append(unknown_insulation(f"runs.{run.id}.insulation"))
        doubtful = not hopeful and run.method not in _MADE_WET and _wet(graph, run) is not False
        return None, highest_class() if hopeful else insulation_class(None, wet=True), doubtful
    wet = _wet(graph, run)
    if insulation_class(name, wet=True) == insulation_class(name, wet=False):
        return name, insulation_class(name, wet=True), False
    if wet is None:
        said.append(
            Assumption(
                f"runs.{run.id}.buried", "a wet place", f"{name} is good for less, or not made, where it gets wet",
                "a run that stays inside dry buildings may use its full class",
            )
        )  # fmt: skip
        wet = not hopeful
    return name, insulation_class(name, wet=wet), wet and not made_for_wet_places(name)


def _wet(graph: Graph, run: Run) -> bool | None:
    """True where any of it is outdoors or in earth, False where it is known to stay inside, None when not known."""
    ends = [graph.installation.equipment.get(id or "") for id in (run.from_, run.to)]
    outdoors = [end.outdoors if end is not None else None for end in ends]
    sites = {graph.site_of(end.building) for end in ends if end is not None and end.building is not None}
    if run.buried or run.overhead or any(outdoors) or len(sites) > 1:
        return True
    if run.method in _MADE_DRY or (run.buried is False and all(answer is False for answer in outdoors)):
        return False
    return None


def _terminals(
    graph: Graph, run: Run, circuit_a: float, hopeful: bool, said: list[Assumption], *, edition: Edition
) -> TerminalLimit:
    ends = [graph.installation.equipment[id] for id in (run.from_, run.to) if id in graph.installation.equipment]
    terminals = [
        Terminal(end.title, end.terminal_temperature_c, end.is_new or (hopeful and end.terminal_temperature_c is None))
        for end in ends
    ]
    limit = terminal_temperature(circuit_a, terminals, edition=edition)
    for end in ends:
        where = f"equipment.{end.id}.terminal_temperature_c"
        if end.title in limit.assumed_new and end.is_new:
            said.append(
                Assumption(
                    where, f"marked {edition.value('large_terminal_temperature_c').text}",
                    "common practice: equipment made today is so marked",
                    "verify the label; without the mark the lower column binds",
                )
            )  # fmt: skip
        elif end.title in limit.unread:
            said.append(
                Assumption(
                    where, f"not marked: {edition.value('small_terminal_temperature_c').text}",
                    "the lower column binds small circuits unless the label says otherwise",
                    "a label that says 75 C raises what the wire may carry",
                )
            )  # fmt: skip
    return limit


def _limit(graph: Graph, run: Run, hopeful: bool, said: list[Assumption], *, edition: Edition) -> CableLimit | None:
    # The wires inside NM cable are of this make; service conductors are never of such cable.
    may_be_nm = run.method is None and run.egc not in ("raceway", "armor")
    unread = may_be_nm and run.insulation == _NM_INSIDE and not graph.is_service_run(run)
    if unread:
        said.append(_method_unread(run))
    if run.method in _NM or (unread and not hopeful):
        cited = edition.value("nm_temperature_c")
        return CableLimit(int(cited.number), cited.section)
    if run.method == "UF cable":
        cited = edition.value("uf_temperature_c")
        return CableLimit(int(cited.number), cited.section)
    if run.method in _SE and run.in_thermal_insulation is not False:
        cited = edition.value("se_in_insulation_temperature_c")
        largest = str(edition.value("se_in_insulation_largest").value)
        if run.in_thermal_insulation is None:
            if run.line_size is None or rank(run.line_size) > rank(largest):
                return None if run.line_size else CableLimit(int(cited.number), cited.section, largest)
            said.append(
                Assumption(
                    f"runs.{run.id}.in_thermal_insulation", "in thermal insulation",
                    "small SE cable in insulation is held to the lower column",
                    "a cable that nowhere touches insulation carries more",
                )
            )  # fmt: skip
            if hopeful:
                return None
        return CableLimit(int(cited.number), cited.section, largest)
    return None


def _method_unread(run: Run) -> Assumption:
    return Assumption(
        f"runs.{run.id}.method",
        "NM cable, held to the lower column",
        "the wires inside NM cable are THHN too, and no other wiring method lets them carry less",
        "how it is run: a raceway, or the marking on the cable",
    )
