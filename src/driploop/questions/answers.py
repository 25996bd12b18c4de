"""The plausible answers to each question, and its words: read from ``answers.toml``, the rest from the model."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from driploop.editions import edition_names
from driploop.loads.typical import typical
from driploop.survey.fields import keys_of, unit_of
from driploop.survey.layout import BY_ID, SINGLE
from driploop.worksheet import plain


@dataclass(frozen=True, slots=True)
class Subject:
    """What can be asked of one field. ``answers`` are values with their words; empty where they hang on the part."""

    title: str
    why: str
    where_to_look: str
    how_safely: str
    if_nobody_knows: str
    answers: tuple[tuple[Any, str], ...]
    shares: tuple[float, ...]
    unless: Mapping[str, tuple[Any, ...]]

    def is_asked_of(self, part: Any) -> bool:
        """Whether the question makes sense for a part, as far as the part is known."""
        senseless = any(getattr(part, field, None) in values for field, values in self.unless.items())
        return not senseless and bool(self.answers_for(part))

    def answers_for(self, part: Any) -> tuple[tuple[Any, str], ...]:
        """The plausible answers for one part: its own, or shares of the upper nameplate of its kind."""
        if not self.shares:
            return self.answers
        upper_va = typical(part.kind).va
        return tuple((upper_va * share, f"{plain(upper_va * share)} VA") for share in self.shares if upper_va)


@cache
def subjects() -> Mapping[str, Subject]:
    """Every field that is asked about, as ``table.field``."""
    document = tomllib.loads((files(__package__) / "answers.toml").read_text(encoding="utf-8"))
    looks = document.pop("safely")
    return {
        f"{table}.{field}": _subject(table, field, entry, looks)
        for table, fields in document.items()
        for field, entry in fields.items()
    }


def subject_of(table: str, field: str) -> Subject | None:
    """What can be asked of a field, None where it is not asked about. A wish is asked as the load it will be."""
    return subjects().get(f"{'loads' if table == 'wishes' else table}.{field}")


def _subject(table: str, field: str, entry: Mapping[str, Any], looks: Mapping[str, str]) -> Subject:
    return Subject(
        title=entry["title"],
        why=entry["why"],
        where_to_look=entry["where"],
        how_safely=looks[entry["safely"]],
        if_nobody_knows=entry["nobody"],
        answers=() if "shares" in entry else _answers(table, field, entry),
        shares=tuple(entry.get("shares", ())),
        unless={field: tuple(values) for field, values in entry.get("unless", {}).items()},
    )


def _answers(table: str, field: str, entry: Mapping[str, Any]) -> tuple[tuple[Any, str], ...]:
    key = keys_of(BY_ID.get(table) or SINGLE[table])[field]
    words: Mapping[str, str] = entry.get("words", {})
    if key.shape.kind == "yes or no":
        values: tuple[Any, ...] = (True, False)
    else:
        # A field of plain text that is asked about is the edition: its answers are those on the shelf.
        values = tuple(entry.get("answers", edition_names() if key.shape.kind == "text" else key.shape.words))
    return tuple((_value(key.shape.kind, value), words.get(_key(value)) or _words(field, value)) for value in values)


def _value(kind: str, value: Any) -> Any:
    if kind == "list":
        return tuple(value)
    return float(value) if kind == "number" else value


def _key(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "none" if value == [] else ", ".join(value) if isinstance(value, list) else str(value)


def _words(field: str, value: Any) -> str:
    if isinstance(value, bool | list):
        return _key(value)
    unit, _ = unit_of(field)
    return f"{plain(value)} {unit}".rstrip() if not isinstance(value, str) else value
