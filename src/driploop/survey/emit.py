"""Values and whole jobs as TOML text."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from driploop.installation import Job, Proposal
from driploop.installation.kinds import UNKNOWN
from driploop.survey.layout import BY_ID, tables_of

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def toml_key(name: str) -> str:
    """A key as TOML writes it."""
    return name if _BARE_KEY.fullmatch(name) else _text(name)


def toml_value(value: Any) -> str:
    """A value as TOML writes it on one line; a whole number without a decimal point.

    Raises TypeError for what a job file cannot hold.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, float) and value == int(value):
        return str(int(value))
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, list | tuple):
        return f"[{', '.join(toml_value(item) for item in value)}]"
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{toml_key(key)} = {toml_value(item)}" for key, item in value.items())
        return f"{{ {pairs} }}" if pairs else "{}"
    raise TypeError(f"a job file cannot hold {value!r}")


def job_text(job: Job) -> str:
    """A job as a job file without comments: what is not known is left out. Reading it gives the same job."""
    return "\n".join(_lines(job)) + "\n"


def _lines(job: Job) -> Iterator[str]:
    for table, held in tables_of(job).items():
        if table == "format":
            yield f"format = {held}"
        elif table in BY_ID:
            for id, part in held.items():
                yield from _table(f"{table}.{toml_key(id)}", part)
        elif isinstance(held, Proposal):
            yield from _lines_of(table, proposal_tables(held))
        elif held is not None and held.model_dump(exclude_defaults=True):
            yield from _table(table, held)


def proposal_tables(proposal: Proposal) -> dict[str, Any]:
    """A proposal as tables of the job file. Of the parts it lays over what was found, all that is stated stands,
    "unknown" too: it takes away what the survey says."""
    tables: dict[str, Any] = {}
    for name in type(proposal).model_fields:
        value = getattr(proposal, name)
        if value is None or name == "id" or value == {}:
            continue
        held = isinstance(value, Mapping) and all(isinstance(part, BaseModel) for part in value.values())
        tables[name] = {id: _stated(part) for id, part in value.items()} if held else value
    return tables


def _stated(part: BaseModel) -> dict[str, Any]:
    told = part.model_dump(by_alias=True, include=part.model_fields_set - {"id"})
    return {key: UNKNOWN if value is None else _without_unknowns(value) for key, value in told.items()}


def _without_unknowns(value: Any) -> Any:
    """Rows of a field replace those found whole: what is not known in one is left out."""
    if isinstance(value, list | tuple):
        return [_without_unknowns(item) for item in value]
    if isinstance(value, Mapping):
        return {key: _without_unknowns(item) for key, item in value.items() if item is not None}
    return value


def _table(header: str, part: BaseModel) -> Iterator[str]:
    yield from _lines_of(header, part.model_dump(by_alias=True, exclude_defaults=True))


def _lines_of(header: str, values: Mapping[str, Any]) -> Iterator[str]:
    yield ""
    yield f"[{header}]"
    for key, value in values.items():
        yield f"{toml_key(key)} = {toml_value(value)}"


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
