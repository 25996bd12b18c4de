"""What the crew takes out, puts in and changes, by place, in words."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from typing import Any

from driploop.documents.found import conductors_of, device_of, main_of, nameplate, title_of
from driploop.documents.places import field_words, part_words, place_words
from driploop.documents.tables import NOT_KNOWN, TableData, stated, table
from driploop.documents.text import NOTHING, TOGETHER, sentence
from driploop.installation import (
    Building,
    Change,
    Circuit,
    Electrode,
    Equipment,
    Installation,
    Load,
    LoadManagement,
    Run,
)
from driploop.planning import Plan

#: Fields told together with others, or that say how an old part was and not what must be done.
TOLD_ELSEWHERE = frozenset({
    "main", "main_a", "mains_count", "name", "note", "fate", "condition", "line_size", "metal", "insulation",
    "neutral_size", "egc", "egc_size", "egc_metal", "sets", "ocpd", "ocpd_a", "neutral_insulated", "kind", "owner",
    "year_installed", "damaged", "from_", "fuse_in_neutral", "unused_openings", "neutrals_under_one_screw",
    "tandem_breakers", "directory", "line_terminals_covered", "trade_size", "neutral_bonded",
})  # fmt: skip
#: Fields that hold the id of another part.
REFERENCES = frozenset({"to", "building", "equipment", "conductor_to", "continues_to", "circuit", "panel"})
ORDER = ("taken out", "new", "renewed", "changed")
UNSAID = (NOTHING, "none", f"at {NOTHING}", f"conductor to {NOTHING}")
_SIGNS = {"taken out": "−", "new": "+", "renewed": "±", "changed": "→"}


def change_tables(plan: Plan) -> tuple[TableData, ...]:
    """One table a building or pole: sign, part, what happens to it. Circuits that change alike share a row."""
    if plan.proposed is None:
        return ()
    before, after = plan.found.installation, plan.proposed.installation
    by_place: dict[str, list[tuple[str, str, str]]] = defaultdict(list)
    for change in plan.difference:
        kind, _, id = change.path.partition(".")
        old, new = getattr(before, kind).get(id), getattr(after, kind).get(id)
        by_place[_place(new or old, after if new else before)].append(_row(change, old, new, before, after))
    places = [*after.buildings, *before.buildings, ""]
    return tuple(
        table(
            title_of(before if id in before.buildings else after, id) if id else "Elsewhere",
            ["Work", "Part", "What happens"],
            (
                (f"{_SIGNS[what]} {what}".replace(" ", TOGETHER), part, words)
                for what, part, words in _together(by_place[id])
            ),
            tuple,
        )
        for id in dict.fromkeys(places)
        if by_place.get(id)
    )


def _place(part: Any, installation: Installation) -> str:
    """The building a part belongs to: for a run the one it leads to, for a circuit that of its panel."""
    if isinstance(part, Building):
        return part.id
    if isinstance(part, Run):
        end = installation.equipment.get(part.to or "")
        return (end.building or "") if end else ""
    if isinstance(part, Circuit):
        panel = installation.equipment.get(part.from_ or "")
        return (panel.building if panel else part.building) or ""
    if isinstance(part, Load) and part.building is None:
        circuit = installation.circuits.get(part.circuit or "")
        source = installation.equipment.get((circuit.from_ if circuit else part.panel) or "")
        return (source.building or "") if source else ""
    if isinstance(part, LoadManagement):
        holder = installation.equipment.get(part.holds or "")
        return (holder.building or "") if holder else ""
    building = getattr(part, "building", None)
    if building is None and (holder := installation.equipment.get(getattr(part, "equipment", None) or "")):
        building = holder.building
    return building or ""


def _row(change: Change, old: Any, new: Any, before: Installation, after: Installation) -> tuple[str, str, str]:
    if new is None:
        return "taken out", part_words(old, before), _was(old)
    if old is None:
        return "new", part_words(new, after), _is(new, after)
    words = [*_told(old, new, before, after), *_other_fields(change, before, after)]
    return "renewed" if getattr(new, "is_new", False) else "changed", part_words(new, after), "; ".join(words)


def _was(part: Any) -> str:
    match part:
        case Equipment():
            return f"was {stated(part.rating_a, 'A')}, {main_of(part)}"
        case Run():
            return f"was {conductors_of(part)}"
        case Load():
            return nameplate(part)
        case Circuit():
            return f"was {device_of(part)}"
    return ""


def _is(part: Any, after: Installation) -> str:
    match part:
        case Equipment():
            neutral = f"neutral {_neutral(part)}" if part.neutral_bonded is not None else ""
            words = [stated(part.rating_a, "A"), main_of(part), neutral, part.location or ""]
        case Run():
            words = [
                f"{_title(after, part.from_)} → {_title(after, part.to)}", stated(part.method), conductors_of(part),
                f"{part.wires} wires" if part.wires else "", device_of(part),
            ]  # fmt: skip
        case Circuit():
            words = [f"at {_title(after, part.from_)}", device_of(part), wire_of(part)]
        case Load():
            words = [nameplate(part)]
        case Electrode():
            size = f"{part.conductor_size} {part.conductor_metal or ''}" if part.conductor_size else ""
            words = [stated(part.kind), f"conductor to {_title(after, part.conductor_to)}", size]
        case LoadManagement():
            at = _title(after, part.holds) if part.holds else part.limits or ""
            words = [f"holds {at}" if at else "", f"to {part.set_point_a:g} A" if part.set_point_a else ""]
        case _:
            words = [stated(getattr(part, "kind", None)), f"at {_title(after, getattr(part, 'equipment', None))}"]
    return ", ".join(word.strip() for word in words if word and word.strip() not in UNSAID)


def wire_of(circuit: Circuit) -> str:
    """A circuit's wire in words; "" where nothing of it is stated."""
    return " ".join(word for word in (circuit.wire_size, circuit.metal, circuit.cable) if word)


