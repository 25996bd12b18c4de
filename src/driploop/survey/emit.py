"""Values and whole jobs as TOML text."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from driploop.installation import Job
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
        elif held is not None and (table == "proposal" or held.model_dump(exclude_defaults=True)):
            yield from _table(table, held)


def _table(header: str, part: Any) -> Iterator[str]:
    yield ""
    yield f"[{header}]"
    for key, value in part.model_dump(by_alias=True, exclude_defaults=True).items():
        yield f"{toml_key(key)} = {toml_value(value)}"


def _text(text: str) -> str:
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
