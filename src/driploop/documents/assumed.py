"""Assumptions on paper: alike ones told once, with every place they stand for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from driploop.documents.places import KINDS, field_words, place_words
from driploop.documents.tables import Cell, TableData, table
from driploop.documents.text import sentence
from driploop.planning import Plan
from driploop.worksheet import Assumption, unique

_CIRCUIT = "Circuit: "
#: What is not known of a part where no one field of it is meant.
_WHOLE = {"circuits": "what hangs on it"}


def assumption_tables(plan: Plan) -> list[TableData]:
    """Everything assumed, each once: of the installation, of its circuits, of its panels, of the outdoors."""
    return [
        assumption_table(plan),
        _table("Circuits, their duties and old disconnects", plan.circuit_assumptions, plan),
        _table("Panel layouts", plan.panel_assumptions, plan),
        outdoor_assumption_table(plan),
    ]


def assumption_table(plan: Plan, assumptions: Iterable[Assumption] | None = None, *, title: str = "") -> TableData:
    """What was assumed, for which parts, why that is safe, what answer would change it; left out, all of the plan's."""
    return _table(title, plan.assumptions if assumptions is None else assumptions, plan)


def outdoor_assumption_table(plan: Plan) -> TableData:
    """What was assumed of electrodes in their soil and of overhead runs."""
    drops = (assumption for drop in plan.drops.values() for assumption in drop.assumptions)
    return _table("Electrodes in the soil and overhead runs", unique((*plan.earth.assumptions, *drops)), plan)


def _table(title: str, assumptions: Iterable[Assumption], plan: Plan) -> TableData:
    same: dict[tuple[str, str, str, str], list[Assumption]] = defaultdict(list)
    for each in assumptions:
        same[_field(each.where), each.assumed, each.why_safe, each.would_change].append(each)
    proposed = plan.proposed.installation if plan.proposed else None

    def row(group: list[Assumption]) -> tuple[Cell, ...]:
        first = group[0]
        names = dict.fromkeys(place_words(a.where, proposed, plan.found.installation) for a in group)
        path = first.where if len(group) == 1 else _common_path(first.where)
        return (
            (_together(names), path), sentence(_field(first.where)), sentence(first.assumed),
            sentence(first.why_safe), sentence(first.would_change),
        )  # fmt: skip

    return table(
        title,
        ["Where", "What is not known", "Taken as", "Why that is safe", "What would change it"],
        same.values(),
        row,
    )


def _together(names: Iterable[str]) -> str:
    """Places in one list; where all are circuits, that is said once."""
    every = list(names)
    bare = [name.removeprefix(_CIRCUIT) for name in every]
    if len(every) > 1 and all(name.startswith(_CIRCUIT) for name in every):
        return f"Circuits: {'; '.join(bare)}"
    return "; ".join(every)


def _field(where: str) -> str:
    kind, _, rest = where.partition(".")
    if kind not in KINDS and kind != "wishes":
        return field_words(rest.rpartition(".")[2] or kind)
    return field_words(rest.partition(".")[2] or _WHOLE.get(kind, "what it is"))


def _common_path(where: str) -> str:
    kind, _, rest = where.partition(".")
    return f"{kind}.*.{rest.partition('.')[2]}".rstrip(".*")
