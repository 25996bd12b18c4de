"""What a reading of the final installation decides, as one flat set of outcomes: two answers are compared by it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from driploop.conductors.results import RunSizing
from driploop.editions import Edition
from driploop.installation import Installation
from driploop.installation.model import Part
from driploop.loads import Headroom, service_rating
from driploop.marking import Label
from driploop.questions.paths import PARTS
from driploop.questions.results import Gravity, Outcome
from driploop.rules import Readings
from driploop.rules.facts import rating_a
from driploop.worksheet import DriploopError, Finding, Verdict


@dataclass(frozen=True, slots=True)
class State:
    """How one outcome stands: what two answers are compared by, and the words for it; of a verdict, its finding."""

    value: object
    words: str
    finding: Finding | None = None


Decided = Mapping[Outcome, State]

_HEAVY = {Verdict.MEND: 2, Verdict.ASK: 1, Verdict.KNOW: 0}


def decided(readings: Readings, findings: Iterable[Finding], headroom: Headroom | None) -> Decided:
    """Every outcome of one installation that an answer may turn."""
    return {
        **dict(_service(readings)),
        **dict(_headroom(readings, headroom)),
        **dict(_conductors(readings)),
        **dict(_grounding(readings)),
        **dict(_circuits(readings)),
        **{Outcome(Gravity.LABEL, f"label {label.id}", f"equipment.{label.equipment}"): State(
            _told(label), f"{_title(readings, 'equipment', label.equipment)}: label «{', '.join(label.words)}»"
        ) for label in readings.labels},
        **of_findings(findings, readings.installation),
    }  # fmt: skip


def _told(label: Label) -> tuple[str, ...]:
    """What a label says. Whether a fault current can be marked is an outcome; its amperes by themselves are none."""
    if not label.id.startswith("available-fault-current/"):
        return label.words
    return tuple(re.sub(r"[\d,]+", "", words) for words in label.words)


def of_findings(findings: Iterable[Finding], installation: Installation) -> Decided:
    """The verdict of each rule at each place, the gravest where a rule has several for one."""
    states: dict[Outcome, State] = {}
    for found in findings:
        outcome = Outcome(Gravity.VERDICT, found.rule, found.where)
        before = states.get(outcome)
        if before is None or _HEAVY[found.verdict] > _HEAVY[Verdict(str(before.value))]:
            table, id = f"{found.where}..".split(".")[:2]
            title = _title_in(installation, table, id)
            states[outcome] = State(found.verdict.value, f"{title}: {found.wrong.rstrip('.')}", found)
    return states


def weight_of(outcome: Outcome, before: State | None, after: State | None) -> Gravity:
    """What this change weighs: a verdict only as much as its gravest side."""
    if outcome.gravity is not Gravity.VERDICT:
        return outcome.gravity
    graver = {str(state.value) for state in (before, after) if state is not None}
    return Gravity.VERDICT if Verdict.MEND.value in graver else Gravity.ASKED


def changed(before: Decided, after: Decided) -> Iterator[tuple[Outcome, State | None, State | None]]:
    """Every outcome that stands otherwise, gravest first."""
    if before is after:
        return
    differs = [
        outcome
        for outcome in {**before, **after}
        if before.get(outcome) is not after.get(outcome) and _value(before, outcome) != _value(after, outcome)
    ]
    for outcome in sorted(differs, key=lambda o: (-weight_of(o, before.get(o), after.get(o)), o.what, o.where)):
        yield outcome, before.get(outcome), after.get(outcome)


def change_words(outcome: Outcome, before: State | None, after: State | None) -> str:
    """One change as a person would say it."""
    if outcome.gravity is Gravity.VERDICT:
        if after is None:
            return f"settled: {before.words if before is not None else ''}"
        return f"{after.value}: {after.words}"
    if after is None:
        return f"no longer {before.words if before is not None else ''}"
    return after.words


def _value(decided: Decided, outcome: Outcome) -> object:
    state = decided.get(outcome)
    return state.value if state is not None else None


# --- the outcomes of each stage ------------------------------------------------------------------------------------


def _service(r: Readings) -> Iterator[tuple[Outcome, State]]:
    for id in r.graph.service_disconnects:
        equipment, node = r.graph.equipment(id), r.loads.nodes.get(id)
        where, title = f"equipment.{id}", _title(r, "equipment", id)
        rating = rating_a(equipment)
        yield Outcome(Gravity.SERVICE, "rating", where), State(rating, f"{title}: {_amperes(rating)}")
        if node is None:
            continue
        load_a = node.conductor_current_a
        if rating is not None:
            carries = round(load_a) <= rating
            words = "carries the load" if carries else f"too small for {_amperes(load_a)}"
            yield Outcome(Gravity.SERVICE, "carries", where), State(carries, f"{title} of {_amperes(rating)} {words}")
        if not r.proposed:
            asked = _asked_rating(r, id, load_a, edition=r.edition)
            yield Outcome(Gravity.SERVICE, "asked", where), State(asked, f"the load asks for {asked} at {title}")


def _asked_rating(r: Readings, id: str, load_a: float, *, edition: Edition) -> str:
    try:
        dwelling = r.graph.may_feed_a_home(id)
        return _amperes(service_rating(load_a, dwelling=dwelling, edition=edition).rating.number)
    except DriploopError:
        return "more than any standard rating"


def _headroom(r: Readings, headroom: Headroom | None) -> Iterator[tuple[Outcome, State]]:
    if headroom is None:
        return
    where = f"equipment.{headroom.equipment}"
    words = "is enough for the load as it is" if headroom.enough else "is too small for the load as it is"
    yield Outcome(Gravity.SERVICE, "enough as found", where), State(headroom.enough, f"the service as found {words}")
    steps = {step.wish: step.title for step in headroom.steps}
    last = steps.get(headroom.used_up_by or "")
    words = f"the wish that the service as found no longer carries: {last}" if last else "it carries every wish"
    yield Outcome(Gravity.SERVICE, "used up by", where), State(headroom.used_up_by, words)


def _conductors(r: Readings) -> Iterator[tuple[Outcome, State]]:
    for id, s in r.conductors.runs.items():
        if s.kind == "utility":
            continue
        where, title = f"runs.{id}", _title(r, "runs", id)
        yield Outcome(Gravity.SIZE, "device", where), State(s.ocpd_a, f"{title}: device of {_amperes(s.ocpd_a)}")
        if s.kept:
            state = {True: "serves", False: "does not serve", None: "is not shown to serve"}[s.adequate]
            yield Outcome(Gravity.SIZE, "serves", where), State(s.adequate, f"{title} {state} as it is")
            continue
        for what, size in _sizes(s):
            yield Outcome(Gravity.SIZE, what, where), State(size, f"{title}: {what} {size}")


def _sizes(s: RunSizing) -> Iterator[tuple[str, str]]:
    sets = f"{s.sets} sets of " if s.sets > 1 else ""
    yield "lines", f"{sets}{s.line_size or 'in no table'} {s.metal or ''}".rstrip()
    if s.neutral_size:
        yield "neutral", s.neutral_size
    if s.egc_size:
        yield "equipment ground", f"{s.egc_size} {s.egc_metal or ''}".rstrip()
    if s.raceway is not None:
        yield "raceway", f"{s.raceway.raceway} {s.raceway.trade_size}"


def _grounding(r: Readings) -> Iterator[tuple[Outcome, State]]:
    for id, wires in r.grounding.wires.items():
        stay = "may stay as it is" if wires.may_stay else f"needs {wires.needed} wires anew"
        yield (
            Outcome(Gravity.GROUND, "wires", f"runs.{id}"),
            State((wires.needed, wires.may_stay), f"{_title(r, 'runs', id)} {stay}"),
        )
    for id, bond in r.grounding.bonds.items():
        yield (
            Outcome(Gravity.GROUND, "neutral", f"equipment.{id}"),
            State(bond.required, f"neutral {bond.required} at {_title(r, 'equipment', id)}"),
        )
    for jumper in r.grounding.jumpers:
        yield (
            Outcome(Gravity.SIZE, f"{jumper.kind} {jumper.id}", jumper.where),
            State((jumper.size, jumper.metal), f"{jumper.kind} {jumper.size} {jumper.metal} ({jumper.where})"),
        )
    for id, system in r.grounding.systems.items():
        second = {True: "another electrode is needed", False: "the electrodes are enough",
                  None: "it is open whether the electrodes are enough"}[system.needs_second_electrode]  # fmt: skip
        yield (
            Outcome(Gravity.SIZE, "electrodes", f"buildings.{id}"),
            State(
                (system.needs_second_electrode, system.electrodes),
                f"{_title(r, 'buildings', id)}: {second} ({len(system.electrodes)} in all)",
            ),
        )
        for each in system.conductors:
            fits = {True: "serves", False: "is too small", None: "is not shown to serve"}[each.adequate]
            words = f"{_title(r, 'electrodes', each.electrode)}: {each.required_copper} copper, as it is {fits}"
            yield (
                Outcome(Gravity.SIZE, "electrode conductor", f"electrodes.{each.electrode}"),
                State((each.required_copper, each.adequate, each.lands_at), words),
            )


def _circuits(r: Readings) -> Iterator[tuple[Outcome, State]]:
    for id, circuit in r.installation.circuits.items():
        yield (
            Outcome(Gravity.SIZE, "breaker", f"circuits.{id}"),
            State(circuit.ocpd_a, f"{_title(r, 'circuits', id)}: device of {_amperes(circuit.ocpd_a)}"),
        )


# --- words ---------------------------------------------------------------------------------------------------------


def _title(r: Readings, table: str, id: str) -> str:
    return _title_in(r.installation, table, id)


def _title_in(installation: Installation, table: str, id: str) -> str:
    part = getattr(installation, table).get(id) if table in PARTS else None
    return title_of(part) if part is not None else (id if table in PARTS else table).replace("-", " ")


def title_of(part: Part) -> str:
    """What to call a part: a circuit by what it feeds."""
    return getattr(part, "serves", None) or part.title


def _amperes(current_a: float | None) -> str:
    return "no known rating" if current_a is None else f"{current_a:,.0f} A"
