"""Whole small jobs, each a file with a sentence for a name and answers worked by hand in its comments.

A case is a complete job file with one table more, ``[expected]``, which is split off before the job is read:

- ``expected.found`` and ``expected.proposed`` each hold any of

  - ``loads.<equipment>``: ``<method>_va`` (spaces as underscores), ``governing``, ``current_a``, ``neutral_va``,
    ``neutral_a``, ``refused`` (methods that may not be used)
  - ``runs.<run>``: any field of the run's sizing, ``may_stay``, ``wires_needed``, ``egc_equals_line``
  - ``bonds``: equipment = "bonded", "isolated" or "no neutral"
  - ``grounding.<electrode>``: ``copper``, ``aluminum``, ``lands_at``, ``adequate``
  - ``systems.<building>``: ``required``, ``needs_second_electrode``
  - ``jumpers``: a list of ``kind``, ``where``, ``copper`` and ``aluminum``; ``absent = true`` for one that must not be
  - ``duties.<part>``: ``<duty>`` = "yes", "no" or "ask the office"; "" for nothing said of it
  - ``disconnects.<equipment>``: what becomes of an old one
  - ``circuits.<circuit>``: any field of its protection; ``rating_a``, ``ahead_a`` and ``kind`` of the device to put in,
    ``exception`` by its name, ``ground_serves``
  - ``labels.<equipment>``: words that a label there must carry
  - ``findings``: ``mend``, ``ask``, ``know`` (with that verdict), ``any`` (whatever verdict), ``absent`` (no finding),
    ``not_mend`` (no finding that must be mended); an entry is ``rule`` or ``rule @ id``

- ``expected.headroom``: ``rating_a``, ``load_a``, ``margin_a``, ``enough``, ``used_up_by`` ("" for no wish), ``method``
- ``expected.drops.<run>``: ``sag_today_ft``, ``lowest_ft`` at the worst, ``worst`` ("hot" or "iced"), ``needed_ft``
- ``expected.earth.<building>``: ``middle_ohm``, ``chance_one_rod`` and other fields of the computed system
- ``expected.assumptions``: places in the job file about which something must have been assumed
- ``expected.no_proposal = true``: nothing is proposed
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

import pytest

import driploop
from driploop.circuits import Protection, read_protections
from driploop.rules import catalogue
from driploop.worksheet import Finding, Verdict

HERE = Path(__file__).parent
CASES = sorted(HERE.glob("*.toml"))
LOAD_TOLERANCE_VA = 1.0
CURRENT_TOLERANCE_A = 0.5
HEIGHT_TOLERANCE_FT = 0.05
EARTH_TOLERANCE = 0.005
VERDICTS = {"mend": Verdict.MEND, "ask": Verdict.ASK, "know": Verdict.KNOW}
REQUIRED = {"copper": "required_copper", "aluminum": "required_aluminum"}
STATE_KEYS = {
    "loads", "runs", "bonds", "grounding", "systems", "jumpers", "labels", "findings", "duties", "disconnects",
    "circuits",
}  # fmt: skip
TOP_KEYS = {"found", "proposed", "headroom", "assumptions", "no_proposal", "drops", "earth"}


def split(text: str) -> tuple[str, dict[str, Any]]:
    """The job file without its answers, which stand last, and the answers."""
    job, mark, answers = text.partition("\n[expected")
    assert mark, "the case expects nothing"
    expected: dict[str, Any] = tomllib.loads(mark + answers)["expected"]
    return job + "\n", expected


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_plan_gives_the_answers_worked_by_hand(path: Path) -> None:
    job_text, expected = split(path.read_text(encoding="utf-8"))
    plan = driploop.plan(driploop.read_job_text(job_text, name=path.name))
    differences = list(compare(plan, expected))
    assert not differences, "\n" + "\n".join(differences)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_every_answer_is_worked_in_the_comments(path: Path) -> None:
    """Each volt-ampere answer of a case stands in its comments too, so that nobody can copy it from the program."""
    text = path.read_text(encoding="utf-8")
    job_text, _, expected = text.partition("\n[expected")
    comments = " ".join(line.partition("#")[2] for line in job_text.splitlines()).replace(",", "")
    answers = re.findall(r"^\w+_va = ([\d.]+)$", expected, re.MULTILINE)
    assert comments.strip()
    missing = [answer for answer in answers if not re.search(rf"(?<![\d.]){re.escape(answer)}(?![\d.])", comments)]
    assert not missing, f"{path.name}: no working shown for {missing}"


def test_there_are_enough_cases() -> None:
    assert len(CASES) >= 14


# --- comparing ---------------------------------------------------------------------------------------------------


def compare(plan: Any, expected: Mapping[str, Any]) -> Iterator[str]:
    """Every place where the plan and the hand-worked answers part, in words."""
    yield from _unknown_keys("expected", expected, TOP_KEYS)
    if expected.get("no_proposal") and plan.proposed is not None:
        yield "an installation is proposed where the job proposes none"
    for state in ("found", "proposed"):
        if state not in expected:
            continue
        readings = getattr(plan, state)
        if readings is None:
            yield f"{state}: there is no such installation"
            continue
        findings = getattr(plan, f"{state}_findings")
        yield from (f"{state}.{line}" for line in _compare_state(readings, findings, expected[state]))
    if "headroom" in expected:
        yield from _compare_headroom(plan.headroom, expected["headroom"])
    for id, answers in expected.get("drops", {}).items():
        yield from _found_in("drops", id, plan.drops, answers, _compare_drop)
    for id, answers in expected.get("earth", {}).items():
        yield from _found_in("earth", id, plan.earth.systems, answers, _compare_earth)
    assumed = {assumption.where for assumption in plan.assumptions}
    for where in expected.get("assumptions", ()):
        if where not in assumed:
            yield f"assumptions: nothing is said about {where}; said about: {', '.join(sorted(assumed))}"


def _compare_state(readings: Any, findings: Iterable[Finding], expected: Mapping[str, Any]) -> Iterator[str]:
    yield from _unknown_keys("state", expected, STATE_KEYS)
    for id, answers in expected.get("loads", {}).items():
        yield from _found_in("loads", id, readings.loads.nodes, answers, _compare_load)
    for id, answers in expected.get("runs", {}).items():
        yield from _found_in("runs", id, readings.conductors.runs, answers, _run_comparer(readings.grounding.wires))
    for id, required in expected.get("bonds", {}).items():
        yield from _found_in("bonds", id, readings.grounding.bonds, {"required": required}, _compare_fields)
    if "circuits" in expected:
        protections = {
            id: _told(each) for id, each in read_protections(readings.graph, edition=readings.edition).items()
        }
        for id, answers in expected["circuits"].items():
            yield from _found_in("circuits", id, protections, answers, _compare_protection)
    conductors = {c.electrode: c for system in readings.grounding.systems.values() for c in system.conductors}
    for id, answers in expected.get("grounding", {}).items():
        renamed = {REQUIRED.get(key, key): wanted for key, wanted in answers.items()}
        yield from _found_in("grounding", id, conductors, renamed, _compare_fields)
    for id, answers in expected.get("systems", {}).items():
        yield from _found_in("systems", id, readings.grounding.systems, answers, _compare_fields)
    for answers in expected.get("jumpers", ()):
        yield from _compare_jumper(readings.grounding.jumpers, answers)
    for id, words in expected.get("labels", {}).items():
        yield from _compare_label(readings.labels, id, words)
    for part, answers in expected.get("duties", {}).items():
        said = {duty.id: duty.answer for duty in readings.duties if duty.part == part}
        for id, wanted in answers.items():
            yield from _differs(f"duties.{part}.{id}", said.get(id, ""), wanted)
    outcomes = {each.id: each.outcome for each in readings.old_disconnects}
    for id, wanted in expected.get("disconnects", {}).items():
        yield from _differs(f"disconnects.{id}", outcomes.get(id), wanted)
    yield from _compare_findings(tuple(findings), expected.get("findings", {}))


def _found_in(kind: str, id: str, places: Mapping[str, Any], answers: Mapping[str, Any], check: Any) -> Iterator[str]:
    if id not in places:
        yield f"{kind}.{id}: not there; there are: {', '.join(places)}"
        return
    yield from (f"{kind}.{id}.{line}" for line in check(places[id], answers))


def _told(each: Protection) -> dict[str, Any]:
    """A protection flattened to the words of a case."""
    flat = {field.name: getattr(each, field.name) for field in fields(each)}
    device = {name: getattr(each.device, name) for name in ("kind", "rating_a", "ahead_a")}
    return {**flat, **device, "exception": each.exception and each.exception.name, "ground_serves": each.ground.serves}


def _compare_protection(told: Mapping[str, Any], answers: Mapping[str, Any]) -> Iterator[str]:
    for key, wanted in answers.items():
        got = told[key]
        same = got == pytest.approx(wanted) if isinstance(wanted, float) and got is not None else got == wanted
        if not same:
            yield f"{key}: is {got!r}, worked by hand {wanted!r}"


def _compare_load(node: Any, answers: Mapping[str, Any]) -> Iterator[str]:
    for key, wanted in answers.items():
        if key == "governing":
            yield from _differs(key, node.governing.method, wanted)
        elif key == "current_a":
            yield from _differs(key, node.current_a, wanted, CURRENT_TOLERANCE_A)
        elif key == "neutral_va":
            yield from _differs(key, node.neutral.load_va, wanted, LOAD_TOLERANCE_VA)
        elif key == "neutral_a":
            yield from _differs(key, node.neutral.current_a, wanted, CURRENT_TOLERANCE_A)
        elif key == "refused":
            for method in wanted:
                result = node.result(method)
                if result is None or result.permitted != "no" or not result.why:
                    yield f"refused: the method {method!r} must be refused with its reason, but it reads {result}"
        elif key.endswith("_va"):
            result = node.result(key.removesuffix("_va").replace("_", " "))
            yield from _differs(key, result and result.load_va, wanted, LOAD_TOLERANCE_VA)
        else:
            yield f"{key}: a case file cannot ask this of a load"


def _run_comparer(wires: Mapping[str, Any]) -> Any:
    def compare_run(sizing: Any, answers: Mapping[str, Any]) -> Iterator[str]:
        count = wires.get(sizing.run)
        for key, wanted in answers.items():
            if key == "may_stay":
                yield from _differs(key, count and count.may_stay, wanted)
            elif key == "wires_needed":
                yield from _differs(key, count and count.needed, wanted)
            elif key == "egc_equals_line":
                same = (sizing.egc_size, sizing.egc_metal) == (sizing.line_size, sizing.metal)
                yield from _differs(f"{key} ({sizing.egc_size} {sizing.egc_metal})", same, wanted)
            else:
                yield from _compare_fields(sizing, {key: wanted})

    return compare_run


def _compare_fields(part: Any, answers: Mapping[str, Any]) -> Iterator[str]:
    for key, wanted in answers.items():
        tolerance = CURRENT_TOLERANCE_A if key.endswith("_a") else 0.0
        yield from _differs(key, getattr(part, key), wanted, tolerance)


def _compare_drop(drop: Any, answers: Mapping[str, Any]) -> Iterator[str]:
    sag = drop.sag
    got = {
        "sag_today_ft": sag.today.hang.sag_ft,
        "lowest_ft": sag.worst.lowest_ft,
        "worst": sag.worst.weather.name,
        "needed_ft": drop.clearances[0].needed.number,
    }
    for key, wanted in answers.items():
        yield from _differs(key, got.get(key), wanted, HEIGHT_TOLERANCE_FT)


def _compare_earth(system: Any, answers: Mapping[str, Any]) -> Iterator[str]:
    for key, wanted in answers.items():
        yield from _differs(key, getattr(system, key), wanted, EARTH_TOLERANCE * wanted)


def _compare_jumper(jumpers: Iterable[Any], answers: Mapping[str, Any]) -> Iterator[str]:
    here = [j for j in jumpers if j.kind == answers["kind"] and answers["where"] in j.where]
    name = f"jumpers: {answers['kind']} at {answers['where']}"
    if answers.get("absent"):
        if here:
            yield f"{name}: must not be there"
        return
    if not here:
        yield f"{name}: not there; there are: {', '.join(f'{j.kind} at {j.where}' for j in jumpers)}"
        return
    for metal in ("copper", "aluminum"):
        if metal in answers:
            sizes = {j.size if j.metal == metal else j.other_metal_size for j in here}
            if answers[metal] not in sizes:
                yield f"{name}: {metal} worked by hand {answers[metal]}, the program says {sizes}"


def _compare_label(labels: Iterable[Any], equipment: str, words: str) -> Iterator[str]:
    texts = [re.sub(r"[\s,]+", " ", " ".join(label.words)).strip() for label in labels if label.equipment == equipment]
    if not any(words in text for text in texts):
        yield f"labels.{equipment}: no label reads {words!r}; there are: {texts}"


def _compare_findings(findings: tuple[Finding, ...], answers: Mapping[str, list[str]]) -> Iterator[str]:
    known = {rule.id for rule in catalogue()}
    yield from _unknown_keys("findings", answers, {*VERDICTS, "any", "absent", "not_mend"})
    for key, entries in answers.items():
        for entry in entries:
            rule, _, id = (part.strip() for part in entry.partition("@"))
            if rule not in known:
                yield f"findings.{key}: there is no rule {rule!r} in the catalogue"
                continue
            hits = [f for f in findings if f.rule == rule and id in f.where]
            if key == "absent":
                wrong = bool(hits)
            elif key == "not_mend":
                wrong = any(f.verdict is Verdict.MEND for f in hits)
            elif key == "any":
                wrong = not hits
            else:
                wrong = not any(f.verdict is VERDICTS[key] for f in hits)
            if wrong:
                said = "; ".join(f"{f.verdict.value} at {f.where}: {f.wrong}" for f in hits) or "nothing"
                yield f"findings.{key}: {entry}: the program says {said}"


def _compare_headroom(headroom: Any, answers: Mapping[str, Any]) -> Iterator[str]:
    if headroom is None:
        yield "headroom: there is none"
        return
    for key, wanted in answers.items():
        got = getattr(headroom, key)
        yield from _differs(f"headroom.{key}", got or "" if key == "used_up_by" else got, wanted, CURRENT_TOLERANCE_A)


def _differs(key: str, got: Any, wanted: Any, tolerance: float = 0.0) -> Iterator[str]:
    numbers = all(isinstance(value, (int, float)) and not isinstance(value, bool) for value in (got, wanted))
    same = abs(got - wanted) <= tolerance if numbers else got == wanted
    if not same:
        yield f"{key}: worked by hand {wanted!r}, the program says {got!r}"


def _unknown_keys(where: str, table: Mapping[str, Any], allowed: set[str]) -> Iterator[str]:
    for key in table:
        if key not in allowed:
            yield f"{where}: {key!r} is not a thing a case can expect; allowed: {', '.join(sorted(allowed))}"
