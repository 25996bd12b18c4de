"""From a place that a reading names to words for it, and to the form in the walk where it can be changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from driploop.survey.layout import BY_ID, SINGLE
from driploop.web.asking import asked_of, label_of
from driploop.web.proposals import BY_ID_PROPOSED, PROPOSAL, address_of_proposed
from driploop.web.stations import KINDS, is_there
from driploop.web.words import title_words


def place_words(tables: Mapping[str, Any], where: str) -> str:
    """The place that a path or an id names, in words: "Meter: rating", "House panel"."""
    table, *rest = where.split(".")
    if table == PROPOSAL:
        return _proposed_words(rest)
    if table in SINGLE and table in KINDS:
        words, key = KINDS[table][0], rest[0] if rest else ""
    else:
        id = rest[0] if table in BY_ID and rest else where
        holders = [table] if table in BY_ID else list(BY_ID)
        part: Mapping[str, Any] = next((tables[name][id] for name in holders if is_there(tables, name, id)), {})
        words, key = str(part.get("name") or title_words(id)), rest[1] if table in BY_ID and len(rest) > 1 else ""
    return f"{words}: {label_of(key).lower()}" if key else words


def _proposed_words(rest: Sequence[str]) -> str:
    part = title_words(rest[1]) if len(rest) > 1 else ""
    key = label_of(rest[-1]).lower() if len(rest) in (1, 3) and rest[-1] not in BY_ID_PROPOSED else ""
    return ": ".join(word for word in ("Proposal", part, key) if word)


def address_of(tables: Mapping[str, Any], where: str) -> str:
    """The address below a job of the field or thing that a path names; "" where the walk does not ask it.

    A bare id is looked for in every table, as findings name a place by its id alone.
    """
    table, *rest = where.split(".")
    if table == PROPOSAL:
        return address_of_proposed(where)
    if table not in KINDS and not rest:
        table, rest = next(((name, [where]) for name in BY_ID if is_there(tables, name, where)), (table, []))
    if table not in KINDS:
        return ""
    id = rest.pop(0) if table in BY_ID and rest else None
    if not is_there(tables, table, id):
        return ""
    page = f"/walk/{table}/{id}" if id is not None else f"/walk/{table}"
    field = "-".join(part for part in (table, id, rest[0] if rest else None) if part)
    return f"{page}#f-{field}" if rest and rest[0] in asked_of(table) else page