def _told(old: Any, new: Any, before: Installation, after: Installation) -> Iterable[str]:
    """The changes that are told in words of their own."""
    if isinstance(new, Run | Circuit) and old.from_ != new.from_:
        yield f"fed from: {_title(before, old.from_)} → {_title(after, new.from_)}"
    if isinstance(new, Equipment):
        yield from _pair("main", old, new, main_of)
        yield from _pair("neutral", old, new, _neutral)
    if isinstance(new, Run):
        yield from _pair("conductors", old, new, conductors_of)
    if isinstance(new, Run | Circuit):
        yield from _pair("device", old, new, device_of)
    if isinstance(new, Equipment | Electrode) and old.kind != new.kind:
        yield f"kind: {stated(old.kind)} → {stated(new.kind)}"
    if old.name != new.name:
        yield f"until now: {old.title}"


def _pair(head: str, old: Any, new: Any, words: Callable[[Any], str]) -> Iterable[str]:
    if words(old) != words(new) and words(new):
        yield f"{head}: {words(old) or NOTHING} → {words(new)}"


def _other_fields(change: Change, before: Installation, after: Installation) -> Iterable[str]:
    for field in change.fields:
        if field.field in TOLD_ELSEWHERE or field.after is None:
            continue
        name, now = field_words(field.field), _value(field.field, field.after, after)
        yield (
            f"{name}: {now}"
            if field.before is None
            else (f"{name}: {_value(field.field, field.before, before)} → {now}")
        )


def _value(field: str, value: object, installation: Installation) -> str:
    if field in REFERENCES and isinstance(value, str):
        return place_words(value, installation)
    for ending, unit in (("_a", "A"), ("_ft", "ft"), ("_in", "in"), ("_ohm", "Ω"), ("_c", "°C")):
        if field.endswith(ending) and not isinstance(value, str | bool):
            return stated(value, unit)
    return stated(value)


def _neutral(equipment: Equipment) -> str:
    return {True: "bonded", False: "isolated", None: NOT_KNOWN}[equipment.neutral_bonded]


def _title(installation: Installation, id: str | None) -> str:
    part = installation.equipment.get(id or "")
    return part.title if part else ("the utility" if id == "utility" else stated(id))


def _together(rows: list[tuple[str, str, str]]) -> list[tuple[str, str, str]]:
    """The rows by what happens; circuits to which the same happens in one row."""
    merged: dict[tuple[str, str], list[str]] = defaultdict(list)
    for what, part, words in rows:
        alike = part.startswith("Circuit: ") and words
        merged[what, words if alike else f"{words}\0{part}"].append(part)
    result = []
    for (what, key), parts in merged.items():
        names = [parts[0], *(part.removeprefix("Circuit: ") for part in parts[1:])]
        if len(parts) > 1:
            names[0] = names[0].replace("Circuit: ", "Circuits: ", 1)
        result.append((what, "; ".join(names), sentence(key.partition("\0")[0])))
    return sorted(result, key=lambda row: ORDER.index(row[0]))
